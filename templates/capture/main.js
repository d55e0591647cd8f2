// The frame: bars above and below, what is stored, undo, light and dark, and the start.

import { DATA, button, count, el, size, root, w } from "./base.js";
import { canUndo, desk, items, asked, isOpen, openJob, undo } from "./doc.js";
import { watchRoom } from "./photos.js";
import { begin } from "./notice.js";
import * as store from "./store.js";
import { again, draw, go, here, onDraw, register, theme } from "./view.js";
import { jump, nextOpen } from "./walk.js";

const FORCE = 40; // changes after which a browser that keeps nothing makes its user export
const state = document.getElementById("state");
const spoken = document.getElementById("spoken");
let quiet = null;

store.onStored((what, error) => {
  root.dataset.state = what;
  const text = { writing: "capture.ui.storing", stored: store.memory.on ? "capture.ui.in_memory" : "capture.ui.stored", failed: "capture.ui.failed" }[what];
  state.replaceChildren(w(text));
  clearTimeout(quiet); // read aloud once the typing pauses, not at every key
  if (what !== "writing") quiet = setTimeout(() => spoken.replaceChildren(w(text)), 900);
  if (what === "failed") document.getElementById("alert").replaceChildren(w(error?.name === "QuotaExceededError" ? "capture.ui.full" : "capture.ui.failed"));
});

function back() {
  const path = undo();
  if (!path) return;
  if (path[0].startsWith("results/") && here()[0] === "walk") jump(path[0].slice(8));
  again();
}

const TABS = ["walk", "readings", "export", "more"];

function bars() {
  const open = Boolean(desk.job);
  const name = here()[0];
  root.dataset.job = open ? desk.job.id : "";
  document.getElementById("title").replaceChildren(open ? desk.job.title || w("capture.ui.untitled") : DATA.title);
  document.getElementById("bottom").hidden = !open;
  const undoButton = document.getElementById("undo");
  undoButton.hidden = !open;
  undoButton.disabled = !canUndo();
  document.getElementById("danger").hidden = !open;
  for (const tab of document.querySelectorAll("[data-tab]")) {
    if (tab.dataset.tab === name) tab.setAttribute("aria-current", "page");
    else tab.removeAttribute("aria-current");
  }
  progress(open);
  force(open);
}

// How many questions wait, as a bar and in words; a tap goes to the next of them.
export function progress(open) {
  const box = document.getElementById("open");
  box.hidden = !open;
  if (!open) return;
  const wanted = items.filter(asked);
  const left = wanted.filter(isOpen).length;
  const next = nextOpen(here()[0] === "walk" ? Number(here()[1] ?? 0) : 0);
  box.replaceChildren(el("progress", { max: wanted.length, value: wanted.length - left, "aria-label": w("capture.ui.answered") }),
    button("next-open", left ? count("capture.ui.waiting", left) : w("capture.ui.all_answered"), () => next && jump(next.id), { disabled: !next }));
}

function force(open) {
  const box = document.getElementById("forced");
  box.hidden = !(open && store.memory.on && (desk.job.unexported ?? 0) >= FORCE && here()[0] !== "export");
}

window.addEventListener("beforeunload", (event) => {
  if (root.dataset.pending === "1" || (store.memory.on && desk.job?.unexported)) event.preventDefault();
});

register("settings", () => {
  const now = root.dataset.theme ?? "";
  const kinds = [["", "auto"], ["light", "light"], ["dark", "dark"]];
  const set = (value) => {
    theme(value);
    try {
      localStorage.setItem("lugbook-theme", value);
    } catch {
      // a browser that keeps nothing forgets this too
    }
    again();
  };
  const storage = el("p", { class: "soft" });
  store.room().then(async (left) => storage.append(left === null ? w("capture.ui.room_unknown") : w("capture.ui.room_left", { size: size(left) }), " ", w((await store.persist()) ? "capture.ui.persists" : "capture.ui.persists_not")));
  return [el("h2", {}, w("capture.ui.settings")), el("p", { class: "label", id: "theme-l" }, w("capture.ui.theme")),
    el("div", { class: "segments", role: "group", "aria-labelledby": "theme-l" }, kinds.map(([value, key]) => el("button", { type: "button", "data-act": "theme", "data-value": value, "aria-pressed": String(now === value), onclick: () => set(value) }, w(`capture.ui.theme_${key}`)))),
    storage, el("p", { class: "soft" }, w("capture.ui.made_with", { version: DATA.program })), el("details", {}, el("summary", {}, w("capture.ui.licences")), el("pre", {}, DATA.licences))];
});

// Two tabs on one job would overwrite each other: the second one waits. Where the browser has no locks, nothing is said.
async function alone() {
  if (!navigator.locks) return true;
  return new Promise((resolve) => {
    navigator.locks.request("lugbook-capture", { ifAvailable: true }, (lock) => {
      resolve(Boolean(lock));
      return lock ? new Promise(() => {}) : null;
    });
  });
}

async function start() {
  try {
    theme(localStorage.getItem("lugbook-theme"));
  } catch {
    theme("");
  }
  document.getElementById("undo").addEventListener("click", back);
  document.getElementById("danger").addEventListener("click", begin);
  for (const tab of TABS) document.querySelector(`[data-tab=${tab}]`).addEventListener("click", () => go(tab));
  document.getElementById("title").addEventListener("click", () => go("jobs"));
  document.getElementById("force-export").addEventListener("click", () => go("export"));
  if (!(await alone())) {
    document.getElementById("alert").replaceChildren(w("capture.ui.second_tab"));
    return;
  }
  await store.probe();
  document.getElementById("refused").hidden = !store.memory.on;
  onDraw(bars);
  const last = (await store.jobs()).sort((a, b) => b.changed - a.changed)[0];
  if (last && here()[0] !== "jobs" && location.hash) await openJob(last.id);
  window.addEventListener("hashchange", () => draw());
  draw();
  if (desk.job) watchRoom();
  if ("serviceWorker" in navigator && location.protocol.startsWith("http")) navigator.serviceWorker.register("sw.js").catch(() => {});
  root.dataset.ready = "yes";
}

// Bars are drawn after each change too: the count of open questions follows the answer at once.
store.onStored((what) => what === "stored" && desk.job && bars());

start();
