// The boat, the visit, the people; and the installation, entered from the sketch with pick lists.

import { DATA, button, el, w } from "./base.js";
import { get } from "./doc.js";
import { fieldsOf, form, freeId, listOf, one } from "./forms.js";
import { go, register } from "./view.js";

const field = (name, key) => fieldsOf(name).find((row) => row.k === key);

register("boat", () => {
  const fitted = field("Craft", "fitted");
  const rows = fitted.keys.map(([key, text]) => one({ ...fitted.of, k: key, l: text }, ["report", "craft", "fitted", key]));
  return [el("h2", {}, w("capture.ui.boat")),
    form("ReportHead", ["report"], { only: ["number", "purpose", "date", "instructed", "scope", "said_first"] }),
    el("h3", {}, w("capture.field.craft")), form("Craft", ["report", "craft"], { without: ["fitted", "photo"] }), one(field("Craft", "photo"), ["report", "craft", "photo"]),
    el("h3", {}, w("capture.field.fitted")), el("p", { class: "soft" }, w("capture.ui.fitted_why")), el("div", { class: "fitted" }, rows),
    el("h3", {}, w("capture.field.visit")), form("Visit", ["report", "visit"]),
    el("h3", {}, w("capture.field.client")), form("Client", ["report", "client"]),
    el("h3", {}, w("capture.field.owner")), form("Person", ["report", "owner"]), form("ReportHead", ["report"], { only: ["permission", "reliance"] }),
    el("h3", {}, w("capture.field.electrician")), form("Electrician", ["report", "electrician"]),
    listOf(field("ReportHead", "instruments"), ["report", "instruments"], { fresh: () => ({ id: freeId(`m${(get(["report", "instruments"]) ?? []).length + 1}`, "m1", ids(["report", "instruments"])) }) }),
    form("ReportHead", ["report"], { only: ["limitations", "basis", "distribution", "picture_times", "signature", "terms"] })];
});

const ids = (path) => (get(path) ?? []).map((row) => row?.id);
const KINDS = ["batteries", "nodes", "switches", "sources", "converters", "relays", "diodes", "devices", "loads", "conductors", "circuits", "joins", "bonds", "states", "interlocks"];
const PREFIX = { batteries: "battery", nodes: "bar", switches: "switch", sources: "source", converters: "converter", relays: "relay", diodes: "diode", devices: "fuse", loads: "load", conductors: "cable", circuits: "circuit", joins: "join", bonds: "bond", states: "state" };

// Short names are unique over the whole installation, so that a terminal means one thing.
const taken = () => KINDS.flatMap((kind) => ids(["installation", kind])).filter(Boolean);
const fresh = (kind) => () => (PREFIX[kind] ? { id: freeId(`${PREFIX[kind]}-${(get(["installation", kind]) ?? []).length + 1}`, PREFIX[kind], taken()) } : {});

register("installation", () => {
  const lists = KINDS.map((kind) => listOf(field("Installation", kind), ["installation", kind], { fresh: fresh(kind) }));
  return [el("h2", {}, w("capture.ui.installation")), el("p", { class: "soft" }, w("capture.ui.installation_why")),
    el("p", { class: "caution" }, DATA.cautions["short-circuit"]),
    form("Installation", ["installation"], { only: ["system", "bases", "earthing", "ambient"] }), lists,
    listOf({ f: "Disagreement", l: w("capture.ui.disagree") }, ["disagree"])];
});

register("more", () => {
  const row = (name, key) => button(`go-${name}`, w(key), () => go(name), { class: "line" });
  return [el("h2", {}, w("capture.ui.more")), row("boat", "capture.ui.boat"), row("installation", "capture.ui.installation"), row("extra", "capture.ui.extra"),
    row("search", "capture.ui.search"), row("notice", "capture.ui.notice"), row("settings", "capture.ui.settings"), row("jobs", "capture.ui.jobs")];
});
