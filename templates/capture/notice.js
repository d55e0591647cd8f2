// The notice of immediate danger: written, shown and handed over before anything else.

import { button, clock, el, today, w } from "./base.js";
import { change, get, desk, start } from "./doc.js";
import { form } from "./forms.js";
import { handOver } from "./handover.js";
import { go, register } from "./view.js";
import { pruned, yaml } from "./yaml.js";

const WITH = { "made safe": ["measure", "made_safe_by", "consent_of"], refused: ["refused_by", "measure"], "not made safe": ["measure"] };

export async function begin() {
  if (!desk.job) await start(`${today()}-${clock().replace(":", "")}`);
  if (!get(["notice"])) await change([[["notice"], { date: today(), time: clock() }]]);
  go("notice");
}

// The file as 'lugbook notice' reads it. Keys that do not go with what came of it are left out.
export function noticeText() {
  const given = pruned(get(["notice"]));
  if (!given?.hazard) return null;
  const { hazard, place, told, how, date, time, safety } = given;
  const rest = Object.fromEntries((WITH[safety] ?? []).filter((key) => given[key]).map((key) => [key, given[key]]));
  return yaml({ format: "lugbook-notice-1", hazard, place, told, how, date, time, safety, ...rest });
}

const lacking = () => {
  const given = get(["notice"]) ?? {};
  const needed = ["hazard", "place", "how", "date", "time", "safety", ...(WITH[given.safety] ?? []).filter((key) => given.safety !== "refused" || key === "refused_by")];
  const empty = needed.filter((key) => !given[key]).map((key) => w(`capture.field.${key}`));
  if (!given.told?.role || !given.told?.name) empty.push(w("capture.field_of.NoticeFile.told"));
  return empty;
};

register("notice", () => {
  if (!get(["notice"])) {
    return [el("h2", {}, w("notice.title")), el("p", {}, w("capture.ui.notice_why")), button("begin-notice", w("capture.ui.notice_begin"), begin, { class: "go" })];
  }
  const path = ["notice"];
  const redraw = () => go("notice");
  const after = form("NoticeFile", path, { only: ["safety"], after: redraw });
  const hand = () => handOver(new Blob([noticeText()], { type: "text/yaml" }), "notice.yaml");
  const safety = get([...path, "safety"]);
  const empty = lacking();
  return [el("h2", {}, w("notice.title")), el("p", { class: "caution" }, w("capture.ui.notice_names")),
    form("NoticeFile", path, { only: ["hazard", "place"] }), el("h3", {}, w("capture.field_of.NoticeFile.told")), form("Told", [...path, "told"]), form("NoticeFile", path, { only: ["how", "date", "time"] }), after,
    safety ? form("NoticeFile", path, { only: WITH[safety] }) : null,
    empty.length ? el("p", { class: "soft", "data-lacks": "notice" }, w("capture.ui.lacks_list", { what: empty.join(", ") })) : null,
    el("div", { class: "actions" }, button("show-notice", w("capture.ui.notice_show"), () => go("show"), { class: "go" }), button("export-notice", w("capture.ui.notice_export"), hand, { disabled: !get([...path, "hazard"]) }))];
});

// Full screen, for the eyes of whoever must know.
register("show", () => {
  const given = get(["notice"]) ?? {};
  const told = given.told?.name ? w("notice.told_line", { name: given.told.name, role: given.told.role ? w(`trail_entries.role.${given.told.role}`) : "" }) : "";
  const safety = { "made safe": () => w("notice.made safe", { name: given.made_safe_by ?? "", role: given.consent_of ? w(`trail_entries.role_inline.${given.consent_of}`) : "" }), refused: () => w("notice.refused", { role: given.refused_by ? w(`trail_entries.role.${given.refused_by}`) : "" }), "not made safe": () => w("notice.not made safe") };
  const facts = [["notice.place", given.place], ["notice.told", told], ["notice.how", given.how], ["notice.when", w("notice.when_line", { date: given.date ?? "", time: given.time ?? "" })], ["notice.state", safety[given.safety]?.()], ["notice.measure", given.measure]];
  return el("div", { class: "show" }, el("h2", {}, w("notice.title")), el("p", { class: "hazard" }, given.hazard ?? ""), el("p", { class: "caution" }, w("notice.now")),
    el("dl", {}, facts.filter(([, value]) => value).map(([key, value]) => el("div", {}, el("dt", {}, w(key)), el("dd", {}, value)))),
    el("p", { class: "soft" }, w("capture.ui.precedence")), button("back", w("capture.ui.done"), () => history.back(), { class: "go" }));
});
