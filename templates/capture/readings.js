// Readings: a number on a pad of units, judged against its limit the moment it is typed.

import { DATA, button, clock, el, w } from "./base.js";
import { change, get, nextDefect } from "./doc.js";
import { level } from "./defect.js";
import { fieldsOf, form, freeId, listOf } from "./forms.js";
import { go, register } from "./view.js";

const SI = DATA.si;
const VALUE = /^([<>]?)\s*([+-]?[0-9]*\.?[0-9]+)\s*(\S.*)$/;

export function si(text) {
  const [, bound, number, unit] = VALUE.exec(text ?? "") ?? [];
  const known = SI[unit];
  return known ? { bound, value: Number(number) * known[1] + known[2], kind: known[0] } : null;
}

// What is plainly a slip of the thumb on a small craft. The limits proper are the program's; these only ask 'sure?'.
function slip(quantity, read) {
  const range = DATA.plausible[quantity];
  return range && (read.value < range[0] || read.value > range[1]) ? w("capture.ui.sure") : "";
}

// The limit of a mains test, by the figures that the program judges with.
function shoreLimit(entry) {
  const read = si(entry.value);
  if (!read) return "";
  const { shore } = DATA;
  const says = (fine, limit) => `${w(fine ? "capture.ui.within" : "capture.ui.departs")} (${limit})`;
  if (entry.test === "earth continuity") return says(read.value <= shore.continuity[0], shore.continuity[1]);
  if (entry.test === "insulation") {
    const [least, clause] = shore.insulation[entry.extra_low === "yes" ? "extra-low" : "mains"];
    return says(read.value >= least, clause);
  }
  if (entry.test === "rcd time") {
    const limits = shore[entry.delayed === "yes" ? "delayed" : "prompt"][entry.times];
    return limits ? says(read.value >= limits[0] && read.value <= limits[1], shore.rcd) : "";
  }
  const rated = si(entry.rated);
  if (entry.test === "rcd current" && rated) return says(read.value <= rated.value && read.value > rated.value * shore.half, shore.rcd);
  return "";
}

// A torque against the usual one of the stud named in the place, a rest voltage against what a charged block shows:
// both only where the words say so. Everything else is computed later, from the whole installation.
function torqueLimit(entry, read) {
  const stud = /\b(M\d{1,2})\b/.exec(`${entry.place ?? ""} ${entry.note ?? ""}`)?.[1];
  const range = entry.quantity === "torque" && DATA.torque[stud];
  if (!range) return "";
  const fine = read.value >= range[0] && read.value <= range[1];
  return `${w(fine ? "capture.ui.within" : "capture.ui.departs")} (${w("capture.ui.torque_of", { stud, low: range[0], high: range[1] })})`;
}

export function remark(entry, isShore) {
  const read = si(entry?.value);
  if (!read) return "";
  return isShore ? shoreLimit(entry) : torqueLimit(entry, read) || slip(entry.quantity, read);
}

const PRESETS = ["voltage", "current", "resistance", "insulation resistance", "temperature", "torque", "length", "relative density"];

function add(quantity) {
  const rows = get(["readings"]) ?? [];
  const last = rows.at(-1);
  const id = freeId(`r${rows.length + 1}`, "r1", rows.map((row) => row?.id));
  const at = ["readings", rows.length];
  change([[at, { id, quantity, ...(last?.instrument ? { instrument: last.instrument } : {}), time: clock() }]]);
  go("reading", String(rows.length));
}

function line(entry) {
  return [entry.place || w("capture.ui.untitled"), entry.value].filter(Boolean).join(": ");
}

register("readings", () => {
  const rows = (get(["readings"]) ?? []).map((entry, n) => button("open-reading", line(entry ?? {}), () => go("reading", String(n)), { class: "line", "data-n": n }));
  const shore = fieldsOf("ShoreVisit").find((field) => field.k === "readings");
  return [el("h2", {}, w("capture.ui.readings")), rows.length ? rows : el("p", { class: "soft" }, w("capture.ui.no_readings")),
    el("h3", {}, w("capture.ui.add_reading")), el("div", { class: "taps others" }, PRESETS.map((one) => button("add-reading", w(`quantity.${one}`), () => add(one), { "data-value": one }))),
    el("p", { class: "caution" }, DATA.cautions["mains-qualified"]),
    listOf({ f: "ShoreVisit", l: w("capture.ui.shore"), k: "shore", ...(shore ? {} : {}) }, ["shore"], { title: (entry) => (entry.mode ? w(`shore.mode.${entry.mode}`) : w("capture.ui.untitled")) })];
});

register("reading", (n) => {
  const path = ["readings", Number(n)];
  if (!get(path)) return el("p", {}, w("capture.ui.gone"));
  const after = (message) => {
    if (message?.classList?.contains("message") && !message.textContent) message.textContent = remark(get(path) ?? {}, false);
  };
  const remove = () => {
    const left = get(["readings"]).filter((_, k) => k !== path[1]);
    change([[["readings"], left.length ? left : undefined]]);
    go("readings");
  };
  const kind = fieldsOf("Reading").find((field) => field.k === "quantity");
  const only = ["value", "place", "state", "instrument", "time"];
  const more = fieldsOf("Reading").filter((field) => ![...only, "quantity", "id"].includes(field.k)).map((field) => field.k);
  return [el("h2", {}, w(`quantity.${get([...path, "quantity"])}`)), form("Reading", path, { only, after }),
    el("details", { class: "more", "data-more": path.join(".") }, el("summary", {}, w("capture.ui.more")), form("Reading", path, { only: [kind.k, "id", ...more] })),
    el("div", { class: "actions" }, button("done", w("capture.ui.done"), () => go("readings"), { class: "go" }), button("remove", w("capture.ui.remove"), remove, { class: "danger" }))];
});

// Defects that no question asks for.
register("extra", () => {
  const rows = (get(["extra"]) ?? []).map((defect, n) => button("open-defect", [level(defect, null), ` ${defect.title || w("capture.ui.untitled")}`].flat(), () => go("defect", "extra", String(n)), { class: "line", "data-n": n }));
  const fresh = () => {
    const [id, counted] = nextDefect();
    const at = ["extra", (get(["extra"]) ?? []).length];
    change([counted, [at, { id }]]);
    go("defect", ...at.map(String));
  };
  return [el("h2", {}, w("capture.ui.extra")), el("p", { class: "soft" }, w("capture.ui.extra_why")), rows, button("add-extra", w("capture.ui.add_defect"), fresh, { class: "add" })];
});
