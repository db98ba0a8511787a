// SPDX-License-Identifier: GPL-3.0-or-later
// QR: a square code drawn on this device, for when the house is out of reach. Bytes alone, level L, versions 1 to 20: more does
// not read well from a phone's screen. Source: ISO/IEC 18004:2015, 7.4 to 7.9, tables 7 and 9 (level L), annex E.

const CHECK = [7, 10, 15, 20, 26, 18, 20, 24, 30, 18, 20, 24, 26, 30, 22, 24, 28, 30, 28, 28]; // check bytes of a block, by version
const BLOCKS = [1, 1, 1, 1, 1, 2, 2, 2, 2, 4, 4, 4, 4, 4, 6, 6, 6, 6, 7, 8];
const LEVEL_L = 1;

/** Bytes of a symbol, data and check together: all modules but the fixed patterns, in eights. */
function bytesIn(v: number): number {
  const along = v === 1 ? 0 : Math.floor(v / 7) + 2;
  const bits = (16 * v + 128) * v + 64 - (along ? (25 * along - 10) * along - 55 : 0) - (v >= 7 ? 36 : 0);
  return Math.floor(bits / 8);
}
const dataIn = (v: number): number => bytesIn(v) - CHECK[v - 1]! * BLOCKS[v - 1]!;
const headBits = (v: number): number => 4 + (v < 10 ? 8 : 16);
/** How many bytes the largest symbol takes. */
export const QR_MOST = dataIn(20) - 3;

/* ---- Reed and Solomon's code over 256 elements, x^8+x^4+x^3+x^2+1 */
const EXP = new Uint8Array(510), LOG = new Uint8Array(256);
for (let i = 0, x = 1; i < 255; i++) { EXP[i] = EXP[i + 255] = x; LOG[x] = i; x = (x << 1) ^ (x & 128 ? 0x11d : 0); }
const times = (a: number, b: number): number => (a && b ? EXP[LOG[a]! + LOG[b]!]! : 0);
function checkBytes(data: Uint8Array, n: number): Uint8Array {
  let g = [1];
  for (let i = 0; i < n; i++) { const h = [...g, 0]; g.forEach((c, k) => { h[k + 1]! ^= times(c, EXP[i]!); }); g = h; }
  const rest = new Uint8Array(n);
  for (const d of data) {
    const f = d ^ rest[0]!;
    rest.copyWithin(0, 1); rest[n - 1] = 0;
    for (let k = 0; k < n; k++) rest[k]! ^= times(g[k + 1]!, f);
  }
  return rest;
}

/** The message in the order in which it is laid: blocks interleaved, their check bytes after them. */
function message(text: Uint8Array, v: number): Uint8Array {
  const n = dataIn(v), data = new Uint8Array(n);
  let at = 0;
  const put = (value: number, bits: number): void => { for (let i = bits - 1; i >= 0; i--, at++) data[at >> 3]! |= ((value >> i) & 1) << (7 - (at & 7)); };
  put(4, 4); put(text.length, v < 10 ? 8 : 16);
  for (const b of text) put(b, 8);
  at = Math.min(8 * n, at + 4);
  for (let i = Math.ceil(at / 8), pad = 0xec; i < n; i++, pad ^= 0xec ^ 0x11) data[i] = pad;
  const k = BLOCKS[v - 1]!, short = Math.floor(n / k), longer = n % k, blocks: Uint8Array[] = [];
  for (let i = 0, from = 0; i < k; i++) { const len = short + (i < k - longer ? 0 : 1); blocks.push(data.subarray(from, from + len)); from += len; }
  const checks = blocks.map((b) => checkBytes(b, CHECK[v - 1]!)), out: number[] = [];
  for (let i = 0; i <= short; i++) for (const b of blocks) if (i < b.length) out.push(b[i]!);
  for (let i = 0; i < CHECK[v - 1]!; i++) for (const c of checks) out.push(c[i]!);
  return Uint8Array.from(out);
}

/* ---- the grid */
export type Grid = boolean[][];
const masks: ((x: number, y: number) => boolean)[] = [
  (x, y) => (x + y) % 2 === 0, (_x, y) => y % 2 === 0, (x) => x % 3 === 0, (x, y) => (x + y) % 3 === 0, (x, y) => (Math.floor(x / 3) + Math.floor(y / 2)) % 2 === 0,
  (x, y) => ((x * y) % 2) + ((x * y) % 3) === 0, (x, y) => (((x * y) % 2) + ((x * y) % 3)) % 2 === 0, (x, y) => (((x + y) % 2) + ((x * y) % 3)) % 2 === 0,
];
function remainder(value: number, bits: number, by: number): number {
  let r = value;
  for (let i = 0; i < bits; i++) r = (r << 1) ^ ((r >> (bits - 1)) & 1 ? by : 0);
  return r & ((1 << bits) - 1);
}
function centres(v: number): number[] {
  if (v === 1) return [];
  const n = Math.floor(v / 7) + 2, step = Math.ceil((4 * v + 4) / (2 * n - 2)) * 2, out = [6];
  for (let i = 1; i < n; i++) out.splice(1, 0, 4 * v + 10 - (i - 1) * step);
  return out;
}
/** Finders, timing, alignment, format and version; `fixed` marks what the message must not touch. */
function fixedPart(v: number, mask: number, g: Grid, fixed: Grid): void {
  const size = g.length, set = (x: number, y: number, dark: boolean): void => { if (x >= 0 && y >= 0 && x < size && y < size) { g[y]![x] = dark; fixed[y]![x] = true; } };
  for (let i = 0; i < size; i++) { set(6, i, i % 2 === 0); set(i, 6, i % 2 === 0); }
  for (const [cx, cy] of [[3, 3], [size - 4, 3], [3, size - 4]] as const)
    for (let dy = -4; dy <= 4; dy++) for (let dx = -4; dx <= 4; dx++) { const d = Math.max(Math.abs(dx), Math.abs(dy)); set(cx + dx, cy + dy, d !== 2 && d !== 4); }
  const c = centres(v), last = c.length - 1;
  c.forEach((x, i) => c.forEach((y, j) => {
    if ((i === 0 && j === 0) || (i === 0 && j === last) || (i === last && j === 0)) return;
    for (let dy = -2; dy <= 2; dy++) for (let dx = -2; dx <= 2; dx++) set(x + dx, y + dy, Math.max(Math.abs(dx), Math.abs(dy)) !== 1);
  }));
  const f = (LEVEL_L << 3) | mask, format = ((f << 10) | remainder(f, 10, 0x537)) ^ 0x5412, bit = (i: number): boolean => ((format >> i) & 1) === 1;
  for (let i = 0; i <= 5; i++) set(8, i, bit(i));
  set(8, 7, bit(6)); set(8, 8, bit(7)); set(7, 8, bit(8));
  for (let i = 9; i < 15; i++) set(14 - i, 8, bit(i));
  for (let i = 0; i < 8; i++) set(size - 1 - i, 8, bit(i));
  for (let i = 8; i < 15; i++) set(8, size - 15 + i, bit(i));
  set(8, size - 8, true);
  if (v < 7) return;
  const version = (v << 12) | remainder(v, 12, 0x1f25);
  for (let i = 0; i < 18; i++) { const dark = ((version >> i) & 1) === 1, a = size - 11 + (i % 3), b = Math.floor(i / 3); set(a, b, dark); set(b, a, dark); }
}
/** How badly it may read (7.8.3): long runs, blocks, what looks like a finder, too dark or too light. */
function badness(g: Grid): number {
  const size = g.length;
  let bad = 0, dark = 0;
  for (const turned of [false, true]) {
    for (let i = 0; i < size; i++) {
      const line = Array.from({ length: size }, (_, k) => (turned ? g[k]![i]! : g[i]![k]!)), s = line.map((d) => (d ? '1' : '0')).join('');
      for (const run of s.match(/0{5,}|1{5,}/g) ?? []) bad += run.length - 2;
      bad += 40 * (s.match(/(?=10111010000)|(?=00001011101)/g) ?? []).length;
    }
  }
  for (let y = 0; y < size; y++) for (let x = 0; x < size; x++) {
    if (g[y]![x]) dark++;
    if (x && y && g[y]![x] === g[y - 1]![x] && g[y]![x] === g[y]![x - 1] && g[y]![x] === g[y - 1]![x - 1]) bad += 3;
  }
  return bad + 10 * Math.floor(Math.abs((20 * dark) / (size * size) - 10));
}
function laid(v: number, mask: number, bytes: Uint8Array): Grid {
  const size = 4 * v + 17, g: Grid = Array.from({ length: size }, () => Array<boolean>(size).fill(false)), fixed: Grid = g.map((r) => [...r]);
  fixedPart(v, mask, g, fixed);
  let i = 0;
  for (let right = size - 1, up = true; right > 0; right -= 2, up = !up) {
    if (right === 6) right = 5;
    for (let k = 0; k < size; k++) for (const x of [right, right - 1]) {
      const y = up ? size - 1 - k : k;
      if (fixed[y]![x]) continue;
      const bit = i < 8 * bytes.length && ((bytes[i >> 3]! >> (7 - (i & 7))) & 1) === 1;
      i++;
      g[y]![x] = bit !== masks[mask]!(x, y);
    }
  }
  return g;
}
/** The modules of a text, dark = true, without the quiet zone; undefined when it is too long. */
export function qr(text: string): Grid | undefined {
  const bytes = new TextEncoder().encode(text);
  let v = 1;
  while (v <= 20 && headBits(v) + 8 * bytes.length > 8 * dataIn(v)) v++;
  if (v > 20) return undefined;
  const m = message(bytes, v), grids = masks.map((_, k) => laid(v, k, m)), bad = grids.map(badness);
  return grids[bad.indexOf(Math.min(...bad))];
}
