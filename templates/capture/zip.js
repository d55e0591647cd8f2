// The export as one zip, written as a stream, and the reading of such a zip.
//
// Pictures go in as they are, uncompressed: a JPEG does not get smaller. One picture at a time is in memory. The zip
// grows in a file of the browser's own (origin private file system) where there is one, else in pieces that are
// handed to the browser as Blobs, which it may keep on disk.

import { sha256 } from "./sha256.js";

const fflate = globalThis.fflate;

async function privateFile(name) {
  try {
    const folder = await navigator.storage.getDirectory();
    const handle = await folder.getFileHandle(name, { create: true });
    const stream = await handle.createWritable();
    return {
      write: (piece) => stream.write(piece),
      end: async () => {
        await stream.close();
        return handle.getFile();
      },
    };
  } catch {
    return null; // not every browser lets the page write there
  }
}

function pieces() {
  const made = [];
  return {
    write: async (piece) => made.push(new Blob([piece])),
    end: async () => new Blob(made, { type: "application/zip" }),
  };
}

// files: async iterable of [path, Blob]; last: function from {path: {sha256, bytes}} to the text of capture.json, which
// is the one entry that the sums do not cover. Returns the zip as a File or Blob.
export async function makeZip(name, files, last, progress = () => {}) {
  const sink = (await privateFile(name)) ?? pieces();
  const out = [];
  let fault = null;
  const zip = new fflate.Zip((error, chunk) => {
    if (error) fault = error;
    else out.push(chunk);
  });
  const drain = async () => {
    if (fault) throw fault;
    for (const piece of out.splice(0)) await sink.write(piece);
  };
  const sums = {};
  const at = new Date();
  const add = async (path, data) => {
    const entry = new fflate.ZipPassThrough(path);
    entry.mtime = at;
    zip.add(entry);
    entry.push(data, true);
    await drain();
  };
  for await (const [path, blob] of files) {
    const data = new Uint8Array(await blob.arrayBuffer());
    sums[path] = { sha256: await sha256(data), bytes: data.length };
    await add(path, data);
    progress(path);
  }
  await add("capture.json", new TextEncoder().encode(last(sums)));
  zip.end();
  await drain();
  return sink.end();
}

const LOCAL = 0x04034b50;
const CENTRAL = 0x02014b50;
const END = 0x06054b50;

// The directory of a zip: name -> {start, packed, size, method}. Reads the end of the file only.
async function directory(file) {
  const tail = new DataView(await file.slice(Math.max(0, file.size - 66000)).arrayBuffer());
  let at = tail.byteLength - 22;
  while (at >= 0 && tail.getUint32(at, true) !== END) at -= 1;
  if (at < 0) throw new Error("no zip");
  const entries = tail.getUint16(at + 10, true);
  const start = tail.getUint32(at + 16, true);
  const view = new DataView(await file.slice(start, start + tail.getUint32(at + 12, true)).arrayBuffer());
  const found = new Map();
  let here = 0;
  for (let n = 0; n < entries; n += 1) {
    if (view.getUint32(here, true) !== CENTRAL) throw new Error("broken zip");
    const [nameLength, extra, comment] = [28, 30, 32].map((field) => view.getUint16(here + field, true));
    const name = new TextDecoder().decode(new Uint8Array(view.buffer, here + 46, nameLength));
    const one = { method: view.getUint16(here + 10, true), packed: view.getUint32(here + 20, true), size: view.getUint32(here + 24, true), start: view.getUint32(here + 42, true) };
    if (found.has(name) || name.includes("..") || name.startsWith("/")) throw new Error(`refused name ${name}`);
    found.set(name, one);
    here += 46 + nameLength + extra + comment;
  }
  return found;
}

const LARGEST = 100e6; // bytes of one entry: no camera of a phone makes a larger picture

async function content(file, entry) {
  const head = new DataView(await file.slice(entry.start, entry.start + 30).arrayBuffer());
  if (head.getUint32(0, true) !== LOCAL) throw new Error("broken zip");
  const start = entry.start + 30 + head.getUint16(26, true) + head.getUint16(28, true);
  const packed = file.slice(start, start + entry.packed);
  if (entry.method === 0) return packed; // a slice: the bytes stay where they are until they are stored
  if (entry.method !== 8 || entry.size > LARGEST || entry.packed > LARGEST) throw new Error("broken zip");
  return new Blob([fflate.inflateSync(new Uint8Array(await packed.arrayBuffer()), { out: new Uint8Array(entry.size) })]);
}

// Reads a zip of this format. Yields nothing that is not named in capture.json with its right sum.
// each(path, blob, sum) is called for every picture, one after the other. Returns capture.json.
export async function readZip(file, each) {
  const entries = await directory(file);
  const head = entries.get("capture.json");
  if (!head) throw new Error("capture.json");
  const about = JSON.parse(await (await content(file, head)).text());
  if (about.format !== "lugbook-capture/1") throw new Error("format");
  for (const [path, sum] of Object.entries(about.files ?? {})) {
    const entry = entries.get(path);
    if (!entry) throw new Error(path);
    const blob = await content(file, entry);
    const data = new Uint8Array(await blob.arrayBuffer());
    if (data.length !== sum.bytes || (await sha256(data)) !== sum.sha256) throw new Error(path);
    if (path.startsWith("photos/")) await each(path.slice(7), new Blob([data], { type: typeOf(path) }), sum.sha256);
  }
  return about;
}

const TYPES = { jpg: "image/jpeg", jpeg: "image/jpeg", png: "image/png", webp: "image/webp", heic: "image/heic", heif: "image/heif" };
export const typeOf = (path) => TYPES[path.split(".").at(-1).toLowerCase()] ?? "application/octet-stream";
export const endingOf = (file) => Object.keys(TYPES).find((one) => TYPES[one] === file.type) ?? file.name.split(".").at(-1).toLowerCase();
