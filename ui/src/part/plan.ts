// SPDX-License-Identifier: GPL-3.0-or-later
// The paddock to scale, north up: outline, windbreaks, sheltered ground, wet ground, water, huts at their true size, and
// above it the wind rose, the sun's way and the wind to come. Metres east and north of the field's south-west corner.
import { svg, type SVGTemplateResult } from 'lit-html';
import { pol, r1 } from './polar.ts';
import { barb } from './sky.ts';
import { blades, sunPath, type SunAt } from './windrose.ts';

export interface Pt { x: number; y: number }
export interface PlanHut { uid: string; name: string; who: string; at: Pt; facing_deg: number | undefined; length_m: number; width_m: number; chosen: boolean }
export interface PlanBreak { is: string; a: Pt; b: Pt; says: string }
export interface PlanMark { is: string; points: Pt[]; says: string }
export interface PlanSpot { at: Pt; label: string }
/** Share of the open wind that is left in each cell, row by row from the south-west. */
export interface LeeGrid { x0: number; y0: number; step: number; columns: number; rows: number; share: (number | null)[] }
export interface Draft { points: Pt[]; closes: boolean; cursor: Pt | undefined }
export interface Plan {
  outline: Pt[];
  breaks: PlanBreak[];
  marks: PlanMark[];
  huts: PlanHut[];
  beds: { name: string; at: Pt }[]; // straw without a hut
  ghost: { at: Pt; facing_deg: number | undefined; length_m: number; width_m: number } | undefined; // the hut where it is being tried
  spots: PlanSpot[];
  lee: LeeGrid | undefined;
  rose: number[];
  sun: SunAt[];
  wind: { from_deg: number; mps: number; says: string } | undefined; // of the night to come
  draft: Draft | undefined;
  feet: boolean;
}
/** From which share of the open wind on ground is drawn as half and as well sheltered. */
export const leeHalf = 0.75, leeGood = 0.5;

export interface Layout { w: number; h: number; k: number; left: number; foot: number; low: Pt; high: Pt }

const short = (s: string, most: number): string => { const c = [...s]; return c.length > most ? c.slice(0, most - 1).join('') + '…' : s; };

export function layout(p: Plan, w: number, most: number): Layout {
  const all = [...p.outline, ...p.breaks.flatMap((b) => [b.a, b.b]), ...p.marks.flatMap((m) => m.points), ...p.huts.map((h) => h.at), ...p.beds.map((b) => b.at), ...p.spots.map((s) => s.at), ...(p.ghost ? [p.ghost.at] : []), ...(p.draft?.points ?? [])];
  if (!all.length) all.push({ x: 0, y: 0 }, { x: 60, y: 40 });
  const low = { x: Math.min(...all.map((q) => q.x)), y: Math.min(...all.map((q) => q.y)) }, high = { x: Math.max(...all.map((q) => q.x)), y: Math.max(...all.map((q) => q.y)) };
  for (const [a, least] of [['x', 12], ['y', 12]] as ['x' | 'y', number][]) if (high[a] - low[a] < least) { const m = (least - high[a] + low[a]) / 2; low[a] -= m; high[a] += m; }
  const side = 30, top = 138, bottom = 46;
  const k = Math.min((w - 2 * side) / (high.x - low.x), most / (high.y - low.y));
  const left = side + (w - 2 * side - k * (high.x - low.x)) / 2;
  return { w, k, left, foot: top + k * (high.y - low.y), h: top + k * (high.y - low.y) + bottom, low, high };
}
export const toPx = (l: Layout, q: Pt): [number, number] => [l.left + (q.x - l.low.x) * l.k, l.foot - (q.y - l.low.y) * l.k];
export const toField = (l: Layout, px: number, py: number): Pt => ({ x: (px - l.left) / l.k + l.low.x, y: (l.foot - py) / l.k + l.low.y });

const line = (l: Layout, points: Pt[]): string => 'M' + points.map((q) => toPx(l, q).map(r1).join(' ')).join('L');

function windbreak(l: Layout, b: PlanBreak): SVGTemplateResult {
  const [x1, y1] = toPx(l, b.a), [x2, y2] = toPx(l, b.b), far = Math.hypot(x2 - x1, y2 - y1);
  if (b.is === 'hedge' || b.is === 'trees') {
    const big = b.is === 'trees' ? 11 : 8, n = Math.max(1, Math.round(far / (big * 1.7)));
    return svg`${Array.from({ length: n + 1 }, (_, i) => svg`<circle class="f-green" cx=${r1(x1 + ((x2 - x1) * i) / n)} cy=${r1(y1 + ((y2 - y1) * i) / n)} r=${i % 2 ? big - 2 : big}/>`)}`;
  }
  const d = `M${r1(x1)} ${r1(y1)}L${r1(x2)} ${r1(y2)}`;
  if (b.is === 'bales') return svg`<path class="l-ink wbale" d=${d}/><path class="l-straw wbale2 baledash" d=${d}/>`;
  if (b.is === 'bank') {
    const n = Math.max(1, Math.round(far / 8)), ux = (x2 - x1) / (far || 1), uy = (y2 - y1) / (far || 1);
    return svg`<path class="l-ink w2" d=${d}/>${Array.from({ length: n }, (_, i) => { const x = x1 + ((i + 0.5) / n) * (x2 - x1), y = y1 + ((i + 0.5) / n) * (y2 - y1), q = i % 2 ? 5 : 9; return svg`<path class="l-ink w15" d=${`M${r1(x - uy * q)} ${r1(y + ux * q)}L${r1(x + uy * q)} ${r1(y - ux * q)}`}/>`; })}`;
  }
  return svg`<path class="l-ink w6" d=${d}/>${b.is === 'wall' ? '' : svg`<path class="l-panel w2 dash" d=${d}/>`}`;
}

/** Sheltered ground: runs of equal cells along each row, so that the drawing stays small. */
function sheltered(l: Layout, g: LeeGrid): SVGTemplateResult {
  const level = (v: number | null | undefined): number => (v === null || v === undefined || v > leeHalf ? 0 : v > leeGood ? 1 : 2);
  const runs: { level: number; x: number; y: number; n: number }[] = [];
  for (let j = 0; j < g.rows; j++) for (let i = 0; i < g.columns; i++) {
    const v = level(g.share[j * g.columns + i]), last = runs[runs.length - 1];
    if (v === 0) continue;
    if (last && last.y === j && last.level === v && last.x + last.n === i) last.n++;
    else runs.push({ level: v, x: i, y: j, n: 1 });
  }
  return svg`${runs.map((q) => { const [x, y] = toPx(l, { x: g.x0 + q.x * g.step, y: g.y0 + (q.y + 1) * g.step }); return svg`<rect class=${q.level === 1 ? 'lee2' : 'lee1'} x=${r1(x)} y=${r1(y)} width=${r1(q.n * g.step * l.k + 0.6)} height=${r1(g.step * l.k + 0.6)}/>`; })}`;
}

/** A hut from above at its true size, its open side to where it faces. */
function shell(x: number, y: number, facing: number, w: number, d: number, how: string): SVGTemplateResult {
  const a = w / 2, b = d / 2, gap = w * 0.3;
  return svg`<g transform=${`rotate(${Math.round(facing)} ${r1(x)} ${r1(y)})`}><path class=${how} d=${`M${r1(x - gap / 2)} ${r1(y - b)}H${r1(x - a)}V${r1(y + b)}H${r1(x + a)}V${r1(y - b)}H${r1(x + gap / 2)}`}/></g>`;
}

interface Box { x: number; y: number; w: number; h: number }
const meet = (a: Box, b: Box): boolean => a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h;
const wide = (s: string): number => [...s].length * 7.9;

export function plan(p: Plan, l: Layout): SVGTemplateResult {
  const slim = l.w < 520, R = slim ? 14 : 17, taken: Box[] = [];
  for (const h of p.huts) { const [x, y] = toPx(l, h.at); taken.push({ x: x - R - 6, y: y - R - 6, w: 2 * R + 12, h: 2 * R + 12 }); }
  for (const q of [...p.spots, ...p.beds]) { const [x, y] = toPx(l, q.at); taken.push({ x: x - 13, y: y - 13, w: 26, h: 26 }); }
  for (const b of p.breaks) {
    const [x1, y1] = toPx(l, b.a), [x2, y2] = toPx(l, b.b), n = Math.ceil(Math.hypot(x2 - x1, y2 - y1) / 16) + 1;
    for (let i = 0; i <= n; i++) taken.push({ x: x1 + ((x2 - x1) * i) / n - 8, y: y1 + ((y2 - y1) * i) / n - 9, w: 16, h: 18 });
  }
  for (const m of p.marks.filter((q) => q.is !== 'wet' || q.points.length < 3)) { const [x, y] = toPx(l, m.points[0]!); taken.push({ x: x - 11, y: y - 9, w: 22, h: 18 }); }
  taken.push({ x: 0, y: l.h - 42, w: 24 + Math.max(90, 0.24 * l.w), h: 42 }); // the scale
  const fence = p.outline.length > 2 ? p.outline.map((q, i) => [toPx(l, q), toPx(l, p.outline[(i + 1) % p.outline.length]!)] as const) : [];
  const onFence: Box[] = fence.flatMap(([[x1, y1], [x2, y2]]) => { const n = Math.ceil(Math.hypot(x2 - x1, y2 - y1) / 8) + 1; return Array.from({ length: n }, (_, i) => ({ x: x1 + ((x2 - x1) * i) / n - 2, y: y1 + ((y2 - y1) * i) / n - 2, w: 4, h: 4 })); });
  // Words go where nothing else stands: right of it, left, below, above; on the fence before they lie on each other, and
  // what may be left out is left out before that.
  const place = (x: number, y: number, away: number, lines: string[], or: [number, number][], may: boolean): { x: number; y: number } | undefined => {
    const w = Math.max(...lines.map(wide)), h = lines.length * 15;
    const tries = [[x, y] as [number, number], ...or].flatMap(([x, y]): [number, number][] => [...(away < 3 ? [[x - w / 2, y - h / 2] as [number, number]] : []), [x + away, y - h / 2], [x - away - w, y - h / 2], [x - w / 2, y + away], [x - w / 2, y - away - h], [x + away, y + 4], [x - away - w, y + 4]]);
    const inside = (b: Box): boolean => b.x > 2 && b.x + b.w < l.w - 2 && b.y > 2 && b.y + b.h < l.h - 2;
    const boxes = tries.map(([bx, by]) => ({ x: bx, y: by, w, h })), free = boxes.filter((b) => inside(b) && !taken.some((t) => meet(t, b)));
    if (!free.length && may) return undefined;
    const found = free.find((b) => !onFence.some((t) => meet(t, b))) ?? free[0] ?? tries.map(([bx, by]) => ({ x: bx, y: by, w, h })).find(inside) ?? { x: Math.max(2, Math.min(l.w - w - 2, x - w / 2)), y: y + away, w, h };
    taken.push(found);
    return found;
  };
  const words = (x: number, y: number, away: number, lines: { text: string; how: string }[], or: [number, number][] = [], may = false): SVGTemplateResult => {
    const at = place(x, y, away, lines.map((q) => q.text), or, may);
    return at === undefined ? svg`` : svg`${lines.map((q, i) => svg`<text class=${q.how} x=${r1(at.x)} y=${r1(at.y + 12 + 15 * i)}>${q.text}</text>`)}`;
  };
  const middle = (points: Pt[]): [number, number] => toPx(l, { x: points.reduce((s, q) => s + q.x, 0) / points.length, y: points.reduce((s, q) => s + q.y, 0) / points.length });
  const huts = p.huts.map((h) => {
    const [x, y] = toPx(l, h.at), f = h.facing_deg;
    const tip = f === undefined ? undefined : [pol(x, y, R + 8, f), pol(x, y, R - 1, f - 24), pol(x, y, R - 1, f + 24)];
    return svg`<circle class=${`${h.chosen ? 'f-straw l-ink w3' : 'f-panel l-ink w15'}`} cx=${r1(x)} cy=${r1(y)} r=${R} data-hut=${h.uid}/>
${shell(x, y, f ?? 180, Math.max(h.width_m * l.k, 7), Math.max(h.length_m * l.k, 7), 'f-panel l-ink w2 still')}
${tip ? svg`<path class="f-ink still" d=${'M' + tip.map((q) => q.map(r1).join(' ')).join('L') + 'z'}/>` : ''}
${words(x, y, R + 10, [{ text: short(h.name, slim ? 10 : 22), how: 'tb halo2 still' }, ...(h.who && !slim ? [{ text: short(h.who, 22), how: 'halo2 still' }] : [])])}`;
  });
  const unit = p.feet ? 0.3048 : 1, far = (l.high.x - l.low.x) / unit, steps = [5, 10, 20, 50, 100, 200, 500, 1000, 2000];
  const bar = steps.find((s) => s > far / 5) ?? 5000, word = p.feet ? 'ft' : 'm', bw = bar * unit * l.k;
  return svg`<rect class="f-ground" width=${l.w} height=${r1(l.h)}/>
${p.outline.length > 2 ? svg`<path class="f-grass" d=${line(l, p.outline) + 'z'}/><clipPath id="inside"><path d=${line(l, p.outline) + 'z'}/></clipPath>` : ''}
${p.lee ? svg`<g clip-path=${p.outline.length > 2 ? 'url(#inside)' : 'none'}>${sheltered(l, p.lee)}</g>` : ''}
${p.marks.filter((m) => m.is === 'wet' && m.points.length > 2).map((m) => svg`<path class="wetfill l-wet w1" d=${line(l, m.points) + 'z'}/>`)}
${p.outline.length > 2 ? svg`<path class="f-none l-ink w15 long" d=${line(l, p.outline) + 'z'}/>` : ''}
${p.breaks.map((b) => windbreak(l, b))}
${p.marks.filter((m) => m.is !== 'wet' || m.points.length < 3).map((m) => { const [x, y] = toPx(l, m.points[0]!);
    if (m.is === 'gateway') return svg`<path class="f-ground l-ink w3" d=${`M${r1(x - 9)} ${r1(y)}h18M${r1(x - 9)} ${r1(y - 6)}v12M${r1(x + 9)} ${r1(y - 6)}v12`}/>`;
    if (m.is === 'tree' || m.is === 'shade') return svg`<circle class="f-green" cx=${r1(x)} cy=${r1(y)} r="10"/><circle class="f-green l-ground w1" cx=${r1(x + 3)} cy=${r1(y - 3)} r="6"/>`;
    if (m.is === 'stone' || m.is === 'steep') return svg`<path class="f-rule l-ink w15" d=${m.is === 'stone' ? `M${r1(x - 8)} ${r1(y + 5)}l3-9l8-2l5 6v5z` : `M${r1(x - 9)} ${r1(y + 6)}l9-13l9 13z`}/>`;
    if (m.is === 'wet') return svg`<circle class="wetfill l-wet w1" cx=${r1(x)} cy=${r1(y)} r=${r1(Math.max(8, 3 * l.k))}/>`;
    return svg`<rect class="f-panel l-ink w2" x=${r1(x - 11)} y=${r1(y - 5)} width="22" height="10"/><path class="l-wet w15 f-none" d=${`M${r1(x - 8)} ${r1(y)}q4-4 8 0t8 0`}/>`; })}
${p.spots.map((s) => { const [x, y] = toPx(l, s.at); return svg`<path class="f-strawsoft l-strawedge w2" d=${`M${r1(x)} ${r1(y - 13)}l13 13l-13 13l-13-13z`}/><text class="mid tb" x=${r1(x)} y=${r1(y + 5)}>${s.label}</text>`; })}
${p.beds.map((b) => { const [x, y] = toPx(l, b.at); return svg`<ellipse class="f-strawsoft l-ink w15" cx=${r1(x)} cy=${r1(y)} rx="9" ry="6"/>${words(x, y, 13, [{ text: short(b.name, slim ? 10 : 22), how: 'halo2 still' }])}`; })}
${huts}
${p.marks.map((m) => { const [x, y] = middle(m.points); return words(x, y, m.is === 'wet' && m.points.length > 2 ? 2 : 16, [{ text: short(m.says, slim ? 16 : 24), how: 'halo2 still' }], [], slim); })}
${p.breaks.map((b) => { const on = (t: number): [number, number] => toPx(l, { x: b.a.x + t * (b.b.x - b.a.x), y: b.a.y + t * (b.b.y - b.a.y) }), [x, y] = on(0.5); return words(x, y, 13, [{ text: short(b.says, slim ? 18 : 34), how: 't2 halo2 still' }], [on(0.3), on(0.7), on(0.12), on(0.88), on(0), on(1)], slim); })}
${p.ghost ? (() => { const [x, y] = toPx(l, p.ghost.at), f = p.ghost.facing_deg ?? 180, t = [pol(x, y, R + 9, f), pol(x, y, R, f - 24), pol(x, y, R, f + 24)];
    return svg`<circle class="f-none l-ink w3 dash still" cx=${r1(x)} cy=${r1(y)} r=${R + 1}/>${shell(x, y, f, Math.max(p.ghost.width_m * l.k, 7), Math.max(p.ghost.length_m * l.k, 7), 'f-straw l-ink w2 still')}<path class="f-ink still" d=${'M' + t.map((q) => q.map(r1).join(' ')).join('L') + 'z'}/>`; })() : ''}
${p.draft ? draft(l, p.draft) : ''}
${band(p, l)}
<g transform=${`translate(24 ${r1(l.h - 14)})`}><path class="l-ink w3 f-none" d=${`M0 -6v6h${r1(bw)}v-6M${r1(bw / 2)} -4v4`}/><text class="ts" x="0" y="-10">0</text><text class="ts mid" x=${r1(bw / 2)} y="-10">${bar / 2}</text><text class="ts mid" x=${r1(bw)} y="-10">${bar} ${word}</text></g>`;
}

function draft(l: Layout, d: Draft): SVGTemplateResult {
  return svg`${d.points.length > 1 ? svg`<path class="f-none l-ink w3 dash" d=${line(l, d.points) + (d.closes && d.points.length > 2 ? 'z' : '')}/>` : ''}
${d.points.map((q, i) => { const [x, y] = toPx(l, q); return svg`<circle class="f-straw l-ink w2" cx=${r1(x)} cy=${r1(y)} r="9"/><text class="mid tb pegt" x=${r1(x)} y=${r1(y + 4.5)}>${i + 1}</text>`; })}
${d.cursor ? (() => { const [x, y] = toPx(l, d.cursor); return svg`<path class="l-ink w6 f-none" d=${`M${r1(x - 20)} ${r1(y)}h40M${r1(x)} ${r1(y - 20)}v40`}/><path class="l-straw w3 f-none" d=${`M${r1(x - 19)} ${r1(y)}h38M${r1(x)} ${r1(y - 19)}v38`}/>`; })() : ''}`;
}

/** Over the plan: the wind to come at the left, compass with wind rose and sun path at the right. */
function band(p: Plan, l: Layout): SVGTemplateResult {
  const cx = l.w - 66, cy = 70;
  return svg`<circle class="f-panel l-ink w1" cx=${cx} cy=${cy} r="38"/>${blades(cx, cy, 34, p.rose)}${sunPath(cx, cy, 46, p.sun, 3.5, false)}
<path class="f-ink" d=${`M${cx} ${cy - 56}l7 15h-14z`}/><text class="tb mid" x=${cx} y=${cy - 58}>N</text>
${p.wind ? svg`<g>${barb(40, 72, p.wind.mps, p.wind.from_deg, 0, 1.5)}<text class="tb" x="78" y="62">tonight</text><text x="78" y="80">${p.wind.says}</text></g>` : ''}`;
}
