// SPDX-License-Identifier: GPL-3.0-or-later
// Bearings on paper: clockwise from north, north up.
import { r1 } from './axis.ts';
import { point } from './words.ts';
export { r1 };
export const wrap = (deg: number): number => ((deg % 360) + 360) % 360;
export const turn = (from: number, to: number): number => wrap(to - from + 180) - 180;
export const pol = (cx: number, cy: number, r: number, deg: number): [number, number] =>
  [cx + r * Math.sin((deg * Math.PI) / 180), cy - r * Math.cos((deg * Math.PI) / 180)];
export function arc(cx: number, cy: number, r: number, a: number, b: number): string {
  const [x1, y1] = pol(cx, cy, r, a), [x2, y2] = pol(cx, cy, r, b);
  return `M${r1(x1)} ${r1(y1)}A${r} ${r} 0 ${wrap(b - a) > 180 ? 1 : 0} 1 ${r1(x2)} ${r1(y2)}`;
}
export const path = (p: [number, number][]): string => 'M' + p.map(([x, y]) => `${r1(x)} ${r1(y)}`).join('L');
/** What a person writes for a direction: "SSE", "160", "160°"; undefined when it is neither. */
export function bearing(text: string): number | undefined {
  const t = text.trim().toUpperCase().replace('°', '');
  const i = Array.from({ length: 16 }, (_, n) => point(n * 22.5)).indexOf(t);
  if (i >= 0) return i * 22.5;
  const v = Number(t);
  return t !== '' && Number.isFinite(v) && v >= -360 && v <= 360 ? wrap(v) : undefined;
}
