// The export: what is missing, the phone's clock, and the zip.

import { DATA, button, clock, count, el, isoWithOffset, size, w } from "./base.js";
import { change, findings, get, desk, markExported, photos, steps } from "./doc.js";
import { fold } from "./forms.js";
import { handOver } from "./handover.js";
import { missing } from "./missing.js";
import { noticeText } from "./notice.js";
import * as store from "./store.js";
import { again, go, register } from "./view.js";
import { pruned, yaml } from "./yaml.js";
import { makeZip } from "./zip.js";

const COMMENT = "# Made aboard by the capture page. 'lugbook check' says what is still wrong or open.\n\n";

// Keys in the order of the forms, whatever the order in which they were filled in: the same entries give the same file.
function arranged(name, value) {
  const fields = DATA.forms[name];
  if (!fields || !value || typeof value !== "object") return value;
  const order = [...fields.map((field) => field.k).filter((key) => key in value), ...Object.keys(value).filter((key) => !fields.some((field) => field.k === key)).sort()];
  return Object.fromEntries(order.map((key) => {
    const form = fields.find((field) => field.k === key)?.f;
    const inner = value[key];
    return [key, Array.isArray(inner) ? inner.map((one) => arranged(form, one)) : arranged(form, inner)];
  }));
}

const LISTS = { readings: "Reading", shore: "ShoreVisit", extra: "ExtraDefect", disagree: "Disagreement" };

function finished() {
  const tree = findings();
  const clean = { format: tree.format, last_defect: tree.last_defect, report: arranged("ReportHead", pruned(tree.report) ?? {}) };
  for (const [key, value] of Object.entries(tree)) {
    if (key in clean) continue;
    if (key === "results") clean.results = value.map((one) => arranged("Result", { item: one.item, result: one.result, ...(pruned({ ...one, item: undefined, result: undefined }) ?? {}) }));
    else if (key === "installation") clean.installation = arranged("Installation", pruned(value));
    else if (key in LISTS) clean[key] = (pruned(value) ?? []).map((one) => arranged(LISTS[key], one));
    else clean[key] = pruned(value);
  }
  return Object.fromEntries(Object.entries(clean).filter(([, value]) => value !== undefined));
}

function about(sums, n, at) {
  const meta = get(["meta"]) ?? {};
  const offset = meta.offset === undefined ? null : Number(meta.offset);
  return `${JSON.stringify({
    format: "lugbook-capture/1", visit: desk.job.id, export: n, from: meta.from ?? null, program: DATA.program,
    findings: finished(), notice: get(["notice"]) ?? null, // the page has no reader of YAML: from these it loads its own export back
    checklist: DATA.lists.map(({ id, edition }) => ({ id, edition })), complete: !missing().some((row) => row.level === "error"), files: sums,
    clock: { phone: isoWithOffset(at), zone: Intl.DateTimeFormat().resolvedOptions().timeZone, started: meta.started ?? null, offset_s: offset, compared: meta.compared ?? null },
    events: steps(),
  }, null, 1)}\n`;
}

// Yields the files one by one, so that one picture at a time is in memory. A picture that is not there any more stops
// the export: the findings would name it.
async function* files() {
  yield ["findings.yaml", new Blob([COMMENT + yaml(finished())])];
  const done = new Set();
  for (const { photo } of photos()) {
    if (!photo.file || done.has(photo.file)) continue;
    done.add(photo.file);
    const record = await store.photo(desk.job.id, photo.file);
    if (!record) throw new Error(photo.file);
    yield [`photos/${photo.file}`, record.blob];
  }
  const notice = noticeText();
  if (notice) yield ["notice.yaml", new Blob([notice])];
}

export async function exportJob(progress) {
  const n = Number(get(["meta", "exports"]) ?? 0) + 1;
  const at = new Date();
  const name = `${(get(["report", "number"]) || "visit").replace(/[^A-Za-z0-9._-]+/g, "-")}-${n}.zip`;
  const zip = await makeZip(name, files(), (sums) => about(sums, n, at), progress);
  await markExported(n);
  return { zip, name };
}

let running = false;
let said = "";

async function run() {
  if (running) return;
  running = true;
  again();
  const total = new Set(photos().map(({ photo }) => photo.file)).size;
  let done = 0;
  try {
    const { zip, name } = await exportJob((path) => {
      if (!path.startsWith("photos/")) return;
      done += 1;
      document.getElementById("progress")?.replaceChildren(w("capture.ui.exporting", { n: done, m: total }));
    });
    said = w("capture.ui.exported", { name, size: size(zip.size) });
    document.documentElement.dataset.exported = name;
    await handOver(zip, name);
  } catch (error) {
    said = w("capture.ui.export_failed", { why: error.message });
  }
  running = false;
  again();
}

// The phone's clock against one that is trusted: the tap is the moment at which that clock showed the time entered.
function clockPart() {
  const meta = get(["meta"]) ?? {};
  const box = el("input", { type: "time", step: "1", id: "trusted", "data-field": "clock.trusted", value: clock() });
  const compare = () => {
    const at = new Date();
    const [h, m, s = 0] = box.value.split(":").map(Number);
    if (Number.isNaN(h) || Number.isNaN(m)) return;
    const shown = new Date(at);
    shown.setHours(h, m, s, 0);
    let offset = Math.round((at - shown) / 1000);
    if (offset > 43200) offset -= 86400; // around midnight the nearer day is meant
    if (offset < -43200) offset += 86400;
    change([[["meta", "offset"], String(offset)], [["meta", "compared"], isoWithOffset(at)]]);
    again();
  };
  return el("section", { class: "clock" }, el("h3", {}, w("capture.ui.clock")), el("p", { class: "soft" }, w("capture.ui.clock_why")),
    el("label", { for: "trusted" }, w("capture.ui.clock_shows")), el("div", { class: "row" }, box, button("compare", w("capture.ui.clock_now"), compare)),
    meta.offset === undefined ? null : el("p", { "data-offset": meta.offset }, w(Number(meta.offset) < 0 ? "capture.ui.clock_behind" : "capture.ui.clock_ahead", { n: Math.abs(Number(meta.offset)) })));
}

register("export", () => {
  const rows = missing();
  const list = (level) => rows.filter((row) => row.level === level);
  const lines = (level) => el("ul", { class: `lacks ${level}`, "data-lacks": level }, list(level).map((row) => el("li", {}, button("mend", row.text, () => go(...row.to), { class: "line", "data-for": row.field }))));
  const errors = list("error");
  return [el("h2", {}, w("capture.ui.export")),
    clockPart(),
    errors.length ? [el("p", { class: "caution" }, count("capture.ui.errors", errors.length)), lines("error")] : el("p", { "data-complete": "yes" }, w("capture.ui.complete")),
    list("note").length ? fold("export:notes", `${w("capture.ui.notes")} (${list("note").length})`, () => lines("note"), { class: "part" }) : null,
    el("div", { class: "actions" }, button("export", w(running ? "capture.ui.working" : errors.length ? "capture.ui.export_anyway" : "capture.ui.export_now"), run, { class: "go", disabled: running })),
    el("p", { id: "progress", role: "status" }, said), el("p", { class: "soft" }, w("capture.ui.export_why")), el("p", { class: "soft" }, w("capture.ui.precedence"))];
});
