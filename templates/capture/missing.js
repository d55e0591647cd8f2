// What the export still lacks, by the same rules as 'lugbook check': the JSON Schema's required keys, bounds and
// conditions, and what no single value can tell. Errors would be refused by the program; notes only leave gaps.

import { DATA, w } from "./base.js";
import { defects, findings, get, isOpen, itemOf, items } from "./doc.js";
import { options } from "./fields.js";
import { terminals } from "./plan.js";
import { pruned } from "./yaml.js";

const NUMBER = /^\s*[<>]?\s*[+-]?([0-9]+(\.[0-9]+)?|\.[0-9]+)\s*(.*?)\s*$/;
const SHAPES = {
  ident: /^[a-z][a-z0-9]*(-[a-z0-9]+)*$/, defect: /^d[1-9][0-9]{0,4}$/, position: /^[a-z0-9]+(-[a-z0-9]+)*$/,
  terminal: /^[a-z][a-z0-9]*(-[a-z0-9]+)*(\.[a-z0-9]+(-[a-z0-9]+)*){0,2}$/, clock: /^([01][0-9]|2[0-3]):[0-5][0-9]$/,
  day: /^[0-9]{4}-[0-9]{2}-[0-9]{2}$/, count: /^(0|[1-9][0-9]{0,8})$/, fraction: /^[0-9]+(\.[0-9]{1,9})?$/, yesno: /^(yes|no)$/,
  gauge: /^(AWG )?(\d{1,2}|[1-4]\/0)$/,
};
const text = (value) => value === undefined || value === null || value === "" ;

function scalar(field, value, entry) {
  const said = String(value);
  if (field.max && said.length > field.max) return w("capture.ui.lacks.long", { n: field.max });
  if (field.max && field.max <= 200 && said.includes("\n")) return w("capture.ui.lacks.long", { n: field.max });
  if (field.t === "enum" && !options(field).some(([word]) => word === said)) return w("capture.ui.lacks.word");
  if (field.t === "quantity" || field.t === "reading") {
    const units = field.t === "quantity" ? field.u : DATA.reading[entry.quantity] ?? [];
    const unit = NUMBER.exec(said)?.[3];
    const kinds = new Set(units.map((one) => DATA.si[one][0]));
    return unit && kinds.has(DATA.si[unit]?.[0]) ? "" : w("capture.ui.lacks.quantity");
  }
  if (field.t === "extent") return extent(said);
  return SHAPES[field.t] && !SHAPES[field.t].test(said) ? w("capture.ui.lacks.shape") : "";
}

function extent(said) {
  const sample = /^sample ([0-9]{1,5}) of ([0-9]{1,5})(, (not )?tested)?$/.exec(said);
  if (sample) return Number(sample[1]) > 0 && Number(sample[1]) <= Number(sample[2]) ? "" : w("capture.ui.lacks.sample");
  return /^(whole|part seen|tested|not tested)(, (not )?tested)?$/.test(said) ? "" : w("capture.ui.lacks.sample");
}

// Walks a form's value with its fields. report(path, field, text) is called for every fault.
function walk(name, value, path, report) {
  const fields = DATA.forms[name];
  const by = Object.fromEntries(fields.map((field) => [field.k, field]));
  for (const field of fields) {
    if (field.req && text(value[field.k])) report([...path, field.k], field, w("capture.ui.lacks.empty"));
    else if (value[field.k] !== undefined && value[field.k] !== null) within(field, value[field.k], [...path, field.k], report, value);
  }
  for (const [key, words, needed] of DATA.needs[name] ?? []) {
    if (key && !words.includes(value[key])) continue;
    for (const one of needed) if (text(value[one]) && by[one] && !by[one].req) report([...path, one], by[one], w("capture.ui.lacks.empty"));
  }
  if ("area" in by && "awg" in by && text(value.area) === text(value.awg)) report([...path, "area"], by.area, w("capture.ui.lacks.one_size"));
  if (["Load", "Circuit"].includes(name) && text(value.current) === text(value.power)) report([...path, "current"], by.current, w("capture.ui.lacks.one_draw"));
  if (["Device", "Placed", "InlineDevice"].includes(name) && text(value.rating)) report([...path, "rating"], by.rating, w("capture.ui.lacks.empty"));
  if (name === "Node" && value.body && value.kind !== "body") report([...path, "kind"], by.kind, w("capture.ui.lacks.word"));
}

function within(field, value, path, report, entry) {
  const each = (of, list) => list.forEach((one, n) => !text(one) && within({ ...of, l: field.l, k: field.k }, one, [...path, n], report, entry));
  if (field.t === "form") walk(field.f, value, path, report);
  else if (field.t === "forms") value.forEach((one, n) => walk(field.f, one ?? {}, [...path, n], report));
  else if (field.t === "list") each(field.of, value);
  else if (field.t === "tuple") {
    if (value.length !== field.of.length || value.some(text)) report(path, field, w("capture.ui.lacks.pair"));
    else value.forEach((one, n) => within({ ...field.of[n], l: field.l, k: field.k }, one, [...path, n], report, entry));
  } else if (field.t === "group") for (const [key, one] of Object.entries(value)) within({ ...field.of, l: `${field.l}: ${key}`, k: key }, one, [...path, key], report, entry);
  else {
    const fault = scalar(field, value, entry);
    if (fault) report(path, field, fault);
  }
}

// Where to go to mend it: the view that shows the path.
function target(path) {
  const [part, ...rest] = path;
  if (part.startsWith("results/")) {
    const at = rest.indexOf("defects");
    if (at === 0) return ["defect", part, "defects", String(rest[1])];
    return ["walk", String(DATA.groups.findIndex((group) => group.items.some((row) => row.id === part.slice(8)))), part.slice(8)];
  }
  if (part === "extra" && rest.length) return ["defect", "extra", String(rest[0])];
  if (part === "readings" && rest.length) return ["reading", String(rest[0])];
  return [{ installation: "installation", disagree: "installation", shore: "readings", readings: "readings", extra: "extra", notice: "notice" }[part] ?? "boat"];
}

function whose(path) {
  const [part, ...rest] = path;
  if (part.startsWith("results/")) return rest[0] === "defects" ? (get([part, "defects", rest[1]])?.id ?? "") : part.slice(8);
  const near = path.slice(0, -1).map((_, n) => get(path.slice(0, n + 1))).filter((one) => one?.id || one?.name).at(-1);
  return near?.id ?? near?.name ?? w(`capture.ui.part.${part}`);
}

export function missing() {
  const rows = [];
  const report = (path, field, said) => rows.push({ level: "error", text: `${whose(path)}: ${field.l ?? field.k}: ${said}`, to: target(path), field: path.join(".") });
  const tree = (name) => pruned(get([name])) ?? null;
  walk("ReportHead", tree("report") ?? {}, ["report"], report);
  for (const entry of findings().results) walk("Result", pruned(entry) ?? {}, [`results/${entry.item}`], (path, field, said) => field.k !== "item" && report(path, field, said));
  (get(["readings"]) ?? []).forEach((one, n) => walk("Reading", pruned(one) ?? {}, ["readings", n], report));
  (get(["shore"]) ?? []).forEach((one, n) => walk("ShoreVisit", pruned(one) ?? {}, ["shore", n], report));
  (get(["extra"]) ?? []).forEach((one, n) => walk("ExtraDefect", pruned(one) ?? {}, ["extra", n], report));
  (get(["disagree"]) ?? []).forEach((one, n) => walk("Disagreement", pruned(one) ?? {}, ["disagree", n], report));
  if (tree("installation")) walk("Installation", tree("installation"), ["installation"], report);
  across(report);
  return [...rows, ...notes()];
}

// What needs more than one value to see.
function across(report) {
  const dates = [["instructed"], ["visit", "date"], ["date"], ["signature", "date"]].map((steps) => ["report", ...steps]).filter((path) => get(path));
  dates.slice(1).forEach((path, n) => get(path) < get(dates[n]) && report(path, { l: w("capture.field.date") }, w("capture.ui.lacks.order")));
  const known = new Set(["", ...(get(["readings"]) ?? []).map((row) => row?.id)]);
  doubled(["readings"], report);
  doubled(["report", "instruments"], report);
  const devices = (get(["report", "instruments"]) ?? []).map((row) => row?.id);
  (get(["readings"]) ?? []).forEach((row, n) => row?.instrument && !devices.includes(row.instrument) && report(["readings", n, "instrument"], { l: w("capture.field.instrument") }, w("capture.ui.lacks.unknown")));
  for (const { defect, path, item } of defects()) {
    for (const id of defect.readings ?? []) if (!known.has(id)) report([...path, "readings"], { l: w("capture.field.readings") }, w("capture.ui.lacks.unknown"));
    const probability = defect.probability ?? itemOf[item]?.probability[defect.exposure ?? "usual"] ?? itemOf[item]?.probability.usual;
    if (defect.heat_mark === "yes" && ["improbable", "eliminated"].includes(probability)) report([...path, "probability"], { l: w("capture.field.probability") }, w("capture.ui.lacks.heat"));
  }
  for (const item of items) {
    const now = get([`results/${item.id}`]) ?? {};
    const open = (now.defects ?? []).some((row) => !["fixed", "gone"].includes(row.now));
    if (now.result === "defect" && now.defects?.length && !open) report([`results/${item.id}`, "result"], { l: w("capture.field.result") }, w("capture.ui.lacks.all_fixed"));
    if (now.result && now.result !== "defect" && open) report([`results/${item.id}`, "result"], { l: w("capture.field.result") }, w("capture.ui.lacks.still_open"));
  }
  ends(report);
}

function doubled(path, report) {
  const seen = new Set();
  (get(path) ?? []).forEach((row, n) => (seen.has(row?.id) ? report([...path, n, "id"], { l: w("capture.field.id") }, w("capture.ui.lacks.twice")) : seen.add(row?.id)));
}

function ends(report) {
  const plan = get(["installation"]);
  if (!plan) return;
  const known = new Set(terminals().flatMap((group) => group.options.map(([value]) => value)));
  for (const kind of ["conductors", "circuits", "joins", "bonds"]) {
    (plan[kind] ?? []).forEach((row, n) => ["from", "to"].forEach((key) => {
      if (!row?.[key]) return;
      const odd = /\.(top|neg|pos|link|block|\d)/.test(row[key].slice(row[key].indexOf("."))) && row[key].includes("."); // inner points of banks
      if (!known.has(row[key]) && !odd) report(["installation", kind, n, key], { l: w(`capture.field.${key}`) }, w("capture.ui.lacks.unknown"));
    }));
  }
}

function notes() {
  const open = items.filter(isOpen);
  const rows = [];
  if (open.length) rows.push({ level: "note", text: w("capture.ui.lacks.open", { n: open.length }), to: target([`results/${open[0].id}`]), field: "" });
  const needed = DATA.needed.filter((steps) => text(get(["report", ...steps])) || get(["report", ...steps])?.length === 0);
  for (const steps of needed) rows.push({ level: "note", text: `${w("capture.ui.lacks.later")} ${label(steps)}`, to: ["boat"], field: ["report", ...steps].join(".") });
  for (const { defect, path } of defects()) {
    if (defect.carried && !defect.now) rows.push({ level: "note", text: `${defect.id}: ${w("capture.ui.lacks.now")}`, to: target(path), field: [...path, "now"].join(".") });
  }
  return rows;
}

function label(steps) {
  let form = "ReportHead";
  return steps.map((step) => {
    const field = DATA.forms[form].find((row) => row.k === step);
    form = field.f ?? form;
    return field.l;
  }).join(", ");
}
