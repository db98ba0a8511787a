// SPDX-License-Identifier: GPL-3.0-or-later
// The field as the page draws it: the plan from `field`, the facing of huts from `where`.
import { Refused, ask, get, type Asked } from '../base/api.ts';
import type { Fact } from '../base/queue.ts';
import type { LeeGrid, PlanBreak, PlanMark, Pt } from './plan.ts';
import type { SunAt } from './windrose.ts';
import { hourOfDay } from './words.ts';

export interface Hut {
  name: string; shelter: string; placement: string; who: string; at: Pt | undefined; facing_deg: number | undefined; length_m: number; width_m: number;
  leave: string; // why it may not be turned or moved now; '' = it may
  stands: string; // how it stands, in words
  says: string; turn_to_deg: number | undefined; worth: boolean; // how it looks against the best
  straw_m: number; straw: string; flap: boolean; flap_possible: boolean;
}
export interface Bed { name: string; at: Pt | undefined; who: string }
export interface CurveRow { facing_deg: number; cold: number; wind_mps: number; rain_mm: number; sun: number; morning: number }
export interface Spot { at: Pt; wind_left: number; says: string; reasons: string[] }
export interface Beside { at: string; when: string; sun_deg: number }
export interface Waits { busy: boolean; says: string }
export interface Field {
  at: string;
  paddock: { uid: string; name: string } | undefined; paddocks: { uid: string; name: string }[];
  outline: Pt[]; breaks: PlanBreak[]; unplaced: { uid: string; name: string }[]; marks: PlanMark[]; huts: Hut[]; beds: Bed[];
  elsewhere: { name: string; shelter: string; where: string }[];
  spots: Spot[]; lee: LeeGrid | undefined; rose: number[]; calm: number; mostly: string;
  night: { from_deg: number; mps: number; says: string } | undefined;
  sun: SunAt[]; sun_rise: string | null; sun_set: string | null;
  best_deg: number | undefined; worst_deg: number | undefined; arcs: { from_deg: number; to_deg: number }[]; hardly: boolean;
  curve: CurveRow[]; parts: { wind: number; rain: number; sun: number; all: number } | undefined;
  stands_there: string | null; shadow_there: string | null; beside: Beside | undefined; // by the sun, for the best bearing
  declination_deg: number | null; months: string; seasons: number; sources: string[]; no_facing: string;
  waits: Waits | undefined; // the facing is not here yet, and why
  geojson: string | null; cautions: string[]; assumed: string[]; record: string[];
}

interface Columns { x_m: number[]; y_m: number[] }
interface Rose { share: number[]; wind_mps: (number | null)[]; calm: number | null; mostly: string | null }
interface FieldAnswer {
  at: string; paddocks: { name: string; uid: string }[]; paddock: { name: string; uid: string }; outline: Columns & { recorded: boolean };
  breaks: { name: string; uid: string; is: string | null; x_m: number | null; y_m: number | null; x2_m: number | null; y2_m: number | null; says: string }[];
  marks: (Columns & { is: string; says: string })[];
  huts: { name: string; kind: string; shelter: string | null; placement: string; x_m: number | null; y_m: number | null; facing_deg: number | null; length_m: number | null; width_m: number | null; straw_m: number; straw: string; flap: boolean; flap_possible: boolean; who: string | null; leave: boolean; leave_because: string | null; says: string }[];
  elsewhere: { name: string; shelter: string; where: string }[];
  wind: { winters: Rose; night: (Rose & { from: string }) | null };
  sun: { rise: string | null; set: string | null; rise_azimuth_deg: number | null; set_azimuth_deg: number | null; time: string[]; azimuth_deg: number[] };
  lee: { x0_m: number; y0_m: number; step_m: number; columns: number; rows: number; wind_left: (number | null)[] } | null;
  spots: { x_m: number; y_m: number; wind_left: number; says: string; reasons: string[] }[];
  geojson: string | null; record: string[]; assumed?: string[]; cautions: string[];
}
interface WhereAnswer {
  sources: string[]; months: string; seasons: number; best_facing_deg: number | null; worst_facing_deg: number | null; arcs: { from_deg: number; to_deg: number }[]; hardly_matters: boolean; nothing_differs: boolean;
  by_facing: { facing_deg: number; cold_degree_hours_per_day: number; wind_mps: number; rain_mm: number; sun_kwh_m2_day: number; morning_sun_kwh_m2_day: number }[];
  bearings: { true_deg: number; sun_stands_there: string | null; shadow_falls_there: string | null; sun_beside: Beside | null }[];
  declination_deg: number | null; parts: { between_best_and_worst: number; wind: number; rain: number; sun: number } | null;
  huts: { name: string; turn_to_deg: number | null; worth_turning: boolean | null; says: string }[]; cautions: string[]; assumed?: string[]; record: string[];
}
const opt = (v: number | null | undefined): number | undefined => (typeof v === 'number' && Number.isFinite(v) ? v : undefined);
const place = (x: number | null, y: number | null): Pt | undefined => (x === null || y === null ? undefined : { x, y });
const places = (c: Columns): Pt[] => c.x_m.map((x, i) => ({ x, y: c.y_m[i]! }));

function sunOf(s: FieldAnswer['sun']): SunAt[] {
  const hours = s.time.map((t, i): SunAt => ({ bearing_deg: s.azimuth_deg[i]!, hour: String(hourOfDay(t)), label: hourOfDay(t) % 2 === 0 }));
  const end = (deg: number | null): SunAt[] => (deg === null ? [] : [{ bearing_deg: deg, hour: '', label: false }]);
  return [...end(s.rise_azimuth_deg), ...hours, ...end(s.set_azimuth_deg)];
}
function nightOf(r: (Rose & { from: string }) | null): Field['night'] {
  if (!r) return undefined;
  const most = r.share.reduce((b, v, i) => (v > r.share[b]! ? i : b), 0);
  return r.share[most] ? { from_deg: (most * 360) / r.share.length, mps: r.wind_mps[most] ?? 0, says: r.mostly ?? '' } : undefined;
}

/** NOT FOUND is an answer too: no field, or no past weather of the cold months, is written down yet. */
async function orNone<T>(work: Promise<T>): Promise<{ got?: T; none: string }> {
  try { return { got: await work, none: '' }; } catch (e) {
    if (e instanceof Refused && (e.status === 'not-found' || e.field === 'weather')) return { none: e.message };
    throw e;
  }
}

const SOON_MS = 150; // so long the plan waits for the facing: answers of a house that has reckoned it before
let reckonedOnce = false; // then what stands stays until both are here

/** The plan as soon as it is here. `later`: the same with the facing, which takes seconds when the house reckons it for the first time. */
export async function field(named: string): Promise<{ now: Field; later?: Promise<Field> }> {
  const facing = orNone(ask<WhereAnswer>('where').then((w) => { reckonedOnce = true; return w; }));
  facing.catch(() => undefined); // heard below
  let a = await orNone(ask<FieldAnswer>('field', { paddock: named }));
  if (!a.got && named) { // a name too long to be guessed at is found by its uid
    const all = (await orNone(ask<FieldAnswer>('field'))).got?.answer.paddocks ?? [], uid = all.find((p) => p.name === named)?.uid;
    if (!uid) throw new Error(a.none);
    a = await orNone(ask<FieldAnswer>('field', { paddock: uid }));
  }
  if (reckonedOnce || !a.got?.answer.paddock) return { now: both(a.got, await facing) };
  const soon = await Promise.race([facing, new Promise<undefined>((r) => { setTimeout(() => r(undefined), SOON_MS); })]);
  if (soon) return { now: both(a.got, soon) };
  const trouble = (e: unknown): Field => both(a.got, { none: '' }, { busy: false, says: e instanceof Error ? e.message : String(e) });
  return { now: both(a.got, { none: '' }, { busy: true, says: '' }), later: facing.then((b) => both(a.got, b), trouble) };
}
function both(got: Asked<FieldAnswer> | undefined, b: { got?: Asked<WhereAnswer>; none: string }, waits?: Waits): Field {
  const f = got?.answer, w = b.got?.answer, by = w?.bearings[0];
  return {
    waits,
    at: f?.at ?? '', paddock: f?.paddock, paddocks: f?.paddocks ?? [], outline: f ? places(f.outline) : [],
    breaks: (f?.breaks ?? []).flatMap((q): PlanBreak[] => { const p = place(q.x_m, q.y_m), r = place(q.x2_m, q.y2_m); return p && r ? [{ is: q.is ?? '', a: p, b: r, says: q.says }] : []; }),
    unplaced: (f?.breaks ?? []).filter((q) => q.x_m === null || q.x2_m === null),
    marks: (f?.marks ?? []).map((m) => ({ is: m.is, says: m.says, points: places(m) })).filter((m) => m.points.length > 0),
    huts: (f?.huts ?? []).filter((h) => h.kind === 'hut' && h.shelter).map((h): Hut => {
      const q = w?.huts.find((x) => x.name === h.name);
      return { name: h.name, shelter: h.shelter!, placement: h.placement, who: h.who ?? '', at: place(h.x_m, h.y_m), facing_deg: opt(h.facing_deg), length_m: h.length_m ?? 2.4, width_m: h.width_m ?? 1.8,
        leave: h.leave ? (h.leave_because ?? 'Leave it as it stands.') : '', stands: h.says, says: q?.says ?? '', turn_to_deg: opt(q?.turn_to_deg), worth: q?.worth_turning === true, straw_m: h.straw_m, straw: h.straw, flap: h.flap, flap_possible: h.flap_possible || h.flap };
    }),
    beds: (f?.huts ?? []).filter((h) => h.kind !== 'hut' || !h.shelter).map((h) => ({ name: h.name, at: place(h.x_m, h.y_m), who: h.who ?? '' })),
    elsewhere: f?.elsewhere ?? [],
    spots: (f?.spots ?? []).map((s) => ({ at: { x: s.x_m, y: s.y_m }, wind_left: s.wind_left, says: s.says, reasons: s.reasons })),
    lee: f?.lee ? { x0: f.lee.x0_m, y0: f.lee.y0_m, step: f.lee.step_m, columns: f.lee.columns, rows: f.lee.rows, share: f.lee.wind_left } : undefined,
    rose: f?.wind.winters.share ?? [], calm: f?.wind.winters.calm ?? 0, mostly: f?.wind.winters.mostly ?? '', night: nightOf(f?.wind.night ?? null),
    sun: f ? sunOf(f.sun) : [], sun_rise: f?.sun.rise ?? null, sun_set: f?.sun.set ?? null,
    best_deg: opt(w?.best_facing_deg), worst_deg: opt(w?.worst_facing_deg), arcs: w?.arcs ?? [], hardly: w ? w.hardly_matters || w.nothing_differs : false,
    curve: (w?.by_facing ?? []).map((r) => ({ facing_deg: r.facing_deg, cold: r.cold_degree_hours_per_day, wind_mps: r.wind_mps, rain_mm: r.rain_mm, sun: r.sun_kwh_m2_day, morning: r.morning_sun_kwh_m2_day })),
    parts: w?.parts ? { wind: w.parts.wind, rain: w.parts.rain, sun: w.parts.sun, all: w.parts.between_best_and_worst } : undefined,
    stands_there: by?.sun_stands_there ?? null, shadow_there: by?.shadow_falls_there ?? null, beside: by?.sun_beside ?? undefined,
    declination_deg: w?.declination_deg ?? null, months: w?.months ?? '', seasons: w?.seasons ?? 0, sources: w?.sources ?? [], no_facing: b.none,
    geojson: f?.geojson ?? null, cautions: [...new Set([...(f?.cautions ?? []), ...(w?.cautions ?? [])])], assumed: [...new Set([...(f?.assumed ?? []), ...(w?.assumed ?? [])])], record: [...new Set([...(f?.record ?? []), ...(w?.record ?? [])])],
  };
}

/** What a placement keeps when the hut is only turned: its bed and what hangs on it. When it is moved the straw stays behind. */
export async function keepsOf(h: Hut, away: boolean): Promise<Fact> {
  const keeps: Fact = {};
  let was: Record<string, string | number | boolean | null> = {};
  try { was = (await get<{ fact: typeof was }>('/api/fact/' + h.placement)).fact; } catch (e) { if (e instanceof Refused) throw e; /* out of reach: what the plan knows */ }
  const names = away ? ['flap', 'pen'] : ['flap', 'pen', 'bedded', 'drift_prone', 'lee', 'lee_distance_m', 'lee_bearing_deg'];
  for (const k of names) { const v = was[k]; if (v !== undefined && v !== null && v !== false) keeps[k] = v; }
  if (!away && h.straw_m > 0) { keeps['straw_depth_m'] = h.straw_m; if (h.straw !== 'none') keeps['straw_state'] = h.straw; }
  return keeps;
}
