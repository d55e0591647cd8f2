// Which view is open, how it is drawn again, and where the focus goes.

import { el, flat, root } from "./base.js";

const views = {};
export const main = document.getElementById("main");
let bars = () => {};

export const register = (name, draw) => {
  views[name] = draw;
};
export const onDraw = (f) => {
  bars = f;
};
export const here = () => (location.hash.slice(1) || "jobs").split("/").map(decodeURIComponent);

export function go(...steps) {
  const wanted = `#${steps.map(encodeURIComponent).join("/")}`;
  if (location.hash === wanted) draw();
  else location.hash = wanted;
}

// Draws the open view. A new view starts at its top with the focus on its heading; the same view drawn again keeps
// the place and the focused control.
export function draw(focus = null) {
  const [name, ...rest] = here();
  const same = main.dataset.view === here().join("/");
  const scroll = window.scrollY;
  const kept = same ? selector(document.activeElement) : null;
  main.dataset.view = here().join("/");
  main.replaceChildren(...flat([(views[name] ?? views.jobs)(...rest)]));
  bars();
  if (!same) {
    window.scrollTo(0, 0);
    const heading = main.querySelector("h1, h2");
    heading?.setAttribute("tabindex", "-1");
    heading?.focus({ preventScroll: true });
    return;
  }
  window.scrollTo(0, scroll);
  const wanted = focus ? `[data-field="${CSS.escape(focus)}"]` : kept;
  if (wanted) main.querySelector(wanted)?.focus({ preventScroll: !focus });
}

export const again = (focus = null) => draw(focus);

function selector(one) {
  if (!one || !main.contains(one)) return null;
  const known = ["data-field", "data-value", "data-act", "data-for", "data-item", "data-result", "data-extent"].filter((name) => one.hasAttribute(name));
  return known.map((name) => `[${name}="${CSS.escape(one.getAttribute(name))}"]`).join("") || null;
}

// A box over everything that must be answered: the browser's own dialog keeps the focus inside.
export function ask(title, body, buttons) {
  return new Promise((resolve) => {
    const close = (value) => {
      box.close();
      box.remove();
      resolve(value);
    };
    const row = buttons.map(([act, text, value]) => el("button", { type: "button", "data-act": act, onclick: () => close(value) }, text));
    const box = el("dialog", { "aria-label": title }, el("h2", {}, title), body, el("div", { class: "actions" }, row));
    box.addEventListener("cancel", (event) => {
      event.preventDefault();
      close(null);
    });
    document.body.append(box);
    box.showModal();
  });
}

export function theme(wanted) {
  if (wanted) root.dataset.theme = wanted;
  else delete root.dataset.theme;
}
