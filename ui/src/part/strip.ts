// SPDX-License-Identifier: GPL-3.0-or-later
// Strip: one sow. Above the ridge as she stands, mirrored below it after the work. Height of the hill = her chance of
// farrowing in that hour; its filling, worst nearest the lane = share of the forecasts tried in which that hour is so
// dangerous. Hence the promise: the dark area is the chance that she farrows into danger. It holds because all hills of a
// page have one scale, hours are linear, and nothing else in a strip is filled dark.
import { html, nothing, svg, type SVGTemplateResult, type TemplateResult } from 'lit-html';
import { type Axis, nightRects, nowLine, r1, textWidth } from './axis.ts';
import type { Hours, Litter, Row } from './answer.ts';
import { clock } from './words.ts';

export const coldWords = ['bearable', 'cold', 'danger', 'not here'] as const;
export const heatWords = ['bearable', 'warm', 'danger', 'too hot'] as const;
export const gradeLong = ['bearable; normal watch', 'cold: dry them, look twice', 'danger: be there, dry and warm each one', 'not fit for newborns: change it before she starts'] as const;

/** A side of the ridge: share of the forecasts at each grade or worse, and the grade of the lane. */
export interface Side { reach: [Row, Row, Row]; lane: Row }
export interface StripHow {
  chance?: Row; // of first birth in each hour; none: a lane alone
  now: Side;
  after?: Side;
  tall: number; // px for one of chance in an hour, the same for every strip of a page
  dark: [number, number][];
  capNow?: string;
  capAfter?: string;
  deadline?: Date | undefined;
  heat?: boolean;
  label: string;
}

const at = (row: Row | undefined, h: number): number => row?.[Math.max(0, Math.min(row.length - 1, h))] ?? 0;
const add = (...rows: (Row | undefined)[]): Row => Array.from({ length: rows[0]?.length ?? 0 }, (_, h) => Math.min(1, rows.reduce((s, x) => s + at(x, h), 0)));

/** Sides of a sow from her columns; heat where the hours say so and no cold does. */
export function sides(h: Hours): { now: Side; after: Side; heat: boolean } {
  const only = (grade: Row, g: number): Row => grade.map((v) => (v !== null && v >= g ? 1 : 0)); // no forecasts beside the middle one
  const cold = (a: Row | undefined, b: Row | undefined, c: Row | undefined, lane: Row | undefined, grade: Row): Side =>
    (a && b && c && lane ? { reach: [add(a, b, c), add(b, c), c], lane } : { reach: [only(grade, 1), only(grade, 2), only(grade, 3)], lane: grade });
  const hot = (a: Row, b: Row, c: Row, d: Row, lane: Row): Side => ({ reach: [add(a, b, c, d), add(b, c, d), add(c, d)], lane: lane.map((v) => (v === null ? null : Math.min(3, v))) });
  const now = cold(h.share1_now, h.share2_now, h.share3_now, h.lane_now, h.grade_now);
  const after = cold(h.share1_after, h.share2_after, h.share3_after, h.lane_after, h.grade_after);
  const any = (s: Side): boolean => s.lane.some((v) => (v ?? 0) > 0);
  if (h.heat1_now && h.heat_lane_now && !any(now))
    return { now: hot(h.heat1_now, h.heat2_now!, h.heat3_now!, h.heat4_now!, h.heat_lane_now), after: hot(h.heat1_after!, h.heat2_after!, h.heat3_after!, h.heat4_after!, h.heat_lane_after!), heat: true };
  return { now, after, heat: false };
}
/** A litter of one to three days: a lane without a hill; cold = little heat to spare, danger = they cannot keep warm. */
export function litterSides(l: Litter['hours']): { now: Side; after: Side } {
  const side = (cold: Row, danger: Row): Side => {
    const reach1 = add(cold, danger);
    return { reach: [reach1, danger, danger.map(() => 0)], lane: danger.map((d, h) => (d === null ? null : d >= 0.5 ? 2 : at(reach1, h) >= 0.5 ? 1 : 0)) };
  };
  return { now: side(l.cold_now, l.danger_now), after: side(l.cold_after, l.danger_after) };
}

/** Runs of one grade: [grade, from, to]. */
export function runs(lane: Row, span: number): [number, number, number][] {
  const out: [number, number, number][] = [];
  for (let h = 0; h < Math.min(span, lane.length); h++) {
    const v = lane[h], last = out.at(-1);
    if (v === null || v === undefined) continue;
    if (last && last[0] === v && last[2] === h) last[2] = h + 1;
    else out.push([v, h, h + 1]);
  }
  return out;
}

/** Chance per hour at a moment: that of the hour at its middle, in between in proportion; the hour begun counts for what is left of it. */
function density(chance: Row, now: number): (h: number) => number {
  const rate = chance.map((v, h) => (h === 0 && now < 0.95 ? (v ?? 0) / (1 - now) : v ?? 0));
  return (h) => {
    const i = Math.max(0, Math.min(rate.length - 1, h - 0.5)), a = Math.floor(i), q = i - a;
    return rate[a]! * (1 - q) + (rate[Math.min(a + 1, rate.length - 1)] ?? 0) * q;
  };
}
const between = (row: Row, h: number): number => {
  const i = Math.max(0, h - 0.5), a = Math.floor(i), q = i - a;
  return at(row, a) * (1 - q) + at(row, a + 1) * q;
};

export function strip(ax: Axis, s: StripHow): TemplateResult {
  const k = ax.k, words = s.heat ? heatWords : coldWords, grade = s.heat ? ['g0', 'hh1', 'hh2', 'hh3'] : ['g0', 'g1', 'g2', 'g3'];
  const f = s.chance ? density(s.chance, ax.now) : undefined, to = Math.min(ax.span, s.now.lane.length);
  const hs: number[] = [];
  for (let h = ax.now; h < to; h += 0.5) hs.push(h);
  hs.push(to);
  const most = f ? Math.max(...hs.map(f)) * s.tall : 0, hill = f ? Math.max(8 * k, most + 2) : 0;
  const lane = 21 * k, flagged = s.deadline !== undefined && ax.hour(s.deadline.getTime()) < ax.span && ax.hour(s.deadline.getTime()) > ax.now;
  const cap = (s.capNow || flagged ? 19 : 3) * k, base = r1(cap + hill), ridge = r1(base + lane), foot = s.after ? r1(ridge + lane) : ridge;
  const height = r1(s.after ? foot + hill + 19 * k : ridge + 3);
  const parts: SVGTemplateResult[] = [], late: SVGTemplateResult[] = [], over: SVGTemplateResult[] = [];
  const peg = flagged ? ax.x(ax.hour(s.deadline!.getTime())) : undefined;

  const side = (is: Side, dir: -1 | 1): void => {
    const ground = dir < 0 ? base : foot, laneTop = dir < 0 ? base : ridge;
    if (f) {
      const top = (h: number): number => f(h) * s.tall;
      for (let v = 0; v <= 3; v++) {
        let seg: string[] = [], first = 0, lastX = 0;
        const flush = (): void => {
          if (seg.length > 1) parts.push(svg`<path class=${grade[v]!} d="M${first} ${ground}L${seg.join('L')}L${lastX} ${ground}z"/>`);
          seg = [];
        };
        for (const h of hs) {
          const y = top(h) * (v === 0 ? 1 : between(is.reach[v - 1]!, h)), x = ax.x(h);
          if (y <= 0.1) { flush(); continue; }
          if (seg.length === 0) first = x;
          seg.push(`${x} ${r1(ground + dir * y)}`);
          lastX = x;
        }
        flush();
      }
      parts.push(svg`<path class="f-none l-ink w2" d="M${hs.map((h) => `${ax.x(h)} ${r1(ground + dir * top(h))}`).join('L')}"/>`);
    }
    for (const [v, a0, b] of runs(is.lane, to)) {
      let x1 = ax.x(Math.max(a0, ax.now)), x2 = ax.x(b);
      if (x2 <= x1) continue;
      if (a0 > ax.now) parts.push(svg`<line class="l-edge w1" x1=${x1} x2=${x1} y1=${laneTop} y2=${r1(laneTop + lane)}/>`);
      if (peg !== undefined && peg > x1 - 4 && peg < x2 + 4) { if (peg - x1 > x2 - peg) x2 = Math.min(x2, peg - 5); else x1 = Math.max(x1, peg + 5); }
      const w = x2 - x1, word = words[v] ?? '', bold = v > 1, ww = textWidth(word, 13 * k, bold), mark = `#${s.heat && v ? 'w' : 'k'}${v}`, mw = 26 * k, cx = (x1 + x2) / 2;
      const ty = r1(laneTop + 15.5 * k), my = r1(laneTop + 3.5 * k), mh = r1(15 * k);
      if (w > ww + mw + 14 * k) late.push(svg`<use href=${mark} x=${r1(cx - (ww + mw + 5 * k) / 2)} y=${my} width=${mw} height=${mh}/><text class=${bold ? 'tb' : ''} x=${r1(cx - (ww + mw + 5 * k) / 2 + mw + 5 * k)} y=${ty}>${word}</text>`);
      else if (w > ww + 5) late.push(svg`<text class=${bold ? 'tb mid' : 'mid'} x=${r1(cx)} y=${ty}>${word}</text>`);
      else if (w > mw + 2) late.push(svg`<use href=${mark} x=${r1(cx - mw / 2)} y=${my} width=${mw} height=${mh}/>`);
      else if (v === 3 && f) { // too short for either: its mark on a stalk above the hill
        const y = ground + dir * f((Math.max(a0, ax.now) + b) / 2) * s.tall;
        over.push(svg`<line class="l-ink w1" x1=${r1(cx)} x2=${r1(cx)} y1=${r1(y)} y2=${r1(y + dir * 5)}/><use href=${mark} x=${r1(cx - 13 * k)} y=${r1(dir < 0 ? y - 5 - mh : y + 5)} width=${mw} height=${mh}/>`);
      }
    }
    parts.push(svg`<line class="l-edge w1" x1=${ax.x(ax.now)} x2=${ax.x(to)} y1=${ground} y2=${ground}/>`);
  };
  side(s.now, -1);
  if (s.after) side(s.after, 1);
  const end = ax.x(ax.span) - 3;
  // the pennant may stand where the words would: then they begin at the other side
  const crowded = peg !== undefined && s.capNow !== undefined && peg + textWidth(clock(s.deadline!), 13 * k, true) + 18 * k > end - textWidth(s.capNow, 13 * k) - 6;
  return html`<svg class="full" viewBox="0 0 ${ax.w} ${height}" role="img" aria-label=${s.label}>${nightRects(ax, s.dark.map(([a, b]) => [a, Math.min(b, ax.span)] as [number, number]).filter(([a, b]) => b > a), 0, height)}${parts}${late}${over}<line class="l-ink w3" x1=${ax.x(ax.now)} x2=${ax.x(to)} y1=${ridge} y2=${ridge}/>${s.capNow ? svg`<text class=${crowded ? 'halo' : 'end halo'} x=${crowded ? r1(ax.x(ax.now) + 5) : end} y=${r1(13 * k)}>${s.capNow}</text>` : nothing}${s.after && s.capAfter ? svg`<text class="end halo" x=${end} y=${r1(height - 5)}>${s.capAfter}</text>` : nothing}${nowLine(ax, 0, height)}${peg === undefined ? nothing : flag(ax, peg, height, clock(s.deadline!))}</svg>`;
}

/** The straw peg with its pennant: by then it is done. */
function flag(ax: Axis, x: number, height: number, text: string): SVGTemplateResult {
  const k = ax.k, long = r1(textWidth(text, 13 * k, true) + 14 * k), tip = r1(7 * k), hgt = r1(18 * k), left = x + long + 4 > ax.w, d = left ? -1 : 1;
  return svg`<line class="l-ink w6" x1=${x} x2=${x} y1="0" y2=${height}/><line class="l-straw w3" x1=${x} x2=${x} y1="1" y2=${r1(height - 1)}/><path class="f-straw l-ink w15" d="M${x + 2 * d} 1h${d * long}l${-d * tip} ${r1(hgt / 2)}l${d * tip} ${r1(hgt / 2)}h${-d * long}z"/><text class=${left ? 'tb pegt end' : 'tb pegt'} x=${r1(x + 6 * d)} y=${r1(14 * k)}>${text}</text>`;
}
