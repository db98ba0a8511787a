// SPDX-License-Identifier: GPL-3.0-or-later
// Survey: from what was measured in a field (sides, a walk with a phone) to corners in metres east and north of its
// south-west corner. What was measured is turned into what is recorded; nothing is reckoned from it here.
import type { Pt } from './plan.ts';

export interface Side { length_m: number; towards_deg: number }

/** Corners of a field walked side after side; the last side is the one that closes it. And how far the walk ended from
 * where it began. */
export function fromSides(sides: Side[]): { corners: Pt[]; gap_m: number } {
  const corners: Pt[] = [{ x: 0, y: 0 }];
  for (const s of sides) {
    const a = corners[corners.length - 1]!, r = (s.towards_deg * Math.PI) / 180;
    corners.push({ x: a.x + s.length_m * Math.sin(r), y: a.y + s.length_m * Math.cos(r) });
  }
  const end = corners[corners.length - 1]!, gap_m = Math.hypot(end.x, end.y);
  if (corners.length > 3 && gap_m <= Math.max(3, 0.05 * sides.reduce((n, s) => n + s.length_m, 0))) corners.pop(); // the walk came back
  return { corners: settled(corners).corners, gap_m };
}
/** Moved so that the south-west corner of its box is 0, 0; and by how much. To the decimetre. */
export function settled(points: Pt[]): { corners: Pt[]; by: Pt } {
  const by = { x: Math.min(...points.map((p) => p.x)), y: Math.min(...points.map((p) => p.y)) };
  const dm = (v: number): number => Math.round(v * 10) / 10;
  return { corners: points.map((p) => ({ x: dm(p.x - by.x), y: dm(p.y - by.y) })), by };
}
export function area(points: Pt[]): number {
  return Math.abs(points.reduce((s, p, i) => { const q = points[(i + 1) % points.length]!; return s + p.x * q.y - q.x * p.y; }, 0)) / 2;
}
/** Whether two sides cross each other: then the corners are not in their order. */
export function crosses(points: Pt[]): boolean {
  const side = (a: Pt, b: Pt, c: Pt): number => Math.sign((b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x));
  const n = points.length;
  for (let i = 0; i < n; i++) for (let j = i + 2; j < n; j++) {
    if (i === 0 && j === n - 1) continue;
    const a = points[i]!, b = points[(i + 1) % n]!, c = points[j]!, d = points[(j + 1) % n]!;
    if (side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0) return true;
  }
  return false;
}

// Metres in a degree, from the radii of curvature of the WGS 84 ellipsoid (a and 1/f: NIMA TR8350.2, table 3.1).
const A = 6378137, F = 1 / 298.257223563, E2 = F * (2 - F);
export function degreeMetres(lat: number): { north: number; east: number } {
  const r = (lat * Math.PI) / 180, w = 1 - E2 * Math.sin(r) ** 2;
  return { north: ((A * (1 - E2)) / w ** 1.5) * (Math.PI / 180), east: (A / Math.sqrt(w)) * Math.cos(r) * (Math.PI / 180) };
}
export interface World { lat: number; lon: number }
export function toLocal(p: World, origin: World): Pt {
  const d = degreeMetres((p.lat + origin.lat) / 2);
  return { x: (p.lon - origin.lon) * d.east, y: (p.lat - origin.lat) * d.north };
}
/** The place of several fixes of a phone standing still: the surer ones count more. */
export function standing(fixes: (World & { accuracy_m: number })[]): World & { accuracy_m: number } {
  const w = fixes.map((f) => 1 / Math.max(1, f.accuracy_m) ** 2), sum = w.reduce((a, b) => a + b, 0);
  const mean = (of: (f: World) => number): number => fixes.reduce((s, f, i) => s + of(f) * w[i]!, 0) / sum;
  return { lat: mean((f) => f.lat), lon: mean((f) => f.lon), accuracy_m: Math.min(...fixes.map((f) => f.accuracy_m)) };
}
