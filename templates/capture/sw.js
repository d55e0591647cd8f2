// Keeps a hosted copy of the page for use without a signal. The page is one file, so this is all there is to keep.
// A new edition is fetched when the page is opened with a signal, and used from the next start on, never in mid-visit.

const CACHE = "lugbook-capture-@@SUM@@";
const PAGE = ["./", "./index.html"];

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(PAGE)));
});

self.addEventListener("activate", (event) => {
  const others = caches.keys().then((names) => names.filter((name) => name.startsWith("lugbook-capture-") && name !== CACHE));
  event.waitUntil(others.then((names) => Promise.all(names.map((name) => caches.delete(name)))).then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  if (event.request.method !== "GET" || new URL(event.request.url).origin !== self.location.origin) return;
  event.respondWith(caches.match(event.request, { ignoreSearch: true }).then((kept) => kept ?? fetch(event.request)));
});
