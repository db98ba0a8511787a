// SPDX-License-Identifier: GPL-3.0-or-later
// Windows of time on one axis of days: a bar over nine chances in ten, a stouter one over the middle half, a line at the
// likeliest middle. Names stand over their bars where there is no room beside them.
import { svg, type SVGTemplateResult } from 'lit-html';
import { r1 } from './polar.ts';

export interface Window { name: string; says: string; low: number; quarter: number; middle: number; upper: number; high: number; faint: boolean }
export interface DayMark { at: number; day: string; date: string; strong: boolean; week: boolean } // local midnights

const short = (s: string, most: number): string => { const c = [...s]; return c.length > most ? c.slice(0, most - 1).join('') + '…' : s; };

export function windowsHeight(n: number, w: number): number { return 44 + n * (w < 640 ? 50 : 38) + 8; }

export function windows(rows: Window[], days: DayMark[], from: number, to: number, now: number, w: number): SVGTemplateResult {
  const slim = w < 640, left = slim ? 8 : 150, right = 12, step = slim ? 50 : 38, H = windowsHeight(rows.length, w);
  const x = (t: number): number => left + ((Math.max(from, Math.min(to, t)) - from) / (to - from)) * (w - left - right);
  const room = days.length > 1 ? x(days[1]!.at) - x(days[0]!.at) : w;
  const every = room >= 46 ? 1 : 7;
  const named = days.filter((d) => every === 1 || d.week);
  return svg`${days.filter((d) => room > 5 || d.week).map((d) => svg`<line class=${d.week ? 'l-edge w1' : 'l-rule w1'} x1=${r1(x(d.at))} x2=${r1(x(d.at))} y1=${d.week ? 30 : 36} y2=${H}/>`)}
${named.map((d, i) => {
    const next = named[i + 1], mid = every === 1 ? (x(d.at) + x(next ? next.at : to)) / 2 : x(d.at) + 4;
    if (every === 1 ? mid > w - 20 : x(d.at) + 60 > w) return '';
    return svg`<text class=${`${every === 1 ? 'mid ' : ''}${d.strong ? 'tb' : ''}`} x=${r1(mid)} y="14">${d.day}</text><text class=${`${every === 1 ? 'mid ' : ''}t2`} x=${r1(mid)} y="29">${d.date}</text>`;
  })}
<line class="l-ink w2" x1=${r1(x(now))} x2=${r1(x(now))} y1="32" y2=${H}/><path class="f-ink" d=${`M${r1(x(now))} 40l-5-8h10z`}/>
${rows.map((q, i) => {
    const y = 44 + i * step, bar = slim ? y + 22 : y + 8, beyond = q.low > to, cut = !beyond && q.high > to;
    const a = x(q.low), b = Math.max(x(q.high), a + 4), c = x(q.quarter), d = Math.max(x(q.upper), c + 3);
    const nameAt = slim ? Math.min(Math.max(8, a), w - 8 - [...q.name].length * 8 - 8) : 8;
    return svg`<line class="l-rule w1" x1="0" x2=${w} y1=${y - 4} y2=${y - 4}/>
<text class=${`tb ${slim ? 'halo' : ''}`} x=${r1(slim ? Math.max(8, nameAt) : 8)} y=${slim ? y + 14 : y + 21}>${short(q.name, slim ? 34 : 17)}</text>
${beyond ? svg`<text class="end t2" x=${w - right} y=${slim ? y + 36 : y + 21}>${q.says} ▸</text>`
        : svg`<rect class=${q.faint ? 'f-none l-ink w15 dash' : 'f-rule l-ink w15'} x=${r1(a)} y=${bar} width=${r1(b - a)} height="14"/>
<rect class=${q.faint ? 'f-rule' : 'f-ink2'} x=${r1(c)} y=${bar} width=${r1(d - c)} height="14"/>
<line class="l-ground w6" x1=${r1(x(q.middle))} x2=${r1(x(q.middle))} y1=${bar - 3} y2=${bar + 17}/><line class="l-ink w3" x1=${r1(x(q.middle))} x2=${r1(x(q.middle))} y1=${bar - 4} y2=${bar + 18}/>
${cut ? svg`<path class="f-ink" d=${`M${w - right} ${bar - 1}l10 8l-10 8z`}/>` : ''}`}`;
  })}`;
}
