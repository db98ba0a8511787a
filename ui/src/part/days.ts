// SPDX-License-Identifier: GPL-3.0-or-later
// Days of the farm's calendar, found by its clock: an hour more or less at the change of time does no harm.
import { clock, isoDay } from './words.ts';

const QUARTER = 900e3, HOUR = 3600e3;

/** The moments at which a day begins there, from the last one before `from` up to `to`. */
export function midnights(from: number, to: number): number[] {
  const out: number[] = [];
  for (let t = Math.floor((from - 25 * HOUR) / QUARTER) * QUARTER; t <= to; t += QUARTER) {
    if (clock(t) !== '00:00') continue;
    out.push(t);
    t += 22 * HOUR;
  }
  return out.filter((t, i) => t >= from || (out[i + 1] ?? to + 1) > from);
}
/** Whether two moments fall on one day there. */
export const sameDay = (a: number, b: number): boolean => isoDay(a) === isoDay(b);
