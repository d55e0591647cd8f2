// SHA-256 by the browser where it offers that, else by the steps of FIPS 180-4: crypto.subtle is missing wherever the
// page is no secure context, for instance from a plain http address.

const K = new Uint32Array(64);
const START = new Uint32Array(8);
{
  // The constants are the first 32 bits of the fractional parts of the cube and square roots of the first primes.
  let n = 0;
  for (let candidate = 2; n < 64; candidate += 1) {
    let prime = true;
    for (let d = 2; d * d <= candidate; d += 1) prime &&= candidate % d !== 0;
    if (!prime) continue;
    if (n < 8) START[n] = (candidate ** 0.5 % 1) * 2 ** 32;
    K[n] = (Math.cbrt(candidate) % 1) * 2 ** 32;
    n += 1;
  }
}
const turn = (x, n) => (x >>> n) | (x << (32 - n));

export function sha256Plain(data) {
  const length = data.length;
  const padded = new Uint8Array((((length + 8) >> 6) + 1) << 6);
  padded.set(data);
  padded[length] = 0x80;
  const view = new DataView(padded.buffer);
  view.setUint32(padded.length - 8, Math.floor(length / 2 ** 29));
  view.setUint32(padded.length - 4, (length << 3) >>> 0);
  const h = Uint32Array.from(START);
  const s = new Uint32Array(64);
  for (let at = 0; at < padded.length; at += 64) {
    for (let i = 0; i < 16; i += 1) s[i] = view.getUint32(at + 4 * i);
    for (let i = 16; i < 64; i += 1) {
      const a = turn(s[i - 15], 7) ^ turn(s[i - 15], 18) ^ (s[i - 15] >>> 3);
      const b = turn(s[i - 2], 17) ^ turn(s[i - 2], 19) ^ (s[i - 2] >>> 10);
      s[i] = s[i - 16] + a + s[i - 7] + b;
    }
    mix(h, s);
  }
  return Array.from(h, (word) => word.toString(16).padStart(8, "0")).join("");
}

function mix(h, s) {
  let [a, b, c, d, e, f, g, last] = h;
  for (let i = 0; i < 64; i += 1) {
    const t1 = (last + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + ((e & f) ^ (~e & g)) + K[i] + s[i]) | 0;
    const t2 = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [last, g, f, e, d, c, b, a] = [g, f, e, (d + t1) | 0, c, b, a, (t1 + t2) | 0];
  }
  [a, b, c, d, e, f, g, last].forEach((word, i) => {
    h[i] += word;
  });
}

export async function sha256(data) {
  if (!globalThis.crypto?.subtle) return sha256Plain(data);
  const sum = await crypto.subtle.digest("SHA-256", data);
  return Array.from(new Uint8Array(sum), (byte) => byte.toString(16).padStart(2, "0")).join("");
}
