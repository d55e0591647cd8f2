// The open job: its findings as a tree in which every scalar is the text as it would stand in the file, cut into parts
// (report, readings, installation, extra, shore, disagree, notice, meta, and results/ITEM for each answered item).
// Everything that changes it goes through change(), so that it is stored, logged and can be undone.

import { DATA, isoWithOffset, uuid } from "./base.js";
import * as store from "./store.js";

export const items = DATA.groups.flatMap((group) => group.items);
export const itemOf = Object.fromEntries(items.map((item) => [item.id, item]));
export const desk = { job: null }; // the job that is open
let parts = {};
let log = [];
let seq = 0;
const LISTS = new Set(["readings", "extra", "shore", "disagree"]);
const SAME_ENTRY = 4000; // ms: typing on in one field is one step of undo

export const result = (item) => parts[`results/${item}`] ?? {};

export function get(path) {
  let here = parts;
  for (const step of path) {
    if (here === null || here === undefined) return undefined;
    here = here[step];
  }
  return here;
}

function assign(path, value) {
  let here = parts;
  path.slice(0, -1).forEach((step, i) => {
    if (here[step] === undefined || here[step] === null) here[step] = typeof path[i + 1] === "number" ? [] : {};
    here = here[step];
  });
  const last = path.at(-1);
  if (value !== undefined) here[last] = value;
  else if (Array.isArray(here)) here[last] = null;
  else delete here[last];
}

const partOf = (name) => ({ job: desk.job.id, part: name, value: parts[name] ?? null });

// changes: [[path, value], ...]; undefined deletes. One call is one step of undo and one transaction.
export function change(changes) {
  const made = [];
  for (const [path, value] of changes) {
    const before = get(path);
    if (JSON.stringify(before) === JSON.stringify(value)) continue;
    made.push({ path, before: before === undefined ? undefined : structuredClone(before), after: value });
    assign(path, value);
  }
  if (!made.length) return Promise.resolve();
  const now = Date.now();
  const last = log.at(-1);
  const goesOn = last && made.length === 1 && last.changes.length === 1 && now - last.ms < SAME_ENTRY
    && typeof made[0].after === "string" && last.changes[0].path.join("\n") === made[0].path.join("\n");
  const entry = goesOn ? last : { job: desk.job.id, seq: (seq += 1), at: isoWithOffset(new Date(now)), changes: made };
  if (goesOn) last.changes[0].after = made[0].after;
  else log.push(entry);
  entry.ms = now;
  return keep(new Set(made.map((one) => one.path[0])), { log: [entry] });
}

function keep(names, more) {
  desk.job.changed = Date.now();
  desk.job.unexported = (desk.job.unexported ?? 0) + 1;
  desk.job.title = get(["report", "craft", "name"]) || get(["report", "number"]) || "";
  return store.save({ job: { ...desk.job }, parts: [...names].map(partOf), ...more });
}

export const canUndo = () => log.length > 0;

export function undo() {
  const entry = log.pop();
  if (!entry) return null;
  for (const one of [...entry.changes].reverse()) assign(one.path, one.before);
  keep(new Set(entry.changes.map((one) => one.path[0])), { unlog: [entry] });
  return entry.changes[0].path;
}

export const steps = () => log.map(({ at, changes }) => ({ at, paths: changes.map((one) => one.path.join(".")) }));

// Ids are never given twice, even if the defect is taken out again: the highest number only counts up.
export function nextDefect() {
  const n = Number(get(["meta", "last_defect"]) ?? 0) + 1;
  return [`d${n}`, [["meta", "last_defect"], String(n)]];
}

export function nextPhoto() {
  const n = Number(get(["meta", "last_photo"]) ?? 0) + 1;
  return [`p-${String(n).padStart(4, "0")}`, [["meta", "last_photo"], String(n)]];
}

// Where the fitted things rule a question out, it is not asked; what is not known is asked.
export function asked(item) {
  const fitted = get(["report", "craft", "fitted"]) ?? {};
  return !item.applies.length || item.applies.some((feature) => fitted[feature] !== "no");
}

export const answered = (item) => Boolean(result(item.id).result);
export const isOpen = (item) => asked(item) && !answered(item);

export function start(number) {
  const now = new Date();
  const made = { id: uuid(), created: now.getTime(), changed: now.getTime(), lists: DATA.lists.map((one) => one.id), title: number };
  return begin(made, {
    report: { number, checklists: DATA.lists.map((one) => one.id), ...(DATA.language === "en" ? {} : { language: DATA.language }) },
    meta: { started: isoWithOffset(now), exports: 0 },
  });
}

// A job that is there from now on: a new one, or one that was loaded.
export async function begin(record, tree) {
  desk.job = record;
  parts = tree;
  log = [];
  seq = 0;
  await keep(new Set(Object.keys(tree)), {});
  return desk.job;
}

export async function openJob(id) {
  desk.job = (await store.jobs()).find((one) => one.id === id) ?? null;
  if (!desk.job) return null;
  parts = Object.fromEntries((await store.parts(id)).filter((one) => one.value !== null).map((one) => [one.part, one.value]));
  log = (await store.log(id)).sort((a, b) => a.seq - b.seq);
  seq = log.at(-1)?.seq ?? 0;
  return desk.job;
}

export function closeJob() {
  desk.job = null;
  parts = {};
  log = [];
}

export function markExported(n) {
  parts.meta = { ...parts.meta, exports: n };
  desk.job.unexported = 0;
  desk.job.exported = Date.now();
  return store.save({ job: { ...desk.job }, parts: [partOf("meta")] });
}

// The tree as the findings file has it: results as a list in the order of the walk, the program's own keys left out.
export function findings() {
  const tree = { format: DATA.format, last_defect: String(get(["meta", "last_defect"]) ?? 0), report: parts.report ?? {} };
  for (const name of ["readings", "shore"]) if (parts[name]?.length) tree[name] = parts[name];
  const known = items.map((item) => item.id);
  const others = Object.keys(parts).filter((one) => one.startsWith("results/")).map((one) => one.slice(8));
  const order = [...known, ...others.filter((id) => !(id in itemOf))];
  tree.results = order.filter((id) => parts[`results/${id}`]).map((id) => resultEntry(id)).filter((one) => one);
  for (const name of ["extra", "installation", "disagree"]) if (parts[name] && Object.keys(parts[name]).length) tree[name] = parts[name];
  for (const [key, value] of Object.entries(parts.kept ?? {})) tree[key] = value;
  return tree;
}

function resultEntry(id) {
  const { result: word, extent, ...rest } = parts[`results/${id}`];
  if (word === undefined && extent === undefined && !Object.keys(rest).length) return null;
  return { item: id, result: word ?? null, extent: extent ?? null, ...rest };
}

// The other way round: a loaded tree into parts. Keys that this page does not know stay as they came.
export function partsOf(tree) {
  const { format: _format, last_defect: last, report, results, installation, ...rest } = tree;
  const made = { report: report ?? {}, meta: { last_defect: String(last ?? 0) } };
  if (installation) made.installation = installation;
  for (const entry of results ?? []) {
    const { item, ...given } = entry;
    made[`results/${item}`] = Object.fromEntries(Object.entries(given).filter(([, value]) => value !== null));
  }
  for (const name of LISTS) if (Array.isArray(rest[name])) made[name] = rest[name];
  const kept = Object.fromEntries(Object.entries(rest).filter(([key]) => !LISTS.has(key)));
  if (Object.keys(kept).length) made.kept = kept;
  return made;
}

// Every defect with the path to it and its item (null for those that no item asks for).
export function defects() {
  const found = [];
  for (const name of Object.keys(parts)) {
    if (!name.startsWith("results/")) continue;
    (parts[name].defects ?? []).forEach((defect, n) => found.push({ defect, path: [name, "defects", n], item: name.slice(8) }));
  }
  (parts.extra ?? []).forEach((defect, n) => found.push({ defect, path: ["extra", n], item: null }));
  return found;
}

// Every picture that the findings use, with the path to its entry.
export function photos() {
  const found = [];
  const take = (list, path) => (list ?? []).forEach((photo, n) => found.push({ photo, path: [...path, n] }));
  if (get(["report", "craft", "photo"])) found.push({ photo: get(["report", "craft", "photo"]), path: ["report", "craft", "photo"] });
  for (const name of Object.keys(parts)) if (name.startsWith("results/")) take(parts[name].photos, [name, "photos"]);
  for (const { defect, path } of defects()) {
    take(defect.photos, [...path, "photos"]);
    take(defect.carried?.photos, [...path, "carried", "photos"]);
  }
  return found;
}
