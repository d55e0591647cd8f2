// One defect: what, where, seen, and how bad. What the checklist says of it stands as a hint until it is overwritten.

import { DATA, button, el, svg, w } from "./base.js";
import { change, get, itemOf } from "./doc.js";
import { fold, form } from "./forms.js";
import { go, register } from "./view.js";

// The level by the published matrix, from what was chosen here or, where nothing was, from the checklist's item.
function levelOf(defect, item) {
  if (defect.risk?.level) return defect.risk.level;
  const severity = defect.severity ?? item?.severity;
  const probability = defect.probability ?? item?.probability[defect.exposure ?? "usual"] ?? item?.probability.usual;
  const row = DATA.matrix[probability];
  return row?.[DATA.severities.indexOf(severity)] ?? null;
}

const FILL = { high: 1, serious: 0.75, medium: 0.5, low: 0.25, eliminated: 0 };

// A circle filled to a waterline, beside its word: the report's own mark.
export function level(defect, item) {
  const name = levelOf(defect, item);
  if (!name) return [el("span", { class: "level" }, w("capture.ui.no_level"))];
  const depth = 20 * FILL[name];
  const clip = `M 2 ${22 - depth} H 22 V 22 H 2 Z`;
  const id = `w-${name}`;
  const mark = svg("svg", { class: "waterline", viewBox: "0 0 24 24", "aria-hidden": "true" },
    svg("clipPath", { id }, svg("path", { d: clip })),
    svg("circle", { class: "fill", cx: 12, cy: 12, r: 10, "clip-path": `url(#${id})` }),
    svg("circle", { class: "rim", cx: 12, cy: 12, r: 10 }));
  return [el("span", { class: "level", "data-level": name }, mark, w(`level.${name}`))];
}

function usual(item) {
  if (!item) return null;
  const says = [w(`severity.${item.severity}`), w(`probability.${item.probability.usual}`), w(`harms.${item.harms}`), `${w("capture.field.danger")} ${w(`danger.${item.danger}`)}`];
  return el("p", { class: "soft" }, w("capture.ui.list_says", { what: says.join(", ") }));
}

function carried(defect) {
  if (!defect.carried) return null;
  const was = defect.carried;
  return el("section", { class: "carried" }, el("h3", {}, w("capture.ui.then", { report: was.report, day: was.visited ?? "" })),
    el("p", {}, el("strong", {}, was.title), ` · ${w(`level.${was.level}`)}`), el("p", {}, was.seen));
}

const FIRST = ["title", "place", "seen"];
const RISK = ["exposure", "probability", "severity", "heat_mark", "danger", "harms", "service"];
const SAID = ["told", "opinion", "readings"];
const REST = ["remedy", "why", "until_then", "at", "disagree", "risk", "id"];


register("defect", (part, ...steps) => {
  const path = [part, ...steps.map((step) => (/^\d+$/.test(step) ? Number(step) : step))];
  const defect = get(path);
  if (!defect) return el("p", {}, w("capture.ui.gone"));
  const item = itemOf[part.slice(8)];
  const model = part === "extra" ? "ExtraDefect" : "Defect";
  const shown = el("p", { class: "levelline", "aria-live": "polite" });
  const paint = () => shown.replaceChildren(...level(get(path) ?? {}, item), ...(get([...path, "id"]) ? [` · ${get([...path, "id"])}`] : []));
  paint();
  const hints = item ? { why: item.why, remedy: item.remedy } : {};
  const fields = (only) => form(model, path, { only, hints, after: only === RISK ? paint : null });
  const remove = () => {
    const list = path.slice(0, -1);
    const left = get(list).filter((_, n) => n !== path.at(-1));
    change([[list, left.length ? left : undefined]]);
    back(part, item);
  };
  return [el("h2", {}, w("result.defect")), item ? el("p", { class: "soft" }, item.question) : null, carried(defect),
    defect.carried ? fields(["now"]) : null, shown, fields(FIRST), form(model, path, { only: ["photos"] }), usual(item), fields(RISK),
    fold(`${path.join(".")}:said`, w("capture.ui.said"), () => fields(SAID), { class: "part", "data-part": `${path.join(".")}.said` }),
    fold(`${path.join(".")}:rest`, w("capture.ui.remedy_and_more"), () => fields(model === "ExtraDefect" ? [...REST, "source"] : REST), { class: "part", "data-part": `${path.join(".")}.rest` }),
    el("div", { class: "actions" }, button("done", w("capture.ui.done"), () => back(part, item), { class: "go" }), button("remove-defect", w("capture.ui.remove_defect"), remove, { class: "danger" }))];
});

function back(part, item) {
  if (!item) return go("extra");
  return go("walk", String(DATA.groups.findIndex((group) => group.items.some((row) => row.id === item.id))), item.id);
}
