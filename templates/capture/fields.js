// One control for each type of field. A control reads its value from the open job and writes every keystroke back;
// nothing waits for a button. Types come from the JSON Schema of the findings (compose/capture_forms.py).

import { DATA, button, clean, clock, el, slug, today, w } from "./base.js";
import { change, get } from "./doc.js";
import { choices, contacts, rename } from "./plan.js";
import { again } from "./view.js";

export const idOf = (path) => `f-${path.join("-").replace(/[^A-Za-z0-9-]/g, "_")}`;
const nameOf = (path) => path.join(".");
const put = (path, value) => change([[path, value === "" ? undefined : value]]);
export const options = (field) => (typeof field.o === "number" ? DATA.options[field.o] : field.o);

// The block of label, control and message. Groups of buttons get their label by aria-labelledby.
export function labelled(field, path, control, extra = []) {
  const id = idOf(path);
  const required = field.req ? el("span", { class: "req" }, ` ${w("capture.ui.required")}`) : null;
  const single = control.matches("input, select, textarea") || control.querySelector(`#${id}`);
  const label = single ? el("label", { for: id }, field.l, required) : el("p", { class: "label", id: `${id}-l` }, field.l, required);
  if (!single) control.setAttribute("aria-labelledby", `${id}-l`);
  return el("div", { class: `field t-${field.t}` }, label, control, extra);
}

function input(path, field, props) {
  const at = { id: idOf(path), "data-field": nameOf(path), autocomplete: "off", value: get(path) ?? "" };
  return el("input", { ...at, oninput: (event) => put(path, clean(event.target.value).replace(/\n/g, " ")), maxlength: field.max, ...props });
}

function area(path, field) {
  const fit = (box) => {
    box.style.height = "auto";
    box.style.height = `${box.scrollHeight + 4}px`;
  };
  const typed = (event) => {
    put(path, clean(event.target.value));
    fit(event.target);
  };
  const box = el("textarea", { id: idOf(path), "data-field": nameOf(path), rows: "2", maxlength: field.max, placeholder: field.hint, value: get(path) ?? "", oninput: typed });
  requestAnimationFrame(() => fit(box));
  return box;
}

// Buttons side by side of which at most one is pressed; a second tap takes it back. `after` draws the view anew.
export function segments(path, pairs, after = null) {
  const name = nameOf(path);
  const box = el("div", { class: "segments", role: "group" });
  const paint = () => {
    for (const one of box.children) one.setAttribute("aria-pressed", String(one.dataset.value === (get(path) ?? "")));
  };
  for (const [value, text] of pairs) {
    const tap = () => {
      put(path, get(path) === value ? "" : value);
      paint();
      after?.();
    };
    box.append(el("button", { type: "button", "data-field": name, "data-value": value, onclick: tap }, text));
  }
  paint();
  return box;
}

export function pick(path, groups, after = null) {
  const now = get(path) ?? "";
  const flat = groups.flatMap((group) => group.options);
  const other = now && !flat.some(([value]) => value === now) ? [[now, now]] : [];
  const rows = (pairs) => pairs.map(([value, text]) => el("option", { value, selected: value === now }, text));
  const typed = () => {
    put(path, select.value);
    after?.();
  };
  const select = el("select", { id: idOf(path), "data-field": nameOf(path), onchange: typed }, el("option", { value: "" }, "–"), rows(other));
  for (const group of groups) select.append(...(group.title ? [el("optgroup", { label: group.title }, rows(group.options))] : rows(group.options)));
  return select;
}

const NUMBER = /^([<>]?)\s*([+-]?[0-9.,]*)\s*(.*)$/;

// A number and its unit. The unit's buttons stand beside it; the first is chosen until another is tapped.
export function quantity(path, field, after = null) {
  const units = field.u?.length ? field.u : [""];
  const [, bound, number, unit] = NUMBER.exec(get(path) ?? "") ?? ["", "", "", ""];
  const now = { bound, number, unit: unit || units[0] };
  const message = el("p", { class: "message", id: `${idOf(path)}-m`, "aria-live": "polite" });
  const store = () => {
    const plain = now.number.replace(",", ".").replace(/\s/g, "").replace(/^([+-]?[0-9]+)\.$/, "$1");
    put(path, plain === "" ? "" : `${now.bound ? `${now.bound} ` : ""}${plain} ${now.unit}`);
    const wrong = plain !== "" && !/^[+-]?([0-9]+(\.[0-9]+)?|\.[0-9]+)$/.test(plain);
    box.setAttribute("aria-invalid", String(wrong));
    message.textContent = wrong ? w("capture.ui.no_number") : "";
    after?.(message);
  };
  const box = el("input", { id: idOf(path), "data-field": nameOf(path), inputmode: "decimal", autocomplete: "off", value: now.number, "aria-describedby": message.id });
  box.addEventListener("input", () => {
    now.number = box.value;
    store();
  });
  const row = el("div", { class: "quantity" });
  if (field.bound) row.append(choice(["<", ">"].map((one) => [one, one, w(`bound.${one}`)]), () => now.bound, (one) => (now.bound = one === now.bound ? "" : one), store, `${nameOf(path)}:bound`));
  row.prepend(box);
  if (units.length > 1) row.append(choice(unitPairs(units, now.unit), () => now.unit, (one) => (now.unit = one), store, `${nameOf(path)}:unit`));
  else row.append(el("span", { class: "unit" }, DATA.units[units[0]] ?? units[0]));
  if (field.pick) row.append(sizes(field, path, (one) => {
    box.value = now.number = one;
    store();
  }));
  if (get(path)) queueMicrotask(() => after?.(message));
  return el("div", {}, row, message);
}

// The sizes that are made, for one tap more; what is none of them is typed.
function sizes(field, path, take) {
  const typed = (event) => {
    if (event.target.value) take(event.target.value);
    event.target.value = "";
  };
  return el("select", { class: "sizes", "aria-label": w("capture.ui.sizes"), "data-field": `${nameOf(path)}:size`, onchange: typed }, el("option", { value: "" }, w("capture.ui.sizes")), field.pick.map((one) => el("option", { value: one }, `${one} ${DATA.units[field.u[0]]}`)));
}

const unitPairs = (units, now) => [...new Set([...units, now])].map((one) => [one, DATA.units[one] ?? one]);

function choice(pairs, read, write, after, name) {
  const box = el("div", { class: "segments units", role: "group", "aria-label": w(name.endsWith(":bound") ? "capture.ui.bound" : "capture.ui.unit") });
  const paint = () => [...box.children].forEach((one) => one.setAttribute("aria-pressed", String(one.dataset.value === read())));
  for (const [value, text, said] of pairs) {
    const tap = () => {
      write(value);
      paint();
      after();
    };
    box.append(el("button", { type: "button", "data-field": name, "data-value": value, "aria-label": said, onclick: tap }, text));
  }
  paint();
  return box;
}

function moment(path, field) {
  const isDay = field.t === "day";
  const box = input(path, field, { type: isDay ? "date" : "time" });
  const now = () => {
    box.value = isDay ? today() : clock();
    put(path, box.value);
  };
  return el("div", { class: "row" }, box, button("now", w(isDay ? "capture.ui.today" : "capture.ui.this_minute"), now, { "data-for": nameOf(path) }));
}

// The short name of a thing: other entries refer to it, so it changes when the field is left, and they change with it.
function ident(path, field) {
  const commit = (event) => {
    const wanted = slug(event.target.value, "");
    event.target.value = wanted;
    change(rename(path, get(path), wanted || undefined));
  };
  return input(path, field, { oninput: null, onchange: commit, autocapitalize: "none", spellcheck: "false" });
}

const SHORT = 4; // up to so many choices stand as buttons, more in a list

export function control(field, path, after = null) {
  const key = path.at(-1);
  const list = choices(key, path);
  if (list && key !== "id") return list.many ? null : pick(path, list, after);
  switch (field.t) {
    case "text":
      return area(path, field);
    case "enum":
      return options(field).length <= SHORT ? segments(path, options(field), after) : pick(path, [{ options: options(field) }], after);
    case "gauge":
      return pick(path, [{ options: options(field) }]);
    case "yesno":
      return segments(path, [["yes", w("capture.ui.yes")], ["no", w("capture.ui.no")]], after);
    case "quantity":
      return quantity(path, field, after);
    case "reading":
      return quantity(path, { ...field, u: DATA.reading[get([...path.slice(0, -1), "quantity"])] ?? [], bound: true }, after);
    case "day":
    case "clock":
      return moment(path, field);
    case "count":
      return input(path, field, { inputmode: "numeric", pattern: "[0-9]*" });
    case "fraction":
      return input(path, field, { inputmode: "decimal" });
    case "ident":
      return ident(path, field);
    default:
      return input(path, { max: 200, ...field }, {});
  }
}

export function tuple(field, path) {
  const both = field.of.map((one, n) => {
    const made = control(one, [...path, n]);
    (made.matches("input, select") ? made : made.querySelector("input, select"))?.setAttribute("aria-label", `${field.l ?? ""} ${n + 1}`);
    return made;
  });
  return el("div", { class: "tuple", role: "group", "data-tuple": nameOf(path) }, both);
}

// Several values of one kind, one below the other, each with its own delete button.
export function many(field, path) {
  const values = get(path) ?? [];
  const rows = values.map((_, n) => {
    const at = [...path, n];
    const made = field.of.t === "tuple" ? tuple({ ...field.of, l: field.l }, at) : control(field.of, at);
    const one = made.matches("input, textarea, select") ? made : made.querySelector("input");
    one?.setAttribute("aria-label", `${field.l} ${n + 1}`);
    const remove = () => {
      change([[path, values.length > 1 ? get(path).filter((__, k) => k !== n) : undefined]]);
      again();
    };
    return el("div", { class: "row" }, made, button("remove", "×", remove, { "aria-label": w("capture.ui.remove_nth", { what: field.l, n: n + 1 }), class: "small" }));
  });
  const add = () => {
    change([[[...path, values.length], field.of.t === "tuple" ? [null, null] : ""]]);
    again(nameOf([...path, values.length]));
  };
  return el("div", { role: "group" }, rows, button("add", w("capture.ui.add"), add, { "data-for": nameOf(path), "aria-label": w("capture.ui.add_to", { what: field.l }) }));
}

// Several of a known set: each a button that is pressed or not.
export function several(path, pairs) {
  const box = el("div", { class: "segments", role: "group" });
  const values = () => get(path) ?? [];
  for (const [value, text] of pairs) {
    const tap = () => {
      const kept = values().includes(value) ? values().filter((one) => one !== value) : [...values(), value];
      put(path, kept.length ? kept : "");
      one.setAttribute("aria-pressed", String(values().includes(value)));
    };
    const one = el("button", { type: "button", "data-field": nameOf(path), "data-value": value, "aria-pressed": String(values().includes(value)), onclick: tap }, text);
    box.append(one);
  }
  return box;
}
