// Pictures: from the camera into the store as they come, and marks drawn on them with a finger.

import { DATA, button, count, el, svg, w } from "./base.js";
import { change, get, itemOf, desk, nextPhoto } from "./doc.js";
import { control, labelled } from "./fields.js";
import { sha256 } from "./sha256.js";
import * as store from "./store.js";
import { again, go, main, register } from "./view.js";
import { endingOf } from "./zip.js";

const SMALL = 320; // pixels of the small picture: twelve million pixels for each thumbnail would exhaust a phone
const LOW = 30; // pictures of room left at which the page begins to speak of it

async function smallPicture(blob) {
  try {
    const bitmap = await createImageBitmap(blob, { resizeWidth: SMALL, resizeQuality: "medium", imageOrientation: "from-image" });
    const canvas = el("canvas", { width: bitmap.width, height: bitmap.height });
    canvas.getContext("2d").drawImage(bitmap, 0, 0);
    bitmap.close();
    return await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.8));
  } catch {
    return null; // a kind that this browser cannot show is kept all the same
  }
}

export async function keepPhoto(file, blob, sum = null) {
  const data = sum ? null : new Uint8Array(await blob.arrayBuffer());
  const record = { job: desk.job.id, file, blob, bytes: blob.size, sha256: sum ?? (await sha256(data)), thumb: await smallPicture(blob) };
  await store.save({ photos: [record] });
}

// Puts chosen files into the store one by one, and then an entry for each into the findings.
export async function take(path, files) {
  for (const blob of files) {
    const [name, counted] = nextPhoto();
    const file = `${name}.${endingOf(blob)}`;
    try {
      await keepPhoto(file, blob);
    } catch (error) {
      say(w(error?.name === "QuotaExceededError" ? "capture.ui.full" : "capture.ui.not_kept", { file: blob.name }));
      return;
    }
    const at = path.at(-1) === "photo" ? path : [...path, (get(path) ?? []).length];
    await change([counted, [at, { file, caption: captionFor(path) }]]);
  }
  again();
  await watchRoom();
}

const say = (text) => document.getElementById("alert").replaceChildren(text);

// What the picture belongs to is known; what it shows only its taker can say.
function captionFor(path) {
  if (path[0] === "report") return get(["report", "craft", "name"]) ?? "";
  const owner = get(path.slice(0, -1)) ?? {};
  return owner.title || (path[0].startsWith("results/") && path.length === 2 ? itemOf[path[0].slice(8)]?.id.replaceAll("-", " ") : "") || "";
}

export async function watchRoom() {
  const left = await store.room();
  const box = document.getElementById("room");
  if (left === null || !desk.job) return;
  const sizes = DATA.photoBytes;
  const more = Math.floor(left / sizes);
  box.hidden = more > LOW;
  if (more <= LOW) box.replaceChildren(count("capture.ui.room", more));
  document.documentElement.dataset.room = String(more);
}

function chooser(path, many) {
  const name = path.join(".");
  const pick = (event) => take(path, [...event.target.files]);
  const camera = el("input", { type: "file", accept: "image/*", capture: "environment", "data-field": name, "data-photo": "camera", onchange: pick, class: "visually-hidden", id: `c-${name}` });
  const album = el("input", { type: "file", accept: "image/*", multiple: many, "data-field": name, "data-photo": "album", onchange: pick, class: "visually-hidden", id: `a-${name}` });
  return el("div", { class: "row takes" },
    camera, el("label", { class: "button", for: camera.id }, w("capture.ui.camera")),
    album, el("label", { class: "button quiet", for: album.id }, w("capture.ui.album")));
}

export function photoList(path) {
  const rows = (get(path) ?? []).map((_, n) => card([...path, n], path));
  return el("div", { class: "photos", role: "group", "aria-label": w("capture.field.photos") }, rows, chooser(path, true));
}

export function photoOne(path) {
  return el("div", { class: "photos", role: "group", "aria-label": w("capture.field.photo") }, get(path)?.file ? card(path, path) : chooser(path, false));
}

function card(at, list) {
  const fields = DATA.forms.Photo;
  const of = (key) => fields.find((field) => field.k === key);
  const remove = () => {
    const left = Array.isArray(get(list)) ? get(list).filter((_, k) => k !== at.at(-1)) : [];
    change([[list, left.length ? left : undefined]]);
    again();
  };
  const marks = get([...at, "marks"])?.length ?? 0;
  return el("figure", { class: "photo", "data-photo-file": get(at).file },
    el("div", { class: "shot" }, thumb(get(at).file, get(at).alt), el("div", { class: "row" },
      button("mark", marks ? count("capture.ui.marks", marks) : w("capture.ui.mark"), () => go("mark", ...at.map(String)), { "data-for": at.join(".") }),
      button("remove", w("capture.ui.remove"), remove, { class: "danger", "data-for": at.join(".") }))),
    ["caption", "alt"].map((key) => labelled(of(key), [...at, key], control(of(key), [...at, key]))));
}

function thumb(file, alt) {
  const box = el("div", { class: "thumb" });
  store.photo(desk.job.id, file).then((record) => {
    if (record?.thumb) box.append(picture(record.thumb, alt ?? ""));
    else box.append(file);
  });
  return box;
}

function picture(blob, alt) {
  const address = URL.createObjectURL(blob);
  return el("img", { src: address, alt, onload: () => URL.revokeObjectURL(address) });
}

// ---- marks ----
let tool = "ring";
const TOOLS = ["ring", "arrow", "box", "path", "number", "label"];
const STEP = 0.05; // of the picture's width: how far the finger goes before a path gets its next corner
const CORNERS = 12;
const fraction = (n) => String(Math.round(Math.min(1, Math.max(0, n)) * 1000) / 1000);

function markFrom(a, b, ratio) {
  const at = a.map(fraction);
  if (tool === "number" || tool === "label") return { mark: tool, at: b.map(fraction), text: "" };
  if (tool !== "ring") return { mark: tool, at, to: b.map(fraction) };
  const [dx, dy] = [(b[0] - a[0]) * Math.max(1, ratio), (b[1] - a[1]) * Math.max(1, 1 / ratio)];
  const diameter = Math.min(1, Math.max(0.06, 2 * Math.hypot(dx, dy))); // as a share of the shorter side, as the findings count it
  return { mark: "ring", at, size: fraction(diameter) };
}

function shape(mark, width, height) {
  const at = (point) => [Number(point[0]) * width, Number(point[1]) * height];
  if (mark?.points) return svg("polyline", { class: "path", points: mark.points.map((point) => at(point).join(",")).join(" ") });
  if (!mark?.at) return null;
  const [x, y] = at(mark.at);
  if (mark.mark === "ring") return svg("circle", { cx: x, cy: y, r: (Number(mark.size ?? 0.1) * Math.min(width, height)) / 2 });
  if (["number", "label"].includes(mark.mark)) return svg("text", { x, y, "text-anchor": mark.mark === "number" ? "middle" : "start" }, mark.text || "?");
  if (!mark.to) return null;
  const [u, v] = at(mark.to);
  if (mark.mark === "box") return svg("rect", { x: Math.min(x, u), y: Math.min(y, v), width: Math.abs(u - x), height: Math.abs(v - y) });
  const angle = Math.atan2(v - y, u - x);
  const wing = (turn) => `L ${u - 18 * Math.cos(angle + turn)} ${v - 18 * Math.sin(angle + turn)}`;
  return svg("path", { d: `M ${x} ${y} L ${u} ${v} ${wing(0.5)} M ${u} ${v} ${wing(-0.5)}` });
}

function board(path, record) {
  const image = el("img", { alt: get([...path, "alt"]) ?? "", draggable: "false" });
  const layer = svg("svg", { class: "marks", "aria-hidden": "true" });
  const box = el("div", { class: "board" }, image, layer);
  let from = null;
  let drawing = null;
  let corners = [];
  const far = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]) >= STEP;
  const numbers = () => (get([...path, "marks"]) ?? []).filter((mark) => mark.mark === "number").length;
  const finished = (point) => {
    if (tool === "number") return { ...markFrom(from, point, 1), text: String(numbers() + 1) };
    if (tool === "label") return { ...markFrom(from, point, 1), text: "?" };
    if (tool === "path" && far(corners.at(-1), point)) corners.push(point);
    if (tool === "path") return corners.length > 1 ? { mark: "path", points: corners.map((one) => one.map(fraction)) } : null;
    return drawing;
  };
  const size = () => [image.clientWidth, image.clientHeight];
  const paint = () => {
    const [width, height] = size();
    layer.setAttribute("viewBox", `0 0 ${width || 1} ${height || 1}`);
    const shapes = [...(get([...path, "marks"]) ?? []), drawing].map((mark) => mark && shape(mark, width, height)).filter(Boolean);
    layer.replaceChildren(...shapes.flatMap((one) => {
      const under = one.cloneNode(true);
      under.setAttribute("class", "under");
      return [under, one];
    }));
  };
  const place = (event) => {
    const edge = image.getBoundingClientRect();
    return [(event.clientX - edge.left) / edge.width, (event.clientY - edge.top) / edge.height];
  };
  box.addEventListener("pointerdown", (event) => {
    from = place(event);
    corners = [from];
    box.setPointerCapture(event.pointerId);
  });
  box.addEventListener("pointermove", (event) => {
    if (!from) return;
    const [width, height] = size();
    const to = place(event);
    if (tool === "path" && corners.length < CORNERS - 1 && far(corners.at(-1), to)) corners.push(to);
    drawing = tool === "path" ? { mark: "path", points: [...corners, to] } : markFrom(from, to, width / height);
    paint();
  });
  box.addEventListener("pointerup", (event) => {
    const made = from && finished(place(event));
    if (made) change([[[...path, "marks", (get([...path, "marks"]) ?? []).length], made]]);
    from = drawing = null;
    again();
  });
  image.addEventListener("load", paint);
  image.src = URL.createObjectURL(record.blob);
  return box;
}

register("mark", (...steps) => {
  const path = steps.map((step) => (/^\d+$/.test(step) ? Number(step) : step));
  const holder = el("div", { class: "holder" });
  if (!get(path)) return el("p", {}, w("capture.ui.gone"));
  store.photo(desk.job.id, get(path).file).then((record) => record && holder.append(board(path, record)));
  const tools = TOOLS.map((name) => {
    const tap = () => {
      tool = name;
      again();
    };
    return el("button", { type: "button", "data-act": "tool", "data-value": name, "aria-pressed": String(tool === name), onclick: tap }, w(`capture.choice.${name}`));
  });
  const of = DATA.forms.Mark.find((field) => field.k === "text");
  const rows = (get([...path, "marks"]) ?? []).map((mark, n) => {
    const remove = () => {
      const left = get([...path, "marks"]).filter((_, k) => k !== n);
      change([[[...path, "marks"], left.length ? left : undefined]]);
      again();
    };
    const at = [...path, "marks", n, "text"];
    return el("div", { class: "row" }, labelled({ ...of, l: `${n + 1}. ${w(`capture.choice.${mark.mark}`)}: ${of.l}` }, at, control(of, at)), button("remove", "×", remove, { class: "small", "aria-label": w("capture.ui.remove_nth", { what: w("capture.field.marks"), n: n + 1 }), "data-for": `${path.join(".")}.marks.${n}` }));
  });
  return [el("h2", {}, w("capture.ui.mark")), el("p", { class: "soft" }, w("capture.ui.mark_how")), el("div", { class: "segments", role: "group", "aria-label": w("capture.field.marks") }, tools), holder, rows,
    button("back", w("capture.ui.done"), () => history.back(), { class: "go" })];
});
