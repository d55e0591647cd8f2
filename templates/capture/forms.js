// A form made of fields, and lists of such forms. What is seldom needed is folded away.

import { DATA, button, el, flat, slug, w } from "./base.js";
import { change, get } from "./doc.js";
import { control, idOf, labelled, many, several, tuple } from "./fields.js";
import { photoList, photoOne } from "./photos.js";
import * as plan from "./plan.js";
import { again, ask } from "./view.js";

export const fieldsOf = (name) => DATA.forms[name];
const opened = new Set(); // folded parts that are open, so that drawing again leaves them open

export function fold(key, title, draw, props = {}) {
  const made = el("details", { open: opened.has(key), ...props }, el("summary", {}, title));
  const fill = () => {
    if (made.open && made.children.length === 1) made.append(...flat([draw()]));
    made.open ? opened.add(key) : opened.delete(key);
  };
  made.addEventListener("toggle", fill);
  if (made.open) fill();
  return made;
}

export const unfold = (key) => opened.add(key);

// only: the keys in the order wanted; without: keys left out; hints: key -> text shown while a field is empty.
export function form(name, path, { only = null, without = [], hints = {}, after = null } = {}) {
  const all = fieldsOf(name).filter((field) => !without.includes(field.k));
  const wanted = only ? only.map((key) => all.find((field) => field.k === key)) : all;
  const draw = (field) => one({ ...field, hint: hints[field.k] }, [...path, field.k], after);
  const main = wanted.filter((field) => only || !field.more || filled([...path, field.k])).map(draw);
  const rest = only ? [] : wanted.filter((field) => field.more && !filled([...path, field.k]));
  if (rest.length) main.push(fold(`${path.join(".")}:more`, w("capture.ui.more"), () => rest.map(draw), { class: "more", "data-more": path.join(".") }));
  return el("div", { class: "form" }, main);
}

const filled = (path) => {
  const value = get(path);
  return value !== undefined && value !== null && value !== "" && !(typeof value === "object" && !Object.keys(value).length);
};

export function one(field, path, after = null) {
  const pairs = field.t === "list" ? plan.several(field.k, path) : null;
  if (pairs) return pairs.length ? labelled(field, path, several(path, pairs)) : null;
  if (field.f === "Photo") return field.t === "forms" ? photoList(path) : photoOne(path);
  switch (field.t) {
    case "form":
      return part(field, path);
    case "forms":
      return listOf(field, path);
    case "list":
      return labelled(field, path, many(field, path));
    case "tuple":
      return labelled(field, path, tuple(field, path));
    case "group":
      return group(field, path);
    default:
      return labelled(field, path, control(field, path, after));
  }
}

function part(field, path) {
  return fold(path.join("."), field.l, () => form(field.f, path), { class: "part", "data-part": path.join(".") });
}

// A group of keys with values of one kind. The keys are known (what is fitted, both ends), or follow from the element:
// its contacts, the switches of the boat.
function group(field, path) {
  const keys = () => (field.keys.length ? field.keys : keysFor(field.k, path).map((key) => [key, key]));
  if (field.k !== "studs" && !keys().length) return null; // studs follow from what is entered above them, after this is drawn
  return fold(path.join("."), field.l, () => keys().map(([key, text]) => one({ ...field.of, k: key, l: text }, [...path, key])), { class: "part", "data-part": path.join(".") });
}

function keysFor(key, path) {
  const [, kind] = path;
  const element = get(path.slice(0, -1)) ?? {};
  if (key === "studs") return plan.stud(kind, element);
  if (key === "positions" && kind === "switches") return Object.keys(get(path) ?? {});
  const switches = [...(get(["installation", "switches"]) ?? []), ...(get(["installation", "relays"]) ?? [])];
  return switches.map((row) => row.id).filter(Boolean);
}

// Entries of a list, each folded to one line; a new one opens at once.
export function listOf(field, path, { fresh = () => ({}), title = headline } = {}) {
  const rows = (get(path) ?? []).map((entry, n) => {
    const at = [...path, n];
    const remove = async () => {
      change([[path, get(path).length > 1 ? get(path).filter((_, k) => k !== n) : undefined]]);
      again();
    };
    const draw = () => [form(field.f, at), button("remove", w("capture.ui.remove"), remove, { class: "danger", "data-for": at.join(".") })];
    return fold(at.join("."), title(entry ?? {}, n), draw, { class: "entry", "data-entry": at.join(".") });
  });
  const add = () => {
    const at = [...path, (get(path) ?? []).length];
    const made = fresh();
    change([[at, made]]);
    unfold(at.join("."));
    again();
    document.querySelector(`[data-entry="${CSS.escape(at.join("."))}"] summary`)?.focus();
  };
  return el("div", { class: "list", role: "group", "aria-label": field.l }, el("h3", {}, field.l), rows, button("add", w("capture.ui.add_to", { what: field.l }), add, { "data-for": path.join("."), class: "add" }));
}

function headline(entry, n) {
  const said = entry.title || entry.name || entry.place || entry.id;
  const figures = [entry.area ?? entry.awg, entry.length, entry.rating, entry.capacity, entry.current ?? entry.power, entry.value].filter(Boolean);
  return [said || w("capture.ui.nth", { n: n + 1 }), figures.join(", ")].filter(Boolean).join(" · ");
}

// A free short name from a title, for elements that others refer to.
export function freeId(text, fallback, taken) {
  const wanted = slug(text, fallback);
  let made = wanted;
  for (let n = 2; taken.includes(made); n += 1) made = `${wanted}-${n}`;
  return made;
}
