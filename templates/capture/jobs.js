// Several jobs, and loading one back: from an earlier export, or from a job that the program packed.

import { DATA, button, el, uuid, w } from "./base.js";
import * as doc from "./doc.js";
import { begin as notice } from "./notice.js";
import { keepPhoto } from "./photos.js";
import * as store from "./store.js";
import { again, ask, go, register } from "./view.js";
import { readZip } from "./zip.js";

let rows = null;
let said = "";

export async function refresh() {
  rows = (await store.jobs()).sort((a, b) => b.changed - a.changed);
}

async function fresh(number) {
  await doc.start(number);
  await store.persist();
  go("boat");
}

async function open(id, to = ["walk", "0"]) {
  if (await doc.openJob(id)) go(...to);
}

async function remove(row) {
  const sure = await ask(w("capture.ui.delete"), el("p", {}, w(row.unexported ? "capture.ui.delete_unexported" : "capture.ui.delete_sure", { name: row.title })), [["keep", w("capture.ui.keep"), false], ["delete", w("capture.ui.delete"), true]]);
  if (!sure) return;
  await store.forget(row.id);
  await refresh();
  again();
}

// A zip fills a job: a new one, or the same visit anew if it is here already and whoever loads it agrees.
export async function load(file) {
  said = w("capture.ui.loading");
  again();
  try {
    const waiting = [];
    const about = await readZip(file, async (name, blob, sum) => waiting.push([name, blob, sum]));
    if (!about.findings) throw new Error(w("capture.ui.no_findings"));
    const lists = about.findings.report?.checklists ?? [];
    const mine = DATA.lists.map((one) => one.id);
    if (lists.some((one) => !mine.includes(one))) throw new Error(w("capture.ui.other_lists", { lists: lists.join(", ") }));
    const id = about.visit ?? uuid();
    const there = rows?.find((row) => row.id === id);
    if (there?.unexported && !(await ask(w("capture.ui.load"), el("p", {}, w("capture.ui.load_over", { name: there.title })), [["keep", w("capture.ui.keep"), false], ["replace", w("capture.ui.replace"), true]]))) {
      said = "";
      return again();
    }
    if (there) await store.forget(id);
    await fill(id, about, waiting);
    said = "";
    const open = doc.defects().some(({ defect }) => defect.carried);
    go(...(open ? ["again"] : ["walk", "0"]));
  } catch (error) {
    said = w("capture.ui.load_failed", { why: error.message });
    again();
  }
}

async function fill(id, about, waiting) {
  const parts = doc.partsOf(about.findings);
  const numbers = waiting.map(([name]) => Number(/^p-(\d+)\./.exec(name)?.[1] ?? 0));
  const own = "complete" in about; // an export of this page goes on where it stopped; a pack is the base of what comes
  const from = own ? (about.from ?? null) : (about.files["findings.yaml"]?.sha256 ?? null);
  const offset = about.clock?.offset_s ?? undefined;
  parts.meta = { ...parts.meta, last_photo: String(Math.max(0, ...numbers)), exports: about.export ?? 0, from, started: about.clock?.started ?? new Date().toISOString() };
  if (own && offset !== undefined) Object.assign(parts.meta, { offset: String(offset), compared: about.clock.compared });
  if (about.notice) parts.notice = about.notice;
  const record = { id, created: Date.now(), changed: Date.now(), lists: DATA.lists.map((one) => one.id) };
  await doc.begin(record, parts);
  for (const [name, blob, sum] of waiting) await keepPhoto(name, blob, sum);
}

// A return visit begins with what is still open.
register("again", () => {
  const rowsOf = doc.defects().filter(({ defect }) => defect.carried);
  const line = ({ defect, path }) => button("open-defect", `${defect.id} ${defect.title} · ${defect.now ? w(`capture.choice.${defect.now}`) : w("capture.ui.not_yet")}`, () => go("defect", ...path.map(String)), { class: "line", "data-for": path.join(".") });
  return [el("h2", {}, w("capture.ui.open_defects")), el("p", { class: "soft" }, w("capture.ui.open_defects_why")), rowsOf.map(line), button("walk", w("capture.ui.walk"), () => go("walk", "0"), { class: "go" })];
});

const when = (ms) => new Intl.DateTimeFormat(DATA.language, { dateStyle: "medium", timeStyle: "short" }).format(ms);

function row(one) {
  const state = one.unexported ? w("capture.ui.unexported") : w("capture.ui.exported_all");
  return el("div", { class: "job" }, button("open-job", one.title || w("capture.ui.untitled"), () => open(one.id), { class: "line", "data-job": one.id }),
    el("p", { class: "soft" }, `${when(one.changed)} · ${state}`), button("delete-job", w("capture.ui.delete"), () => remove(one), { class: "danger quiet", "aria-label": `${w("capture.ui.delete")}: ${one.title}` }));
}

register("jobs", () => {
  if (rows === null) {
    refresh().then(() => again());
    return [];
  }
  const box = el("input", { id: "number", "data-field": "new.number", autocomplete: "off", maxlength: "60" });
  const make = (event) => {
    event.preventDefault();
    if (box.value.trim()) fresh(box.value.trim());
    else box.focus();
  };
  const file = el("input", { type: "file", accept: ".zip,application/zip", id: "load", "data-field": "load", class: "visually-hidden", onchange: (event) => event.target.files[0] && load(event.target.files[0]) });
  return [el("h2", {}, w("capture.ui.jobs")), button("notice-first", w("capture.ui.notice_first"), notice, { class: "alarm" }),
    el("form", { class: "newjob", onsubmit: make }, el("label", { for: "number" }, w("capture.ui.new_number")), box, el("button", { class: "go", "data-act": "new-job" }, w("capture.ui.new_job"))),
    rows.map(row), el("h3", {}, w("capture.ui.load")), el("p", { class: "soft" }, w("capture.ui.load_why")), file, el("label", { class: "button", for: "load" }, w("capture.ui.load_file")),
    el("p", { role: "status", class: "said" }, said), el("p", { class: "soft" }, DATA.lists.map((one) => `${one.title}, ${one.edition}`).join("; "))];
});
