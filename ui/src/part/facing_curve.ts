// SPDX-License-Identifier: GPL-3.0-or-later
// The facing curve: cold at the nest for each way the opening can look, good arcs in straw.
import { svg, type SVGTemplateResult } from 'lit-html';
import { path, r1, wrap } from './polar.ts';
import { coldHours } from './words.ts';

export interface Curve {
  rows: { facing_deg: number; cold: number }[];
  arcs: { from_deg: number; to_deg: number }[];
  best_deg: number | undefined;
  worst_deg: number | undefined;
  now_deg: number | undefined;
  hardly: boolean;
}

export function facingCurve(d: Curve, W: number, H = 190): SVGTemplateResult {
  const cold = d.rows.map((q) => q.cold), lo = Math.min(...cold), hi = Math.max(...cold);
  const left = 40, right = 14, top = 30, bottom = 36;
  const x = (deg: number): number => left + (deg * (W - left - right)) / 360;
  const y = (v: number): number => top + ((hi - v) * (H - top - bottom)) / (hi - lo || 1);
  const at = (deg: number): number => d.rows.reduce((best, q) => (Math.abs(wrap(q.facing_deg - deg + 180) - 180) < Math.abs(wrap(best.facing_deg - deg + 180) - 180) ? q : best), d.rows[0]!).cold;
  const bands = d.hardly ? [[0, 360]] : d.arcs.flatMap((a) => (a.from_deg <= a.to_deg ? [[a.from_deg, a.to_deg]] : [[a.from_deg, 360], [0, a.to_deg]]));
  const label = (deg: number, v: number, word: string, dy: number): SVGTemplateResult => {
    const w = word.length * 7.8, lx = Math.max(left + w / 2, Math.min(W - right - w / 2, x(deg)));
    return svg`<text class="tb mid halo" x=${r1(lx)} y=${r1(y(v) + dy)}>${word}</text>`;
  };
  const first = d.rows[0];
  return svg`${bands.map(([a, b]) => svg`<rect class="f-strawsoft" x=${r1(x(a!))} y=${top - 8} width=${r1(Math.max(2, x(b!) - x(a!)))} height=${H - top - bottom + 14}/><line class="l-strawedge w4" x1=${r1(x(a!))} x2=${r1(Math.max(x(b!), x(a!) + 2))} y1=${H - bottom + 6} y2=${H - bottom + 6}/>`)}
${Array.from({ length: 9 }, (_, i) => svg`<line class="l-rule w1" x1=${r1(x(i * 45))} x2=${r1(x(i * 45))} y1=${top - 8} y2=${H - bottom + 4}/><text class="mid" x=${r1(x(i * 45))} y=${H - 12}>${['N', 'NE', 'E', 'SE', 'S', 'SW', 'W', 'NW', 'N'][i]}</text>`)}
${[lo, hi].map((v) => svg`<text class="end ts t2" x=${left - 6} y=${r1(y(v) + 4)}>${coldHours(v)}</text>`)}
<path class="f-none l-ink w3" d=${path([...d.rows.map((q): [number, number] => [x(q.facing_deg), y(q.cold)]), ...(first ? [[x(360), y(first.cold)] as [number, number]] : [])])}/>
${d.now_deg !== undefined ? svg`<line class="l-ink w2 dash" x1=${r1(x(wrap(d.now_deg)))} x2=${r1(x(wrap(d.now_deg)))} y1=${top - 8} y2=${H - bottom + 4}/>${label(wrap(d.now_deg), hi, 'now', -12)}` : ''}
${d.worst_deg !== undefined && !d.hardly ? svg`<circle class="f-panel l-ink w2" cx=${r1(x(d.worst_deg))} cy=${r1(y(hi))} r="5"/>${label(d.worst_deg, hi, `worst ${Math.round(d.worst_deg)}°`, 20)}` : ''}
${d.best_deg !== undefined && !d.hardly ? svg`<circle class="f-straw l-ink w2" cx=${r1(x(d.best_deg))} cy=${r1(y(at(d.best_deg)))} r="6"/>${label(d.best_deg, lo, `best ${Math.round(d.best_deg)}°`, -14)}` : ''}`;
}
