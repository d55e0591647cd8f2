// What entries may refer to: terminals and elements of the installation, instruments, readings, states.

import { DATA, w } from "./base.js";
import { get, defects } from "./doc.js";

const KINDS = ["nodes", "batteries", "sources", "converters", "diodes", "switches", "relays", "devices", "conductors", "joins", "loads", "circuits", "bonds"];
const plan = () => get(["installation"]) ?? {};
const list = (kind) => (plan()[kind] ?? []).filter((one) => one?.id);
const titled = (one) => one.title || one.id;

// The contacts of an element: what can stand after the dot, and what its studs are named by.
export function contacts(kind, one) {
  const n = Number(one.outputs ?? 1);
  const outputs = Array.from({ length: n }, (_, k) => String(k + 1));
  switch (kind) {
    case "batteries": {
      const side = Number(one.parallel ?? 1);
      const blocks = side > 1 ? Array.from({ length: side }, (_, k) => [`pos-${k + 1}`, `neg-${k + 1}`]).flat() : [];
      return ["pos", "neg", ...blocks];
    }
    case "sources":
      return [...(n > 1 ? outputs : ["pos"]), "neg", "sense", "field"];
    case "converters": {
      const ports = (one.ports ?? []).map((port) => port?.name).filter(Boolean);
      return [...ports, ...(one.isolated === "yes" ? ports.map((port) => `${port}-neg`) : ["neg"])];
    }
    case "diodes":
      return ["in", ...outputs];
    case "switches":
      return one.kind === "own" ? (one.contacts ?? []).filter(Boolean) : DATA.switches[one.kind ?? "on-off"].contacts;
    case "relays":
      return ["a", "b", "coil-pos", "coil-neg"];
    case "devices":
      return ["in", "out"];
    case "loads":
    case "circuits":
      return ["pos", "neg"];
    default:
      return [];
  }
}

export const positionsOf = (one) => (one.kind === "own" ? Object.keys(one.positions ?? {}) : DATA.switches[one.kind ?? "on-off"].positions);
export const stud = (kind, one) => contacts(kind, one).filter((name) => kind !== "batteries" || !name.includes("-"));

export function terminals() {
  const groups = [{ title: w("capture.field.nodes"), options: list("nodes").map((one) => [one.id, titled(one)]) }];
  for (const kind of KINDS.slice(1)) {
    const options = list(kind).flatMap((one) => contacts(kind, one).map((name) => [`${one.id}.${name}`, `${titled(one)}, ${name}`]));
    if (options.length) groups.push({ title: w(`capture.field.${kind}`), options });
  }
  return groups.filter((group) => group.options.length);
}

// A bank's blocks, named as the program names them: by their place in the string, then by the string.
function blocks(one) {
  const [series, parallel] = [Number(one.series ?? 1), Number(one.parallel ?? 1)];
  if (!(series > 1 || parallel > 1)) return [];
  const count = (n) => (n > 1 ? Array.from({ length: n }, (_, k) => `-${k + 1}`) : [""]);
  return count(parallel).flatMap((string) => count(series).map((place) => `${one.id}.block${place}${string}`));
}
const part = (one, name) => [name, `${titled(one)}, ${name.slice(one.id.length + 1)}`];
const banks = () => [{ options: list("batteries").flatMap((one) => [[one.id, titled(one)], ...blocks(one).map((name) => part(one, name))]) }];

// The lugs at both ends of a cable, for readings across a joint.
const lugs = () => ({ title: w("capture.field.conductors"), options: ["conductors", "bonds"].flatMap((kind) => list(kind)).flatMap((one) => ["from", "to"].map((end) => part(one, `${one.id}.${end}`))) });

// What a defect can stand at: elements and what belongs to them first, then their terminals.
function places() {
  const inside = { batteries: blocks, circuits: (one) => [`${one.id}.feed`, `${one.id}.return`] };
  const own = (kind) => list(kind).flatMap((one) => [[one.id, titled(one)], ...(inside[kind]?.(one) ?? []).map((name) => part(one, name))]);
  const groups = KINDS.map((kind) => ({ title: w(`capture.field.${kind}`), options: own(kind) }));
  const devices = [...list("conductors").flatMap((one) => one.devices ?? []), ...list("circuits").map((one) => one.device)].filter((one) => one?.id);
  if (devices.length) groups.push({ title: w("capture.field.devices"), options: devices.map((one) => [one.id, titled(one)]) });
  return [...groups.filter((group) => group.options.length), ...terminals().filter((group) => group.title !== w("capture.field.nodes"))];
}

const ids = (rows) => (rows ?? []).filter((one) => one?.id);
const one = (rows, name = titled) => [{ options: ids(rows).map((row) => [row.id, name(row)]) }];

// The groups to pick from for a key that refers to something; null where a key is just text.
export function choices(key, path) {
  const here = path[0] === "installation";
  if (key === "instrument") return one(get(["report", "instruments"]), (row) => row.name || row.id);
  if (key === "state_id") return one(plan().states);
  if (key === "battery") return banks();
  if (key === "before") return one(get(["readings"]), (row) => row.place || row.id);
  if (key === "in" && path[0] === "readings") {
    return ["conductors", "batteries", "sources", "bonds"].map((kind) => ({ title: w(`capture.field.${kind}`), options: list(kind).map((row) => [row.id, titled(row)]) })).filter((group) => group.options.length);
  }
  if (here && ["from", "to", "pos", "neg", "sense"].includes(key) && !path.includes("ends") && !path.includes("studs")) return terminals();
  if (here && path.at(-2) === "earthing" && key === "at") return [{ options: list("nodes").filter((row) => row.kind === "body").map((row) => [row.id, titled(row)]) }];
  if (path[0] === "readings" && path.at(-2) === "at") return [...terminals(), lugs()];
  if (here && key === "usual") return [{ options: positionsOf(get(path.slice(0, -1))).map((name) => [name, name]) }];
  if (here && path.at(-2) === "positions" && path.includes("states")) {
    const element = [...list("switches"), ...list("relays")].find((row) => row.id === key);
    return [{ options: (element ? (list("switches").includes(element) ? positionsOf(element) : ["open", "closed"]) : []).map((name) => [name, name]) }];
  }
  if (key === "at" && path[0] !== "readings" && (path.includes("defects") || path[0] === "extra" || path[0] === "disagree")) return places();
  return null;
}

// Pairs for keys that hold several references.
export function several(key, path) {
  const rows = (kinds) => kinds.flatMap((kind) => list(kind)).map((row) => [row.id, titled(row)]);
  if (key === "readings" && path[0] !== "shore") return ids(get(["readings"])).map((row) => [row.id, `${row.place || row.id}${row.value ? `: ${row.value}` : ""}`]);
  if (key === "see") return defects().filter(({ defect }) => defect.id).map(({ defect }) => [defect.id, `${defect.id} ${defect.title ?? ""}`]);
  if (path.includes("states")) {
    if (key === "sources") return rows(["sources", "converters"]);
    if (key === "loads") return rows(["loads", "circuits"]);
    if (key === "open") return rows(["conductors", "bonds", "devices"]);
    if (key === "tripped") return rows(["batteries"]);
  }
  if (key === "senses") return [["a", "a"], ["b", "b"]];
  if (key === "bases") return DATA.bases;
  return null;
}

// The changes that give a thing another short name, wherever it is referred to.
export function rename(path, old, now) {
  const changes = [[path, now]];
  if (!old || !now) return changes;
  const walk = (value, at) => {
    if (typeof value === "string") {
      if ((value === old || value.startsWith(`${old}.`)) && at.join(".") !== path.join(".") && refers(at)) changes.push([at, now + value.slice(old.length)]);
    } else if (value && typeof value === "object") {
      for (const [key, inner] of Object.entries(value)) walk(inner, [...at, Array.isArray(value) ? Number(key) : key]);
    }
  };
  for (const part of ["installation", "readings", "disagree", "extra"]) walk(get([part]), [part]);
  for (const { defect, path: at } of defects()) if (at[0] !== "extra") walk(defect, at);
  return changes;
}

const REFERS = new Set(["from", "to", "pos", "neg", "sense", "at", "in", "battery", "instrument", "state_id", "open", "tripped", "sources", "loads", "readings"]);
const refers = (at) => REFERS.has(at.at(-1)) || REFERS.has(at.at(-2));
