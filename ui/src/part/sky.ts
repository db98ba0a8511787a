// SPDX-License-Identifier: GPL-3.0-or-later
// Sky: the weather on the hours of the page. Air as a line with freezing dashed, what falls, wind in the open signs of the
// WMO station plot (Manual on the GDPFS / Guide to the plotting of surface observations): circle filled by eighths for
// cloud, shaft to where the wind comes from, half feather 5 kt, feather 10, pennant 50, on the clockwise side in the
// north and the other in the south.
import { html, nothing, svg, type SVGTemplateResult, type TemplateResult } from 'lit-html';
import { type Axis, nightRects, nights, nowLine, r1, textWidth } from './axis.ts';
import { clock, degrees, from8, inSouth, moment, temp, usUnits, weekday, wind, windFigure, windUnit } from './words.ts';

type Row = readonly (number | null)[];
/** Columns as the questions tonight and weather give them. The last two where a source says how far it may be out. */
export interface WeatherHours { time: readonly string[]; temp_c: Row; wind_mps: Row; gust_mps: Row; wind_from_deg: Row; cloud_oktas: Row; rain_mm: Row; snow: Row; daylight: Row; temp_low_c?: Row; temp_high_c?: Row }

/** Wind and cloud at a place of the drawing. */
export function barb(x: number, y: number, mps: number, fromDeg: number, oktas: number, k = 1, south = false): SVGTemplateResult {
  const kt = Math.round(mps / 0.514444 / 5) * 5, side = south ? -1 : 1;
  const parts: SVGTemplateResult[] = [];
  let at = -25, left = kt;
  if (kt >= 5) {
    parts.push(svg`<line class="l-ink w15" x1="0" y1="-5.5" x2="0" y2="-25"/>`);
    if (kt < 10) at = -21; // a half feather alone stands in from the end
    for (; left >= 50; left -= 50, at += 6) parts.push(svg`<path class="f-ink" d="M0 ${at}L${9 * side} ${at + 1}L0 ${at + 5}z"/>`);
    for (; left >= 10; left -= 10, at += 4.2) parts.push(svg`<line class="l-ink w15" x1="0" y1=${r1(at)} x2=${9 * side} y2=${r1(at - 4)}/>`);
    if (left >= 5) parts.push(svg`<line class="l-ink w15" x1="0" y1=${r1(at)} x2=${5 * side} y2=${r1(at - 2.2)}/>`);
  }
  const full = Math.max(0, Math.min(8, Math.round(oktas))), a = (full / 8) * 2 * Math.PI;
  const pie = full === 8 ? svg`<circle class="f-ink" r="5"/>` : full > 0
    ? svg`<path class="f-ink" d="M0 0V-5A5 5 0 ${a > Math.PI ? 1 : 0} 1 ${r1(5 * Math.sin(a))} ${r1(-5 * Math.cos(a))}z"/>` : nothing;
  return svg`<g transform="translate(${r1(x)} ${r1(y)}) scale(${r1(k * 10) / 10})"><g transform="rotate(${Math.round(fromDeg)})">${parts}</g><circle class="f-panel l-ink w15" r="5"/>${pie}</g>`;
}
export const star = (x: number, y: number, q = 5): SVGTemplateResult =>
  svg`<path class="l-ink w15 f-none" d="M${r1(x - q)} ${r1(y)}h${2 * q}M${r1(x - q / 2)} ${r1(y - q * 0.87)}l${q} ${r1(q * 1.74)}M${r1(x + q / 2)} ${r1(y - q * 0.87)}l${-q} ${r1(q * 1.74)}"/>`;

/** Light, moderate, heavy, of water in an hour: rain from 2.5 and 10 mm, snow from 1 and 5 mm (WMO-No. 8; from memory). */
function strength(mm: number, snow: boolean): number {
  const [m, h] = snow ? [1, 5] : [2.5, 10];
  return mm < 0.1 ? 0 : mm < m ? 1 : mm < h ? 2 : 3;
}
const num = (row: Row, h: number): number => row[Math.max(0, Math.min(row.length - 1, h))] ?? NaN;
const path = (pts: (readonly [number, number])[]): string => 'M' + pts.map(([x, y]) => `${r1(x)} ${r1(y)}`).join('L');

export interface SkyHow { low?: boolean; from?: number }

export function sky(ax: Axis, w: WeatherHours, how: SkyHow = {}): TemplateResult {
  const k = ax.k, low = how.low ?? false, span = Math.min(ax.span, w.time.length - 1);
  const hs = Array.from({ length: span + 1 }, (_, h) => h).filter((h) => Number.isFinite(num(w.temp_c, h)));
  const t = (h: number): number => num(w.temp_c, h), lo = (h: number): number => num(w.temp_low_c ?? w.temp_c, h), hi = (h: number): number => num(w.temp_high_c ?? w.temp_c, h);
  const all = hs.flatMap((h) => [lo(h), hi(h)]);
  const freezing = Math.min(...all) < 8; // where frost is far off, its line would only flatten the drawing
  const top = Math.max(...all, freezing ? 1 : -99), bottom = Math.min(...all, freezing ? -1 : 99);
  const T0 = 24 * k, T1 = T0 + (low ? 42 : 62) * k, yT = (c: number): number => T1 - ((c - bottom) / Math.max(4, top - bottom)) * (T1 - T0);
  const yFall = T1 + 28 * k, yWind = yFall + (low ? 38 : 42) * k, height = r1(yWind + 38 * k);
  const dark = nights(w.daylight, span);
  const parts: SVGTemplateResult[] = [];
  if (w.temp_low_c && w.temp_high_c)
    parts.push(svg`<path class="f-rule soft" d="${path([...hs.map((h) => [ax.x(h), yT(hi(h))] as const), ...hs.slice().reverse().map((h) => [ax.x(h), yT(lo(h))] as const)])}z"/>`);
  if (freezing) {
    const y = r1(yT(0));
    parts.push(svg`<line class="l-ink2 w1 dash" x1=${ax.x(0)} x2=${ax.x(span)} y1=${y} y2=${y}/>`);
  }
  parts.push(svg`<path class="f-none l-ink w3" d=${path(hs.map((h) => [ax.x(h), yT(t(h))]))}/>`);
  // each night's lowest, and now
  const labels: [number, number][] = [];
  for (const [a, b] of dark) {
    let best = -1;
    for (let h = Math.ceil(a); h <= Math.min(b + 1, span); h++) if (Number.isFinite(t(h)) && (best < 0 || t(h) < t(best))) best = h;
    const sure = best > 2 && best < span;
    if (!sure || labels.some(([x]) => Math.abs(ax.x(best) - x) < 34 * k)) continue;
    const x = Math.min(ax.x(best), ax.w - 30 * k), y = yT(t(best)) + 20 * k;
    labels.push([x, y]);
    parts.push(svg`<circle class="f-panel l-ink w2" cx=${ax.x(best)} cy=${r1(yT(t(best)))} r="4"/><text class="th mid halo" x=${r1(x)} y=${r1(y)}>${degrees(t(best))}°</text>`);
  }
  if (freezing) { // above its line or under it, where no figure stands and the air does not run; nowhere else
    const word = 'freezing', room = ax.x(span) - textWidth(word, 12 * k) - 4, last = hs.slice(-Math.ceil(70 * k / ax.px));
    const free = (y: number): boolean => !labels.some(([lx, ly]) => lx > room - 20 * k && Math.abs(ly - y) < 18 * k) && !last.some((h) => Math.abs(yT(t(h)) - (y - 4 * k)) < 12 * k);
    const y = [yT(0) - 4 * k, yT(0) + 13 * k].find(free);
    if (y !== undefined) parts.push(svg`<text class="ts t2 halo" x=${r1(room)} y=${r1(y)}>${word}</text>`);
  }
  if (hs.length > 0) parts.push(svg`<text class="th halo" x=${r1(ax.x(ax.now) + 5)} y=${r1(Math.max(17 * k, yT(t(0)) - 8 * k))}>${degrees(t(0))}°</text>`);
  // what falls: one sign light, two moderate, three heavy
  const cell = [1, 2, 3, 6].find((n) => n * ax.px >= 15 * k) ?? 6;
  for (let h = Math.ceil(ax.now); h + cell <= span; h += cell) {
    const hours = Array.from({ length: cell }, (_, i) => h + i), wettest = hours.reduce((a, b) => (num(w.rain_mm, b) > num(w.rain_mm, a) ? b : a));
    const snow = num(w.snow, wettest) > 0.5, n = strength(num(w.rain_mm, wettest), snow), x = ax.x(h + cell / 2);
    for (let i = 0; i < n; i++) {
      const y = yFall - i * 9 * k;
      parts.push(snow ? star(x, y, r1(4.2 * k)) : svg`<circle class="f-ink" cx=${x} cy=${r1(y)} r=${r1(2.6 * k)}/>`);
    }
  }
  // cloud and wind, its speed in the farm's unit under it
  const step = [1, 2, 3, 4, 6, 12].find((n) => n * ax.px >= (low ? 36 : 29) * k) ?? 12;
  const first = Math.ceil(ax.now + (textWidth(windUnit(), 12 * k) + 14 * k) / ax.px);
  for (let h = first; h <= span && ax.x(h) < ax.w - 8 * k; h += step) {
    const mps = num(w.wind_mps, h);
    if (!Number.isFinite(mps)) continue;
    parts.push(barb(ax.x(h), yWind, mps, num(w.wind_from_deg, h), num(w.cloud_oktas, h), 1.12 * k, inSouth()), svg`<text class="mid ts" x=${ax.x(h)} y=${r1(height - 6 * k)}>${windFigure(mps)}</text>`);
  }
  parts.push(svg`<text class="ts t2" x=${r1(ax.x(ax.now) + 4)} y=${r1(height - 6 * k)}>${windUnit()}</text>`);
  return html`<svg class="full" viewBox="0 0 ${ax.w} ${height}" role="img" aria-label=${`Weather on the same hours. ${skyWords(ax, w).join(' ')}`}>${nightRects(ax, dark, 0, height)}${parts}${nowLine(ax, 0, height)}</svg>`;
}

/** The weather in sentences: what falls and when, how the wind goes, how cold. They say what the drawing shows. */
export function skyWords(ax: Axis, w: WeatherHours, at: number = ax.moment(ax.now)): string[] {
  const span = Math.min(ax.span, w.time.length), out: string[] = [];
  const when = (h: number): string => moment(ax.moment(h), at);
  const falls: string[] = [];
  let a = -1, snow = false;
  for (let h = Math.floor(ax.now); h <= span; h++) {
    const wet = h < span && num(w.rain_mm, h) >= 0.1, is = num(w.snow, h) > 0.5;
    if (a >= 0 && (!wet || is !== snow)) {
      if (falls.length < 4) falls.push(`${snow ? 'snow' : 'rain'} ${h === span ? `from ${when(a)}` : `${a <= ax.now + 1 ? 'until' : `${when(a)} to`} ${when(h)}`}`);
      a = -1;
    }
    if (a < 0 && wet) { a = h; snow = is; }
  }
  out.push(falls.length ? `${falls[0]!.charAt(0).toUpperCase()}${falls.join(', ').slice(1)}.` : 'Nothing falls.');
  let turn = -1;
  const d0 = num(w.wind_from_deg, Math.round(ax.now));
  for (let h = Math.ceil(ax.now); h < Math.min(span, 30) && turn < 0; h++) {
    const d = num(w.wind_from_deg, h);
    if (num(w.wind_mps, h) >= 1.5 && Math.abs(((d - d0 + 540) % 360) - 180) >= 45) turn = h;
  }
  const night = Array.from({ length: Math.min(span, 24) }, (_, h) => h), gust = Math.max(...night.map((h) => num(w.gust_mps, h)).filter(Number.isFinite));
  out.push(turn >= 0 ? `Wind goes round from ${from8(d0)} to ${from8(num(w.wind_from_deg, turn))} by ${when(turn)}, gusts ${wind(gust)}.` : `Wind stays in the ${from8(d0)}, gusts ${wind(gust)}.`);
  const lows = nights(w.daylight, span).filter(([x, y]) => y - x > 3).slice(0, 3).map(([x, y]) => {
    const hours = Array.from({ length: y - x }, (_, i) => x + i).filter((h) => Number.isFinite(num(w.temp_c, h)));
    const best = hours.reduce((p, q) => (num(w.temp_c, q) < num(w.temp_c, p) ? q : p), hours[0] ?? x);
    return `${temp(num(w.temp_c, best))} at ${moment(ax.moment(best), at)}`;
  });
  if (lows.length) out.push(`Lowest ${lows.join(', ')}.`);
  const rise = w.daylight.findIndex((v, h) => h > ax.now && v === 1 && w.daylight[h - 1] === 0);
  if (rise > 0 && rise < 24) out.push(`Light again about ${clock(ax.moment(rise))}${rise > 20 ? ` ${weekday(ax.moment(rise), true)}` : ''}.`);
  return out;
}
export const skyUnits = (): string => (usUnits() ? 'Air, °F' : 'Air, °C');
