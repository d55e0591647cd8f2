// What every other module needs: the data that the page was made with, words, and elements without markup from strings.
//
// For whoever drives this page (tests, screen readers' scripts): every control carries stable attributes, the same in
// every language. data-field="report.client.name" (the path in the findings, results as results/ITEM), data-item,
// data-result + data-extent (the one-tap answers), data-act (buttons), data-view on <main>. On <html>:
// data-ready="yes" once the page has started, data-stored = number of finished transactions, data-pending = entries not
// yet on disk, data-storage = "kept" or "refused". File inputs are real ones.

export const DATA = JSON.parse(document.getElementById("data").textContent);
export const root = document.documentElement;
const plurals = new Intl.PluralRules(DATA.language);

// A word of the catalogue. Placeholders look like {n}. A key that is not there shows itself: tests look for that.
export function w(key, values = {}) {
  const text = DATA.words[key] ?? `[${key}]`;
  return text.replace(/\{(\w+)\}/g, (whole, name) => (name in values ? String(values[name]) : whole));
}

export function count(key, n, values = {}) {
  const form = `${key}.${plurals.select(n)}`;
  return w(form in DATA.words ? form : `${key}.other`, { n, ...values });
}

// el("button", {class: "go", "data-act": "add", onclick: f}, "text", child, ...). Null and false children are left out.
export function el(tag, props = {}, ...children) {
  const made = document.createElement(tag);
  for (const [key, value] of Object.entries(props)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (key === "value") made.value = value;
    else made.setAttribute(key, value === true ? "" : value);
  }
  made.append(...flat(children));
  return made;
}

export const flat = (children) => children.flat(Infinity).filter((one) => one !== null && one !== undefined && one !== false);

const SVG = "http://www.w3.org/2000/svg";
export function svg(tag, props = {}, ...children) {
  const made = document.createElementNS(SVG, tag);
  for (const [key, value] of Object.entries(props)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}

export function button(act, text, onclick, props = {}) {
  return el("button", { type: "button", "data-act": act, onclick, ...props }, text);
}

// The findings refuse control and direction characters, which keyboards and voice typing do produce now and then.
const HIDDEN = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\u061c\u180e\u200b\u200e\u200f\u202a-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\ufffe\uffff]|[\u{e0000}-\u{e007f}]/gu;
const ALONE = /[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g;
export function clean(text) {
  return text.replace(/[\u2028\u2029]|\r\n?/g, "\n").replace(HIDDEN, "").replace(ALONE, "");
}

export function slug(text, fallback) {
  const plain = text.normalize("NFKD").replace(/[\u0300-\u036f]/g, "").toLowerCase();
  const made = plain.replace(/[^a-z0-9]+/g, "-").replace(/^[-0-9]+|-+$/g, "").slice(0, 40).replace(/-+$/, "");
  return made || fallback;
}

export function uuid() {
  const bytes = crypto.getRandomValues(new Uint8Array(16)); // randomUUID is missing where the page is no secure context
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

const two = (n) => String(n).padStart(2, "0");
export const today = (at = new Date()) => `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
export const clock = (at = new Date()) => `${two(at.getHours())}:${two(at.getMinutes())}`;

// 2026-06-02T09:30:05.250+02:00: the phone's own time with its offset, which toISOString would drop.
export function isoWithOffset(at) {
  const minutes = -at.getTimezoneOffset();
  const sign = minutes < 0 ? "-" : "+";
  const offset = `${sign}${two(Math.floor(Math.abs(minutes) / 60))}:${two(Math.abs(minutes) % 60)}`;
  const rest = `${two(at.getHours())}:${two(at.getMinutes())}:${two(at.getSeconds())}`;
  return `${today(at)}T${rest}.${String(at.getMilliseconds()).padStart(3, "0")}${offset}`;
}

// A size for people: kB below a megabyte, MB above.
export function size(bytes) {
  const [share, unit] = bytes < 1e6 ? [1e3, "kB"] : [1e6, "MB"];
  return `${new Intl.NumberFormat(DATA.language, { maximumFractionDigits: bytes < 1e7 && unit === "MB" ? 1 : 0 }).format(bytes / share)} ${unit}`;
}
