// SPDX-License-Identifier: GPL-3.0-or-later
// Stair: a season read downwards. The boar, the litters, the pigs ready, what people ask for; under them the cold by week and the
// huts wanted against those there are. Slanting bands tie the same pigs together.
import { svg, type SVGTemplateResult } from 'lit-html';
import { r1 } from './polar.ts';

export interface StairDay { day: string; litters: number; huts_p90: number; ready: number }
export interface StairWeek { week: number; danger_in_hut: number | null; danger_in_open: number | null; danger_in_open_p90: number | null }
export interface Stair {
  boar_in: string; boar_out: string; first_litters: string; last_litters: string; ready_from: string; ready_to: string; huts: number;
  days: StairDay[]; asked: { from: string; to: string; pigs: number }[]; weeks: StairWeek[];
}
const DAY = 864e5, t = (d: string): number => Date.parse(d + 'T12:00:00Z');
const months = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];
export const dayMonth = (d: string): string => `${new Date(t(d)).getUTCDate()} ${months[new Date(t(d)).getUTCMonth()]}`;

const rows = ['The boar is in', 'Litters', 'Pigs ready', 'Asked for', 'Danger of cold', 'Huts wanted'];
const top = 30, step = 74, tall = 46;
export const stairHeight = top + rows.length * step;

function span(s: Stair): [number, number] {
  const ends = [t(s.ready_to), ...s.asked.map((a) => t(a.to))];
  return [t(s.boar_in) - 20 * DAY, Math.max(...ends) + 15 * DAY];
}
/** A hill over days, as high as its own highest day. */
function hill(days: StairDay[], of: (d: StairDay) => number, x: (ms: number) => number, base: number): string {
  const high = Math.max(...days.map(of), 1e-9), there = days.filter((d) => of(d) > high / 500);
  if (!there.length) return '';
  return `M${r1(x(t(there[0]!.day)))} ${base}` + there.map((d) => `L${r1(x(t(d.day)))} ${r1(base - (of(d) / high) * (tall - 12))}`).join('') + `L${r1(x(t(there.at(-1)!.day)))} ${base}Z`;
}
const weekOf = (ms: number): number => Math.min(51, Math.floor((ms - Date.UTC(new Date(ms).getUTCFullYear(), 0, 1)) / (7 * DAY)));

export function stair(s: Stair, w: number): SVGTemplateResult {
  const slim = w < 640, left = slim ? 4 : 150, right = 8, [from, to] = span(s);
  const x = (ms: number): number => left + ((ms - from) / (to - from)) * (w - left - right), at = (d: string): number => r1(x(t(d)));
  const y = (i: number): number => top + i * step + (slim ? 22 : 14), base = (i: number): number => y(i) + tall - 8;
  const starts: number[] = [];
  for (let d = new Date(from); +d <= to; d = new Date(Date.UTC(d.getUTCFullYear(), d.getUTCMonth() + 1, 1))) starts.push(+d);
  const band = (i: number, a: string, b: string, c: string, d: string): SVGTemplateResult => svg`<path class="f-rule" d=${`M${at(a)} ${base(i)}L${at(b)} ${base(i)}L${at(d)} ${y(i + 1) + 10}L${at(c)} ${y(i + 1) + 10}Z`}/>`;
  const most = Math.max(...s.asked.map((a) => a.pigs), 1), worst = Math.max(...s.days.map((d) => d.huts_p90), s.huts, 1);
  const weeks: { ms: number; v: StairWeek }[] = [];
  for (let ms = from; ms <= to; ms += 7 * DAY) { const v = s.weeks[weekOf(ms)]; if (v && v.danger_in_hut !== null && v.danger_in_open !== null) weeks.push({ ms, v }); }
  const up = (p: number): number => r1(p * (tall - 10)), hutY = (n: number): number => r1(base(5) - (n / worst) * (tall - 12));
  return svg`${starts.map((ms, i) => svg`<line class="l-rule w1" x1=${r1(x(Math.max(ms, from)))} x2=${r1(x(Math.max(ms, from)))} y1="20" y2=${stairHeight}/>${i > 0 || x(starts[1] ?? to) - x(from) > 34 ? svg`<text class="t2" x=${r1(x(Math.max(ms, from)) + 3)} y="14">${months[new Date(ms).getUTCMonth()]}</text>` : ''}`)}
${band(0, s.boar_in, s.boar_out, s.first_litters, s.last_litters)}${band(1, s.first_litters, s.last_litters, s.ready_from, s.ready_to)}
${rows.map((r, i) => svg`<line class="l-rule w1" x1="0" x2=${w} y1=${top + i * step + 2} y2=${top + i * step + 2}/><text class="tb halo" x="4" y=${slim ? top + i * step + 18 : y(i) + 24}>${r}</text>`)}
<rect class="f-straw l-ink w15" x=${at(s.boar_in)} y=${y(0) + 12} width=${r1(x(t(s.boar_out)) - x(t(s.boar_in)))} height=${tall - 20}/><text class="halo" x=${at(s.boar_out) + 6} y=${y(0) + 30}>in ${dayMonth(s.boar_in)}, out ${dayMonth(s.boar_out)}</text>
<path class="f-night l-ink w15" d=${hill(s.days, (d) => d.litters, x, base(1))}/><text class="halo" x=${at(s.last_litters) + 26} y=${y(1) + 30}>${dayMonth(s.first_litters)} to ${dayMonth(s.last_litters)}</text>
<path class="f-night l-ink w15" d=${hill(s.days, (d) => d.ready, x, base(2))}/><text class="end halo" x=${at(s.ready_from) - 26} y=${y(2) + 30}>from ${dayMonth(s.ready_from)}</text>
${s.asked.map((a) => svg`<rect class="f-ink2" x=${at(a.from)} width=${r1(Math.max(3, x(t(a.to) + DAY) - x(t(a.from)) - 1))} y=${r1(base(3) - (a.pigs / most) * (tall - 14))} height=${r1((a.pigs / most) * (tall - 14))}/><text class="mid t2 halo" x=${r1((x(t(a.from)) + x(t(a.to) + DAY)) / 2)} y=${r1(base(3) - (a.pigs / most) * (tall - 14) - 3)}>${a.pigs}</text>`)}
${weeks.map(({ ms, v }) => { const wide = r1(Math.max(2, x(ms + 7 * DAY) - x(ms) - 1)); return svg`<rect class="g1 l-ink w1" x=${r1(x(ms))} width=${wide} y=${base(4) - up(v.danger_in_open!)} height=${up(v.danger_in_open!)}/><rect class="g3" x=${r1(x(ms))} width=${wide} y=${base(4) - up(v.danger_in_hut!)} height=${up(v.danger_in_hut!)}/>`; })}
${weeks.length ? '' : svg`<text class="t2" x=${left + 6} y=${y(4) + 30}>not known: no past winters are kept here</text>`}
<path class="f-rule l-ink w1" d=${s.days.length ? `M${at(s.days[0]!.day)} ${base(5)}` + s.days.map((d) => `L${at(d.day)} ${hutY(d.huts_p90)}`).join('') + `L${at(s.days.at(-1)!.day)} ${base(5)}Z` : ''}/>
<line class="l-strawedge w3" x1=${left} x2=${w} y1=${hutY(s.huts)} y2=${hutY(s.huts)}/><text class="end halo" x=${w - 4} y=${hutY(s.huts) - 5}>there are ${s.huts}</text>`;
}
