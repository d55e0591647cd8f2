// The tree as YAML that a person goes on writing in and that 'lugbook check' reads back to the same values: the rules
// are those of compose/yaml_text.py. A text that YAML readers could take for something else stands in double quotes,
// written as JSON does: every JSON string is a YAML string.

import { DATA } from "./base.js";

const PLAIN = /^[A-Za-z][A-Za-z0-9 ._/()'+-]*$/;
const FIGURE = /^(?:[<>]? ?[0-9]+(?:\.[0-9]+)? [A-Za-z0-9]+|[0-9]{4}-[0-9]{2}-[0-9]{2}|[0-2][0-9]:[0-9]{2}|(?:0|[1-9][0-9]*)(?:\.[0-9]+)?)$/;
const WORDS = /^(?:y|n|yes|no|on|off|true|false|null)$/i;
const YES_NO = new Set(DATA.yesNo);
const KEY = /^[a-z][a-z0-9_-]*$/;
const WIDTH = 108;

export function scalar(value, key = "") {
  if (value === null || value === undefined) return "";
  const text = String(value);
  if (YES_NO.has(key) && (text === "yes" || text === "no")) return text;
  const plain = PLAIN.test(text) && text === text.trim() && !WORDS.test(text);
  return plain || FIGURE.test(text) ? text : JSON.stringify(text);
}

const keyText = (key) => (KEY.test(key) && !WORDS.test(key) ? key : JSON.stringify(key));

// In a line with brackets a comma or a sign would end the value: all but plain words and figures are quoted there.
function flowed(value) {
  if (Array.isArray(value)) return `[${value.map(flowed).join(", ")}]`;
  const text = scalar(value);
  return text === "" ? "null" : text[0] === "<" || text[0] === ">" ? JSON.stringify(String(value)) : text;
}

function entry(key, value, indent) {
  const pad = " ".repeat(indent);
  const name = `${pad}${keyText(key)}:`;
  if (value === null || value === undefined) return `${name}\n`;
  if (Array.isArray(value)) {
    if (value.some((one) => one !== null && typeof one === "object" && !Array.isArray(one))) return `${name}\n${yaml(value, indent + 2)}`;
    const flow = `${name} ${flowed(value)}\n`;
    return flow.length <= WIDTH || value.some(Array.isArray) ? flow : `${name}\n${yaml(value, indent + 2)}`;
  }
  if (typeof value === "object") {
    const inner = yaml(value, indent + 2);
    return inner ? `${name}\n${inner}` : `${name} {}\n`;
  }
  const parent = YES_NO.has(key) ? key : "";
  return `${name} ${scalar(value, parent)}\n`;
}

export function yaml(data, indent = 0) {
  const pad = " ".repeat(indent);
  if (!Array.isArray(data)) return Object.entries(data).map(([key, value]) => entry(key, value, indent)).join("");
  return data.map((one) => {
    if (one !== null && typeof one === "object" && !Array.isArray(one) && Object.keys(one).length) {
      return `${pad}- ${yaml(one, indent + 2).slice(indent + 2)}`;
    }
    return `${pad}- ${flowed(one)}\n`;
  }).join("");
}

// Empty texts and groups left behind by taking things back are no entries.
export function pruned(value) {
  if (Array.isArray(value)) {
    const list = value.map(pruned).filter((one) => one !== undefined);
    return list.length ? list : undefined;
  }
  if (value !== null && typeof value === "object") {
    const entries = Object.entries(value).map(([key, one]) => [key, pruned(one)]).filter(([, one]) => one !== undefined);
    return entries.length ? Object.fromEntries(entries) : undefined;
  }
  if (value === null || value === undefined) return undefined;
  const text = String(value).trim();
  return text === "" ? undefined : text;
}
