// SPDX-License-Identifier: GPL-3.0-or-later
// The facing dial. Out from the middle: the hut from above; blades, how often the wind comes from there; the black line,
// cold for each facing (far out is cold); the straw rim, every good facing; the straw needle, the best; dashes, as it
// stands; a bold needle, as it is being tried; outside, the sun's path with its hours.
import { svg, type SVGTemplateResult } from 'lit-html';
import { arc, path, pol, r1, turn } from './polar.ts';
import { blades, sunPath, type SunAt } from './windrose.ts';

export interface Dial {
  curve: { facing_deg: number; cold: number }[];
  arcs: { from_deg: number; to_deg: number }[];
  best_deg: number | undefined;
  hardly: boolean; // all facings are about as good: the rim is closed
  now_deg: number | undefined;
  try_deg: number | undefined;
  rose: number[];
  sun: SunAt[];
}

export function dial(d: Dial, size = 420): SVGTemplateResult {
  const c = size / 2, R = c - 48;
  const cold = d.curve.map((q) => q.cold), lo = Math.min(...cold), hi = Math.max(...cold);
  const rr = (v: number): number => R * (0.34 + 0.5 * (hi > lo ? (v - lo) / (hi - lo) : 0));
  const ticks = Array.from({ length: 36 }, (_, i) => i * 10);
  const rim = (from: number, to: number): SVGTemplateResult =>
    svg`<path class="f-none l-ink wrim" d=${arc(c, c, R + 11, from, to)}/><path class="f-none l-straw wrim2" d=${arc(c, c, R + 11, from, to)}/>`;
  const tip = (deg: number, r: number): [number, number] => pol(c, c, r, deg);
  const tried = d.try_deg !== undefined && (d.now_deg === undefined || Math.abs(turn(d.now_deg, d.try_deg)) > 0.5) ? d.try_deg : undefined;
  const tag = (deg: number, word: string): SVGTemplateResult => {
    const [x, y] = tip(deg + (turn(d.best_deg ?? -999, deg) > 0 ? 9 : -9), R - 34), w = word.length * 7.6 + 8;
    return svg`<rect class="f-panel" x=${r1(x - w / 2)} y=${r1(y - 9)} width=${w} height="17" rx="3"/><text class="mid" x=${r1(x)} y=${r1(y + 4)}>${word}</text>`;
  };
  const shown = tried ?? d.now_deg ?? d.best_deg ?? 0;
  return svg`<circle class="f-panel l-ink w2" cx=${c} cy=${c} r=${R}/>
${ticks.map((a) => { const [x1, y1] = tip(a, R), [x2, y2] = tip(a, R - (a % 90 === 0 ? 12 : a % 30 === 0 ? 8 : 4)); return svg`<line class="l-ink w1" x1=${r1(x1)} y1=${r1(y1)} x2=${r1(x2)} y2=${r1(y2)}/>`; })}
${blades(c, c, R * 0.6, d.rose)}
${d.curve.length > 2 ? svg`<path class="f-none l-ink w3" d=${path(d.curve.map((q) => tip(q.facing_deg, rr(q.cold)))) + 'z'}/>` : ''}
${d.hardly ? svg`<circle class="f-none l-ink wrim" cx=${c} cy=${c} r=${R + 11}/><circle class="f-none l-straw wrim2" cx=${c} cy=${c} r=${R + 11}/>`
    : d.arcs.map((a) => rim(Math.abs(turn(a.from_deg, a.to_deg)) < 1 ? a.from_deg - 2 : a.from_deg, Math.abs(turn(a.from_deg, a.to_deg)) < 1 ? a.to_deg + 2 : a.to_deg))}
${sunPath(c, c, R + 26, d.sun)}
${d.now_deg !== undefined ? (() => { const [x, y] = tip(d.now_deg, R - 14); return svg`<line class="l-ink w3 dash" x1=${c} y1=${c} x2=${r1(x)} y2=${r1(y)}/>`; })() : ''}
${d.best_deg !== undefined && !d.hardly ? (() => { const [x, y] = tip(d.best_deg, R - 2); return svg`<line class="l-ink w6" x1=${c} y1=${c} x2=${r1(x)} y2=${r1(y)}/><line class="l-straw w3" x1=${c} y1=${c} x2=${r1(x)} y2=${r1(y)}/><circle class="f-straw l-ink w2" cx=${r1(x)} cy=${r1(y)} r="7"/>`; })() : ''}
${tried !== undefined ? (() => { const [x, y] = tip(tried, R - 6); return svg`<line class="l-ink w4" x1=${c} y1=${c} x2=${r1(x)} y2=${r1(y)}/><circle class="f-ink" cx=${r1(x)} cy=${r1(y)} r="6"/>`; })() : ''}
<g transform=${`rotate(${shown} ${c} ${c})`}><path class="f-panel l-ink w3" d=${`M${c - 17} ${c - 13}v26a17 10 0 0 0 34 0v-26h-8M${c - 17} ${c - 13}h8`}/></g>
${([['N', 0], ['E', 90], ['S', 180], ['W', 270]] as [string, number][]).map(([t, a]) => { const [x, y] = tip(a, R - 20); return svg`<rect class="f-panel" x=${r1(x - 9)} y=${r1(y - 9)} width="18" height="18" rx="3"/><text class="mid tb" x=${r1(x)} y=${r1(y + 5)}>${t}</text>`; })}
${d.now_deg !== undefined ? tag(d.now_deg, 'now') : ''}${tried !== undefined ? tag(tried, 'tried') : ''}`;
}
