// What is on disk. Every entry goes into IndexedDB at once, in a transaction that the browser must have on the disk
// before it reports completion (durability 'strict'): a flat battery then costs at most the keystroke in flight.
//
// Stores: jobs (one a visit), parts (a job's findings, cut into parts so that one entry rewrites one part only),
// log (what was changed, for undo and for the trail), photos (the files as the camera gave them, with a small picture).

import { root, uuid } from "./base.js";

const NAME = "lugbook-capture";
let base = null;
let waiting = null; // what the next transaction will hold
let running = null;
let stored = 0;
const listeners = new Set();
export const memory = { on: false, jobs: new Map(), parts: new Map(), log: new Map(), photos: new Map() };

function request(one) {
  return new Promise((resolve, reject) => {
    one.onsuccess = () => resolve(one.result);
    one.onerror = () => reject(one.error);
  });
}

async function open() {
  const asked = indexedDB.open(NAME, 1);
  asked.onupgradeneeded = () => {
    asked.result.createObjectStore("jobs", { keyPath: "id" });
    asked.result.createObjectStore("parts", { keyPath: ["job", "part"] });
    asked.result.createObjectStore("log", { keyPath: ["job", "seq"] });
    asked.result.createObjectStore("photos", { keyPath: ["job", "file"] });
    asked.result.createObjectStore("probe", { keyPath: "key" });
  };
  base = await request(asked);
  base.onversionchange = () => base.close();
}

function transaction(stores, work) {
  return new Promise((resolve, reject) => {
    const one = base.transaction(stores, "readwrite", { durability: "strict" });
    one.oncomplete = resolve;
    one.onabort = () => reject(one.error ?? new Error("aborted"));
    work(one);
  });
}

// The probe: write a token, load the page again, and look whether the token is still there. Once a browser has shown
// that it keeps things, later starts only write and read. Where it fails, everything lives in memory alone.
export async function probe() {
  try {
    await open();
    const known = await request(base.transaction("probe").objectStore("probe").get("survived"));
    const asked = /^#probe=(.+)$/.exec(location.hash);
    if (asked) {
      history.replaceState(null, "", location.pathname + location.search);
      const token = await request(base.transaction("probe").objectStore("probe").get("token"));
      if (token?.value !== asked[1]) throw new Error("the browser forgot");
      await transaction(["probe"], (one) => one.objectStore("probe").put({ key: "survived", value: true }));
    } else if (!known) {
      const token = uuid();
      await transaction(["probe"], (one) => one.objectStore("probe").put({ key: "token", value: token }));
      location.hash = `probe=${token}`;
      location.reload();
      await new Promise(() => {}); // the page is going away
    }
    root.dataset.storage = "kept";
  } catch {
    memory.on = true;
    root.dataset.storage = "refused";
  }
  return !memory.on;
}

export function onStored(listener) {
  listeners.add(listener);
}

function tell(state, error) {
  root.dataset.stored = String(stored);
  root.dataset.pending = waiting || running ? "1" : "0";
  for (const listener of listeners) listener(state, error);
}

// Puts what has changed on the list of the next transaction. While one runs, changes gather; typing fast never queues
// more than one behind it. Returns a promise that ends when these very changes are on the disk.
export function save({ job = null, parts = [], log = [], unlog = [], photos = [], unphoto = [] }) {
  waiting ??= { jobs: new Map(), parts: new Map(), log: new Map(), photos: new Map() };
  if (job) waiting.jobs.set(job.id, job);
  for (const one of parts) waiting.parts.set(`${one.job} ${one.part}`, one);
  for (const one of log) waiting.log.set(`${one.job} ${one.seq}`, one);
  for (const one of unlog) waiting.log.set(`${one.job} ${one.seq}`, { gone: [one.job, one.seq] });
  for (const one of photos) waiting.photos.set(`${one.job} ${one.file}`, one);
  for (const one of unphoto) waiting.photos.set(`${one.job} ${one.file}`, { gone: [one.job, one.file] });
  tell("writing");
  const done = running ? running.then(flush, flush) : flush();
  running = done;
  done.catch(() => {});
  return done;
}

async function flush() {
  if (!waiting) return;
  const batch = waiting;
  waiting = null;
  try {
    await write(batch);
    stored += 1;
    if (!waiting) running = null;
    tell("stored");
  } catch (error) {
    if (!waiting) running = null;
    tell("failed", error);
    throw error;
  }
}

async function write(batch) {
  if (memory.on) {
    for (const name of Object.keys(batch)) {
      for (const [key, value] of batch[name]) value.gone ? memory[name].delete(key) : memory[name].set(key, structuredClone(value));
    }
    return;
  }
  const names = Object.keys(batch).filter((name) => batch[name].size);
  await transaction(names, (one) => {
    for (const name of names) {
      for (const value of batch[name].values()) {
        value.gone ? one.objectStore(name).delete(value.gone) : one.objectStore(name).put(value);
      }
    }
  });
}

const range = (job) => IDBKeyRange.bound([job], [job, []]);

async function all(name, job) {
  if (memory.on) return [...memory[name].values()].filter((one) => job === undefined || one.job === job);
  return request(base.transaction(name).objectStore(name).getAll(job === undefined ? null : range(job)));
}

export const jobs = () => all("jobs");
export const parts = (job) => all("parts", job);
export const log = (job) => all("log", job);

export async function photo(job, file) {
  if (memory.on) return memory.photos.get(`${job} ${file}`);
  return request(base.transaction("photos").objectStore("photos").get([job, file]));
}

export async function photoNames(job) {
  if (memory.on) return [...memory.photos.values()].filter((one) => one.job === job).map((one) => one.file);
  const keys = await request(base.transaction("photos").objectStore("photos").getAllKeys(range(job)));
  return keys.map((key) => key[1]);
}

export async function forget(job) {
  if (memory.on) {
    memory.jobs.delete(job);
    for (const name of ["parts", "log", "photos"]) {
      for (const [key, value] of memory[name]) if (value.job === job) memory[name].delete(key);
    }
    return;
  }
  await transaction(["jobs", "parts", "log", "photos"], (one) => {
    one.objectStore("jobs").delete(job);
    for (const name of ["parts", "log", "photos"]) one.objectStore(name).delete(range(job));
  });
}

// How much room is left, in bytes; null where the browser does not say.
export async function room() {
  if (memory.on || !navigator.storage?.estimate) return null;
  const { quota, usage } = await navigator.storage.estimate();
  return Math.max(0, quota - usage);
}

export async function persist() {
  if (memory.on || !navigator.storage?.persist) return false;
  return (await navigator.storage.persisted()) || navigator.storage.persist();
}
