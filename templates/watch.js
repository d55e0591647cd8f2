// Asks for the state and shows what changed: a new page keeps its place, a fault leaves the last good page standing.
"use strict";
const at = (id) => document.getElementById(id);
let change = -1, version = 0;
function fault(one) {
  const item = document.createElement("li"), place = document.createElement("code");
  item.className = one.severity;
  place.textContent = one.place;
  item.append(place, " " + one.message);
  if (one.hint) {
    const hint = document.createElement("span");
    hint.className = "hint";
    hint.textContent = one.hint;
    item.append(hint);
  }
  return item;
}
function show(state) {
  at("list").replaceChildren(...state.problems.map(fault));
  const refused = state.problems.some((one) => one.severity === "error");
  at("faults").hidden = !state.problems.length;
  at("said").textContent = refused ? at("said").dataset.refused : at("said").dataset.noted;
  at("wait").hidden = state.change > 0;
  if (state.version === version) return;
  const frame = at("report");
  if (version === 0) { frame.src = "/report"; frame.hidden = false; } else { frame.contentWindow.location.reload(); }
  version = state.version;
}
async function ask() {
  try {
    const state = await (await fetch("/state", { cache: "no-store" })).json();
    at("gone").hidden = true;
    if (state.change !== change) { change = state.change; show(state); }
  } catch { at("gone").hidden = false; }
  setTimeout(ask, 250);
}
ask();
