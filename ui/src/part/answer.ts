// SPDX-License-Identifier: GPL-3.0-or-later
// Answer: the parts of the question tonight that its pages draw. Names and units as they come from the house.
import type { WeatherHours } from './sky.ts';

export type Row = readonly (number | null)[];
export interface Stand { name: string; kind: string; says: string; paddock: string | null; x_m: number | null; y_m: number | null; facing_deg: number | null; flap: boolean; straw_m: number; straw: string; break_bearing_deg: number | null }
export interface Lay { uid: string | null; shelter: string | null; placed: boolean; moved: boolean; turned: boolean; bedded: boolean; flapped: boolean; walled: boolean; lee: string | null; before?: Stand; after?: Stand }
export interface Job { place: string; do: string; deadline: string | null; deadline_because?: string; start_by?: string; sows: string[]; spare: boolean; minutes: number; people: number; straw_kg: number; flaps: number; bales: number; danger_before: number; danger_after: number; agree: number | null; lay?: Lay }
export interface Chances { danger: number; runt_danger: number; cold: number; unfit: number; heat: number }
export interface Hours {
  chance: Row; danger_now: Row; danger_after: Row; grade_now: Row; grade_after: Row; feels_now_c: Row; feels_after_c: Row;
  share1_now?: Row; share2_now?: Row; share3_now?: Row; lane_now?: Row; share1_after?: Row; share2_after?: Row; share3_after?: Row; lane_after?: Row;
  heat1_now?: Row; heat2_now?: Row; heat3_now?: Row; heat4_now?: Row; heat_lane_now?: Row; hut_now_c?: Row;
  heat1_after?: Row; heat2_after?: Row; heat3_after?: Row; heat4_after?: Row; heat_lane_after?: Row; hut_after_c?: Row;
}
export interface Sow {
  name: string; gilt: boolean; near: boolean; p_before_midnight: number; p_before_dawn: number; p_within_24h: number; p_within_72h: number; p_not_pregnant: number | null; p_farrowed_unseen: number | null;
  window: { from: string | null; likeliest: string | null; to: string | null }; watch: string; last_look: string | null; lies: string; ready_now: string | null; serves: string | null; p_use: number;
  place_now?: Stand; place_after?: Stand; do: string; deadline: string | null; deadline_because?: string; why: string; now: Chances; after: Chances; least_danger: number; most_danger: number; agree: number | null; how_sure: string;
  hours_that_matter_from?: string; hours_that_matter_to?: string; record: string[]; notes: string[]; hours?: Hours;
}
export interface Farrowing { sow: string; uid: string; started: string; born_so_far?: number; born_dead?: number; last_birth?: string; strained?: string; place: string | null; since_min: number; look_at: string; ring_vet_at: string; long_at: string; says: string; source: string }
export interface Litter { sow: string; uid: string; living?: number; age_d: number; place: string | null; stands: string; do: string; says: string; worst_at?: string; hours: { cold_now: Row; danger_now: Row; cold_after: Row; danger_after: Row } }
export interface Visit { at: string; meets: number; look_at: string[] }
export interface Weather { says: string; from: string; forecast: string | null; made?: string; age_h?: number; firm_h: number; credit: string | null; notes: string[]; hours: WeatherHours }
export interface Heat { sow: string | null; place: string; from: string; hours: number; grade: number; do: string }
export interface Tonight {
  at: string; known_to: number; farm: string | null; horizon_h: number; in_short: string; jobs: Job[]; sows: Sow[];
  farrowing_now?: Farrowing[]; young_litters?: Litter[];
  rounds: { says: string; close?: string[]; sleep_from?: string; sleep_to?: string; enough?: boolean; visits?: Visit[] };
  looks_worth_taking: { sow: string; sign: string; at: string; says: string }[];
  heat: Heat[];
  others: { name: string; state: string; says: string }[];
  short_of: string | null; weather: Weather; assumed: string[]; record: string[]; cautions: string[];
}
