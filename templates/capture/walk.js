// The walk: one stop of the boat at a time, each question with its answers under the thumb. An answer is given in one
// tap together with how far was looked; nothing is chosen beforehand.

import { DATA, button, count, el, w } from "./base.js";
import { answered, asked, change, get, isOpen, itemOf, items, nextDefect, result } from "./doc.js";
import { level } from "./defect.js";
import { fieldsOf, fold, one } from "./forms.js";
import { photoList } from "./photos.js";
import { again, go, register } from "./view.js";

const EXTENTS = [["whole", "all"], ["whole, tested", "all_tested"], ["part seen", "part"], ["sample", "sample"]];
const NEEDS_REASON = ["further investigation", "not applicable", "not inspected"];
const reopened = new Set(); // answered questions whose answers are shown again
let recent = null; // the question answered last stays open for what belongs to its answer

const field = (key) => fieldsOf("Result").find((row) => row.k === key);
const groupOf = (item) => DATA.groups.findIndex((group) => group.items.some((row) => row.id === item));

export function jump(item) {
  recent = item;
  go("walk", String(groupOf(item)), item);
}

export function nextOpen(from = 0) {
  const order = [...DATA.groups.slice(from), ...DATA.groups.slice(0, from)];
  return order.flatMap((group) => group.items).find(isOpen);
}

// A tap answers: result and extent together. A first defect is begun at once, as that is what comes next.
function answer(item, word, extent) {
  const path = [`results/${item.id}`];
  const changes = [[[...path, "result"], word], [[...path, "extent"], extent ?? undefined]];
  const open = (result(item.id).defects ?? []).length;
  if (word !== "defect" && !NEEDS_REASON.includes(word)) changes.push([[...path, "reason"], undefined]);
  if (word === "defect" && !open) {
    const [id, counted] = nextDefect();
    changes.push(counted, [[...path, "defects"], [{ id }]]);
  }
  if (word !== "defect" && open) {
    // what was written of a defect that turns out to be none is not thrown away unseen: undo brings it back
    const kept = result(item.id).defects.filter((row) => row.carried);
    changes.push([[...path, "defects"], kept.length ? kept : undefined]);
  }
  change(changes);
  reopened.delete(item.id);
  recent = item.id;
  if (word === "defect" && !open) go("defect", `results/${item.id}`, "defects", "0");
  else settle(item);
}

// The buttons of the answer make room for what belongs to it; the focus stays with the question.
function settle(item) {
  const card = () => document.getElementById(`i-${item.id}`);
  const top = card().getBoundingClientRect().top;
  again();
  window.scrollBy(0, card().getBoundingClientRect().top - top); // what folds above must not pull the question away
  const heading = card().querySelector("h3");
  heading.setAttribute("tabindex", "-1");
  heading.focus({ preventScroll: true });
}

function tap(item, word, extent, text, style) {
  const now = result(item.id);
  const pressed = now.result === word && (extent === undefined || now.extent === extent || (extent === "sample 1 of 1" && now.extent?.startsWith("sample")));
  return el("button", { type: "button", class: style, "data-item": item.id, "data-result": word, "data-extent": extent ?? "", "aria-pressed": String(pressed), onclick: () => answer(item, word, extent) }, text);
}

function answers(item) {
  const row = (word, style) => el("div", { class: `answer ${style}`, role: "group", "aria-label": w(`result.${word}`) },
    el("p", { class: "word" }, w(`result.${word}`)),
    el("div", { class: "taps" }, EXTENTS.map(([extent, key]) => tap(item, word, extent === "sample" ? "sample 1 of 1" : extent, w(`capture.ui.extent.${key}`), ""))));
  return el("div", { class: "answers" }, row("no departure seen", "fine"), row("defect", "bad"),
    el("div", { class: "taps others" },
      tap(item, "further investigation", "part seen", w("result.further investigation"), ""),
      tap(item, "not applicable", undefined, w("result.not applicable"), ""),
      tap(item, "not inspected", undefined, w("result.not inspected"), "")));
}

const SAMPLE = /^sample (\d*) of (\d*)/;

// How far, once more in parts: for the cases that one tap does not name.
function extentEditor(item) {
  const path = [`results/${item.id}`, "extent"];
  const now = get(path) ?? "";
  if (!now || NEEDS_REASON.slice(1).includes(result(item.id).result)) return null;
  const [look, test = ""] = now.split(", ").map((part) => part.trim());
  const seen = () => (get(path) ?? "").split(", ")[0]; // numbers may have been typed since this was drawn
  const set = (a, b) => {
    change([[path, [a, b].filter(Boolean).join(", ")]]);
    again();
  };
  const sample = SAMPLE.exec(look);
  const press = (name, text, value, onclick) => el("button", { type: "button", "data-item": item.id, "data-act": name, "data-value": value, "aria-pressed": String(value === test || value === (sample ? "sample" : look)), onclick }, text);
  const looks = el("div", { class: "segments", role: "group", "aria-label": w("capture.field.extent") },
    press("look", w("capture.ui.extent.all"), "whole", () => set("whole", test)),
    press("look", w("capture.ui.extent.part"), "part seen", () => set("part seen", test)),
    press("look", w("capture.ui.extent.sample"), "sample", () => set("sample 1 of 1", test)));
  const tests = el("div", { class: "segments", role: "group", "aria-label": w("capture.field.test") },
    press("test", w("extent.tested"), "tested", () => set(seen(), test === "tested" ? "" : "tested")),
    press("test", w("extent.not tested"), "not tested", () => set(seen(), test === "not tested" ? "" : "not tested")));
  return el("div", { class: "extent" }, looks, sample ? counts(item, sample, test) : null, tests);
}

function counts(item, [, seen, of], test) {
  const values = [seen, of];
  const box = (n, label) => {
    const typed = (event) => {
      values[n] = event.target.value.replace(/\D/g, "").slice(0, 5);
      change([[[`results/${item.id}`, "extent"], [`sample ${values[0]} of ${values[1]}`, test].filter(Boolean).join(", ")]]);
    };
    return el("label", { class: "count" }, label, el("input", { inputmode: "numeric", pattern: "[0-9]*", value: values[n], "data-item": item.id, "data-sample": n ? "of" : "seen", oninput: typed }));
  };
  return el("div", { class: "row" }, box(0, w("capture.ui.sample_seen")), box(1, w("capture.ui.sample_of")));
}

function reason(item) {
  const now = result(item.id);
  if (!NEEDS_REASON.includes(now.result)) return null;
  const path = [`results/${item.id}`, "reason"];
  const ready = DATA.reasons[now.result].map((text) => {
    const put = () => {
      change([[path, text]]);
      again();
    };
    return button("reason", text, put, { class: "chip", "data-item": item.id });
  });
  return el("div", {}, one({ ...field("reason"), req: 1 }, path), el("div", { class: "chips" }, ready));
}

function defectRows(item) {
  const now = result(item.id);
  const rows = (now.defects ?? []).map((defect, n) => button("open-defect", [level(defect, item), ` ${defect.title || w("capture.ui.untitled")}`, defect.carried ? ` · ${w(`capture.ui.carried`)}` : ""].flat(), () => go("defect", `results/${item.id}`, "defects", String(n)), { class: "line", "data-item": item.id, "data-n": n }));
  const add = () => {
    const [id, counted] = nextDefect();
    const at = [`results/${item.id}`, "defects", (now.defects ?? []).length];
    change([counted, [at, { id }]]);
    go("defect", ...at.map(String));
  };
  if (now.result !== "defect" && !rows.length) return null;
  return el("div", { class: "defects" }, rows, now.result === "defect" ? button("add-defect", w("capture.ui.add_defect"), add, { "data-item": item.id, class: "add" }) : null);
}

function help(item) {
  return fold(`help:${item.id}`, w("capture.ui.how"), () => [
    el("p", {}, item.look), el("h4", {}, w("defect.why")), el("p", {}, item.why),
    item.evidence.length ? el("p", { class: "soft" }, w("capture.ui.wanted", { what: item.evidence.join("; ") })) : null,
    item.cautions.map((line) => el("p", { class: "caution" }, DATA.cautions[line]))], { class: "help" });
}

function card(item) {
  const now = result(item.id);
  const done = answered(item);
  const choose = !done || reopened.has(item.id);
  const open = choose || recent === item.id;
  const says = done ? [w(`result.${now.result}`), extentWords(now.extent)].filter(Boolean).join(", ") : w("result.unanswered");
  const toggle = () => {
    choose ? reopened.delete(item.id) : reopened.add(item.id);
    recent = item.id;
    again();
  };
  const more = fold(`more:${item.id}`, w("capture.ui.note_and_more"), () => ["note", "told", "readings", "see"].map((key) => one(field(key), [`results/${item.id}`, key])), { class: "more", "data-more": item.id });
  return el("article", { class: `item ${done ? "done" : "waits"} r-${(now.result ?? "none").replaceAll(" ", "-")}`, id: `i-${item.id}`, "data-item-card": item.id },
    el("h3", {}, item.question),
    item.cautions.length ? el("p", { class: "caution" }, DATA.cautions[item.cautions[0]]) : null,
    done ? el("p", { class: "said" }, says) : null,
    choose ? answers(item) : null,
    open ? [done ? extentEditor(item) : null, reason(item), defectRows(item), done ? [photoList([`results/${item.id}`, "photos"]), more] : null, help(item)] : defectRows(item),
    done ? button("toggle", w(choose ? "capture.ui.fold" : "capture.ui.reopen"), toggle, { class: "quiet", "data-item": item.id }) : null);
}

export function extentWords(extent) {
  if (!extent) return "";
  return extent.split(", ").map((part) => {
    const sample = SAMPLE.exec(part);
    return sample ? w("extent.sample", { n: sample[1], m: sample[2] }) : w(`extent.${part}`);
  }).join(", ");
}

register("walk", (group = "0", item = null) => {
  const n = Math.min(Math.max(0, Number(group) || 0), DATA.groups.length - 1);
  const stop = DATA.groups[n];
  const shown = stop.items.filter(asked);
  const hidden = stop.items.length - shown.length;
  const select = el("select", { "data-act": "stop", "aria-label": w("capture.ui.stop"), onchange: (event) => go("walk", event.target.value) },
    DATA.groups.map((row, k) => el("option", { value: String(k), selected: k === n }, `${row.title} (${row.items.filter(isOpen).length})`)));
  const step = (to, key) => (DATA.groups[to] ? button(key, `${w(`capture.ui.${key}`)}: ${DATA.groups[to].title}`, () => go("walk", String(to)), { class: "quiet" }) : null);
  if (item) requestAnimationFrame(() => document.getElementById(`i-${item}`)?.scrollIntoView());
  return [el("h2", {}, stop.title), select,
    hidden ? el("p", { class: "soft" }, count("capture.ui.hidden", hidden)) : null,
    shown.map(card), el("div", { class: "actions" }, step(n - 1, "before"), step(n + 1, "next"))];
});

// Search: over questions, defects and readings.
register("search", (text = "") => {
  const list = el("div", { class: "found" });
  const fill = (wanted) => {
    const words = wanted.toLowerCase().split(/\s+/).filter(Boolean);
    const hit = (...texts) => words.every((word) => texts.join(" ").toLowerCase().includes(word));
    const rows = words.length ? [
      ...items.filter((row) => hit(row.question, row.id, row.look)).map((row) => button("jump", row.question, () => jump(row.id), { class: "line", "data-item": row.id })),
      ...items.flatMap((row) => (result(row.id).defects ?? []).map((defect, n) => [row, defect, n])).filter(([, defect]) => hit(defect.title ?? "", defect.place ?? "", defect.seen ?? "")).map(([row, defect, n]) => button("jump", `${defect.id}: ${defect.title}`, () => go("defect", `results/${row.id}`, "defects", String(n)), { class: "line" })),
      ...(get(["readings"]) ?? []).filter((row) => row && hit(row.place ?? "", row.value ?? "", row.quantity ?? "")).map((row) => button("jump", `${row.place}: ${row.value ?? ""}`, () => go("readings"), { class: "line" })),
    ] : [];
    list.replaceChildren(...(rows.length || !words.length ? rows : [el("p", {}, w("capture.ui.nothing"))]));
  };
  const box = el("input", { type: "search", id: "search", "data-act": "search", value: text, oninput: (event) => fill(event.target.value) });
  fill(text);
  return [el("h2", {}, w("capture.ui.search")), el("label", { for: "search" }, w("capture.ui.search_for")), box, list];
});
