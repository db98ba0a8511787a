// SPDX-License-Identifier: GPL-3.0-or-later
// The house: what it says of itself, and what moment it is there. An invented farm stands still on one evening.
import { ask } from '../base/api.ts';
import { farmIs } from './words.ts';

export interface House {
  number: number; farm: string | null; show_at: string | null; clock: string; zone: string; us_units: boolean; south?: boolean;
  held: number; flags: number; forecast_age_h: number | null; version: string; build: string; read_only: boolean;
}
export async function house(): Promise<House> {
  const h = (await ask<House>('number')).answer;
  farmIs({ zone: h.zone, us_units: h.us_units, south: h.south, farm: h.farm, ...(h.show_at ? { show_at: h.show_at } : {}) });
  return h;
}
/** The moment that is now on this farm, to the minute: answers are reckoned as of the minute, and what was recorded in it counts. */
export const nowOf = (h: House): Date => (h.show_at ? new Date(h.show_at) : new Date(Math.floor(Date.now() / 60e3) * 60e3));
/** As a fact takes it: 2026-01-22T15:40:00Z. */
export const iso = (t: Date): string => t.toISOString().replace(/\.\d+Z$/, 'Z');

/** Who holds this device, said once and kept on it; '' = not said. */
const WHO = 'leenest-who';
export function me(): string { try { return localStorage.getItem(WHO) ?? ''; } catch { return ''; } }
export function iAm(name: string): void { try { if (name) localStorage.setItem(WHO, name); else localStorage.removeItem(WHO); } catch { /* a browser that keeps nothing: asked again next time */ } }
