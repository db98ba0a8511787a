// SPDX-License-Identifier: GPL-3.0-or-later
// Where no weather is known: who is in pig and who suckles, from dates alone. A sow can be looked at and written down all the same.
import { ask, type Asked } from '../base/api.ts';
import { noWeather } from './way_on.ts';

interface Likely { name: string; near: boolean; lies: string; last_look: string | null; p_before_dawn: number; notes: string[] }
interface Other { name: string; state: string; says: string }
interface Who { sows: Likely[]; others: Other[] }
interface Due { sows: { name: string; p_within_24h: number | null; known: string; notes: string[] }[]; others: { name: string; state: string }[] }
const NEAR = 0.01; // in a day

/** What `tonight` says of the sows; from `due` where it cannot be asked for want of weather. */
export async function whoIsNear(): Promise<Asked<Who>> {
  try { return await ask<Who>('tonight'); } catch (e) { if (!noWeather(e)) throw e; }
  const due = await ask<Due>('due'), sows = [...due.answer.sows].sort((a, b) => (b.p_within_24h ?? 0) - (a.p_within_24h ?? 0));
  return { ...due, answer: {
    sows: sows.map((s) => ({ name: s.name, near: (s.p_within_24h ?? 0) >= NEAR, lies: s.known, last_look: null, p_before_dawn: s.p_within_24h ?? 0, /* no night is known without weather: within a day */ notes: s.notes })),
    others: due.answer.others.map((o) => ({ ...o, says: o.state === 'suckling' ? 'with her litter' : o.state })),
  } };
}
