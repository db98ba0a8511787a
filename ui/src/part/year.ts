// SPDX-License-Identifier: GPL-3.0-or-later
// Year: one animal's months as a line: with the boar, served, due, farrowed, suckling; today marked.
import { html, svg, type SVGTemplateResult, type TemplateResult } from 'lit-html';
import { r1, textScale, textWidth } from './axis.ts';
import { day, isoDay } from './words.ts';

export interface Year { at: string; served: string[]; runs: [string, string | null][]; due?: { from: string; likeliest: string; to: string }; litters: { start: string; weaned_at: string | null }[] }
const D = 24 * 3600e3;

export function year(w: number, y: Year): TemplateResult {
  const k = textScale(), now = Date.parse(y.at), ms = (t: string): number => Date.parse(t);
  const back = w < 560 ? 200 : 330, ahead = Math.max(w < 560 ? 45 : 75, y.due ? (ms(y.due.to) - now) / D + 12 : 0);
  const t0 = now - back * D, t1 = now + Math.min(ahead, 150) * D, pad = 6, x = (t: number): number => r1(pad + ((Math.max(t0, Math.min(t1, t)) - t0) / (t1 - t0)) * (w - 2 * pad));
  const row = 24 * k, base = r1(row + 30 * k), height = r1(base + 40 * k), parts: SVGTemplateResult[] = [], words: { x: number; text: string; bold?: boolean }[] = [];
  const seen = (t: number): boolean => t >= t0 && t <= t1;
  let lastMonth = -99;
  for (let t = t0; t < t1; t += D) {
    if (!isoDay(t).endsWith('-01')) continue;
    const m = day(t, true).replace(/^\d+ /, ''), at = x(t);
    parts.push(svg`<line class="l-rule w1" x1=${at} x2=${at} y1=${r1(row - 4)} y2=${base}/>`);
    if (at - lastMonth > textWidth(m, 13 * k) + 6 && at < w - textWidth(m, 13 * k)) { parts.push(svg`<text class="t2" x=${r1(at + 3)} y=${r1(14 * k)}>${m}</text>`); lastMonth = at; }
  }
  for (const l of y.litters) {
    const a = ms(l.start), b = l.weaned_at ? ms(l.weaned_at) : now;
    if (b < t0 || a > t1) continue;
    parts.push(svg`<rect class="f-rule" x=${x(a)} y=${r1(base - 12 * k)} width=${r1(Math.max(2, x(b) - x(a)))} height=${r1(12 * k)}/>`);
    if (seen(a)) { parts.push(svg`<line class="l-ink w4" x1=${x(a)} x2=${x(a)} y1=${row} y2=${base}/>`); words.push({ x: x(a), text: `farrowed ${day(a, true)}`, bold: true }); }
    if (l.weaned_at && seen(b)) { parts.push(svg`<line class="l-ink w2" x1=${x(b)} x2=${x(b)} y1=${r1(base - 16 * k)} y2=${base}/>`); words.push({ x: x(b), text: `weaned ${day(b, true)}` }); }
  }
  for (const [a, b] of y.runs) {
    const from = ms(a), to = b ? ms(b) : now;
    if (to < t0) continue;
    parts.push(svg`<rect class="f-none l-ink w15" x=${x(from)} y=${r1(base - 10 * k)} width=${r1(Math.max(3, x(to) - x(from)))} height=${r1(10 * k)}/>`);
    words.push({ x: x(from), text: `boar from ${day(from, true)}` });
  }
  y.served.map(ms).filter(seen).forEach((t, i, all) => {
    parts.push(svg`<path class="f-ink" d="M${x(t)} ${base}l-5 ${r1(-12 * k)}h10z"/>`);
    if (i === 0 || t - all[i - 1]! > 10 * D) words.push({ x: x(t), text: `served ${day(t, true)}` });
  });
  if (y.due) {
    const a = ms(y.due.from), b = ms(y.due.to), m = ms(y.due.likeliest);
    parts.push(svg`<rect class="f-night l-ink w1" x=${x(a)} y=${row} width=${r1(Math.max(4, x(b) - x(a)))} height=${r1(base - row)}/><line class="l-ink w3 dash" x1=${x(m)} x2=${x(m)} y1=${row} y2=${base}/>`);
    words.push({ x: x(m), text: `due ${day(m, true)}`, bold: true });
  }
  words.push({ x: x(now), text: 'today', bold: true });
  words.sort((p, q) => p.x - q.x);
  const ends = [-9, -9];
  const text = words.map((p) => {
    const half = textWidth(p.text, 13 * k, p.bold) / 2, cx = Math.max(half + 2, Math.min(w - half - 2, p.x)), line = cx - half > ends[0]! + 6 ? 0 : cx - half > ends[1]! + 6 ? 1 : -1;
    if (line < 0) return '';
    ends[line] = cx + half;
    return svg`<text class=${p.bold ? 'tb mid' : 'mid'} x=${r1(cx)} y=${r1(base + (16 + 17 * line) * k)}>${p.text}</text>`;
  });
  const label = `Her year: ${words.map((p) => p.text).join(', ')}.`;
  return html`<svg class="full" viewBox="0 0 ${w} ${height}" role="img" aria-label=${label}>${parts}<line class="l-ink w2" x1=${pad} x2=${w - pad} y1=${base} y2=${base}/>${text}<line class="l-ink w6" x1=${x(now)} x2=${x(now)} y1=${r1(row - 8)} y2=${r1(base + 3)}/><line class="l-straw w3" x1=${x(now)} x2=${x(now)} y1=${r1(row - 7)} y2=${r1(base + 2)}/></svg>`;
}
