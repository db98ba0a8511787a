// SPDX-License-Identifier: GPL-3.0-or-later
// Words: times in the farm's zone, figures in the farm's units, chances "in 100". Every page writes them through here.
import { html, type TemplateResult } from 'lit-html';

interface FarmWays { zone?: string | null | undefined; us_units?: boolean | undefined; south?: boolean | undefined; farm?: string | null | undefined; show_at?: string | undefined }
let zone: string | undefined; // the browser's own until the farm's is known
let us = false;
let southern = false;
let farm = '';
const made = new Map<string, Intl.DateTimeFormat>();

/** What /api/number says of the farm: in whose zone and units to write. */
export function farmIs(n: FarmWays): void {
  if (n.zone && n.zone !== zone) {
    try { new Intl.DateTimeFormat('en-GB', { timeZone: n.zone }); zone = n.zone; made.clear(); } catch { /* a zone this browser does not know: its own stands */ }
  }
  if (n.us_units !== undefined) us = n.us_units;
  if (n.south !== undefined) southern = n.south;
  if (n.farm) farm = n.farm;
}
export const farmName = (): string => farm;
export const usUnits = (): boolean => us;
export const inSouth = (): boolean => southern;

/* ---- times */

type When = string | number | Date;
const date = (t: When): Date => (t instanceof Date ? t : new Date(t));
/** A day of the calendar alone, such as 2026-01-22, is that day in every zone. */
const bareDay = (t: When | undefined): boolean => typeof t === 'string' && /^\d{4}-\d\d-\d\d$/.test(t);
function how(key: string, options: Intl.DateTimeFormatOptions, t?: When): Intl.DateTimeFormat {
  const bare = bareDay(t), k = bare ? `${key} bare` : key;
  let f = made.get(k);
  if (!f) made.set(k, f = new Intl.DateTimeFormat('en-GB', { ...options, timeZone: bare ? 'UTC' : zone }));
  return f;
}
/** Hour and minute of the farm's clock: 18:00. */
export const clock = (t: When): string => how('clock', { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' }).format(date(t));
/** Hour of the day there, 0 to 23. */
export const hourOfDay = (t: When): number => Number(clock(t).slice(0, 2));
/** Thursday, or Thu. */
export const weekday = (t: When, short = false): string => how(short ? 'wd' : 'weekday', { weekday: short ? 'short' : 'long' }, t).format(date(t));
/** 22 January, or 22 Jan. */
export const day = (t: When, short = false): string => how(short ? 'd' : 'day', { day: 'numeric', month: short ? 'short' : 'long' }, t).format(date(t)).replace('Sept', short ? 'Sep' : 'Sept');
/** To the whole hour: the minutes of a window of hours mean nothing. */
export const wholeHour = (t: When): Date => new Date(Math.round(date(t).getTime() / H) * H);
/** 22 January 2026. */
export const dayYear = (t: When): string => how('dayyear', { day: 'numeric', month: 'long', year: 'numeric' }, t).format(date(t));
/** 2026-01-22 there, for fields and for telling days apart. */
export const isoDay = (t: When): string => how('iso', { year: 'numeric', month: '2-digit', day: '2-digit' }).formatToParts(date(t))
  .filter((p) => p.type !== 'literal').reverse().map((p) => p.value).join('-');
/** 2026-01-22 16:40 there: as a fact's moment is typed. */
export const typedMoment = (t: When): string => `${isoDay(t)} ${clock(t)}`;

const H = 3600e3;
/** The evening by which the night asked about is named: until seven in the morning still the last one. */
export const evening = (at: When): Date => (hourOfDay(at) < 7 ? new Date(date(at).getTime() - 12 * H) : date(at));
/** Thursday night. */
export const nightName = (at: When): string => `${weekday(evening(at))} night`;
/** Whether a moment still belongs to the night asked about: up to nine in the morning after. */
export function isTonight(t: When, at: When): boolean {
  const e = isoDay(evening(at)), d = isoDay(t);
  return d === e || (isoDay(date(t).getTime() - 24 * H) === e && hourOfDay(t) < 9);
}
/** 18:00; with its day when it is not tonight: 12:00 Fri; with its date when it is a week off. */
export function moment(t: When, at: When = Date.now()): string {
  if (isTonight(t, at)) return clock(t);
  return Math.abs(date(t).getTime() - date(at).getTime()) < 6 * 24 * H ? `${clock(t)} ${weekday(t, true)}` : `${clock(t)} ${day(t, true)}`;
}
/** Deadlines round down to the half hour; where that leaves no time for the work, to five minutes. */
export function deadline(t: When, startBy?: When | null, at: When = Date.now()): Date {
  const ms = date(t).getTime(), half = Math.floor(ms / (H / 2)) * (H / 2), five = Math.floor(ms / 300e3) * 300e3;
  const work = startBy ? ms - date(startBy).getTime() : 0;
  return new Date(half >= date(at).getTime() + work ? half : five);
}
/** 40 min, 3 h, 2 days. */
export function span(hours: number): string {
  if (hours < 1) return `${Math.max(0, Math.round(hours * 60))} min`;
  return hours < 48 ? `${Math.round(hours)} h` : `${Math.round(hours / 24)} days`;
}

/* ---- figures */

const nb = '\u00a0', thin = '\u202f';
const real = (x: number): string => String(Math.round(x) === 0 ? 0 : Math.round(x)).replace('-', '\u2212');
/** 73, under 1, over 99: a living animal is never 0 or 100. */
export const in100 = (p: number): string => (p < 0.01 ? 'under 1' : p > 0.99 ? 'over 99' : String(Math.round(p * 100)));
/** 73 in 100. */
export const chance = (p: number): string => `${in100(p)}${nb}in${nb}100`;
/** For a helper: most likely, likely, may, not likely. */
export const likely = (p: number): string => (p >= 0.7 ? 'most likely' : p >= 0.5 ? 'likely' : p >= 0.1 ? 'may' : 'not likely');
/** -6 degrees as the farm writes them: −6 °C, 21 °F. */
export const temp = (c: number): string => `${degrees(c)}${thin}${us ? '°F' : '°C'}`;
/** The figure alone: −6. */
export const degrees = (c: number): string => real(us ? c * 1.8 + 32 : c);
export const tempUnit = (): string => (us ? '°F' : '°C');
/** How it feels to a wet newborn. Below -60 the figure says nothing more. */
export const feels = (c: number): string => (c < -60 ? `below ${temp(-60)}` : temp(c));
export const windUnit = (): string => (us ? 'mph' : 'm/s');
export const windFigure = (mps: number): string => String(Math.round(us ? mps / 0.44704 : mps));
/** 8 m/s, 18 mph. */
export const wind = (mps: number): string => `${windFigure(mps)}${nb}${windUnit()}`;
/** A length of ground: 40 m, 130 ft. */
export const metres = (m: number): string => (us ? `${Math.round(m / 0.3048)}${nb}ft` : `${Math.round(m)}${nb}m`);
/** A depth: 15 cm, 6 in. */
export const depth = (m: number): string => (us ? `${Math.round(m / 0.0254)}${nb}in` : `${Math.round(m * 100)}${nb}cm`);
export const mass = (kg: number): string => (us ? `${Math.round(kg / 0.45359237)}${nb}lb` : `${Math.round(kg)}${nb}kg`);
/** Cold that adds up, degree-hours below comfort: 175, with its unit beside it. */
export const coldHours = (kelvinHours: number): string => real(us ? kelvinHours * 1.8 : kelvinHours);
export const coldUnit = (): string => (us ? '°F-hours' : '°C-hours');
/** Far on a map: 6070 km, 3770 miles. */
export const far = (km: number): string => `${Math.round((us ? km / 1.609344 : km) / 10) * 10}${nb}${us ? 'miles' : 'km'}`;
/** Fallen water: 2.9 mm, 0.11 in. */
export const rain = (mm: number): string => (us ? `${(mm / 25.4).toFixed(2)}${nb}in` : `${mm.toFixed(1)}${nb}mm`);
const points = ['N', 'NNE', 'NE', 'ENE', 'E', 'ESE', 'SE', 'SSE', 'S', 'SSW', 'SW', 'WSW', 'W', 'WNW', 'NW', 'NNW'];
/** SSE. */
export const point = (deg: number): string => points[Math.round(((deg % 360) + 360) % 360 / 22.5) % 16]!;
const eight = ['north', 'north-east', 'east', 'south-east', 'south', 'south-west', 'west', 'north-west'];
/** south-east: of eight, in words. */
export const from8 = (deg: number): string => eight[Math.round(((deg % 360) + 360) % 360 / 45) % 8]!;
/** SSE, 160°: word, then degrees. */
export const bearing = (deg: number): string => `${point(deg)}, ${Math.round(deg)}°`;

/* ---- text */

/** A name as it is typed, whichever way its script runs. */
export const name = (n: string): TemplateResult => html`<bdi>${n}</bdi>`;
/** Ann, Ben and Cob. */
export function list(names: readonly string[]): TemplateResult {
  return html`${names.map((n, i) => html`${i === 0 ? '' : i === names.length - 1 ? ' and ' : ', '}${name(n)}`)}`;
}
export const capital = (s: string): string => s.charAt(0).toUpperCase() + s.slice(1);
export const plural = (n: number, one: string, many = one + 's'): string => `${n}${nb}${n === 1 ? one : many}`;
/** Figures and their unit never break apart, and a minus is a minus, in sentences that come from the house; what to type at a
 * terminal stands in brackets or at the end there, and says nothing to who holds a phone. */
export const tidy = (s: string): string => s.replace(/ \(leenest [^)]*\)/g, '').replace(/(; [^;:]* with|, with)?: leenest (record|weather|ground|held|flags|check) ?.*$/, '.')
  .replace(/(^|[\s(])-(?=\d)/g, '$1\u2212').replace(/(\d) (°[CF]|%)/g, `$1${thin}$2`)
  .replace(/(\d) (in 100|m\/s|mph|km\/h|kg|lb|mm|cm|min|h|m|ft)\b/g, (_, d: string, u: string) => `${d}${nb}${u.replace(' ', nb)}`);
