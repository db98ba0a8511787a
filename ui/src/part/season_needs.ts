// SPDX-License-Identifier: GPL-3.0-or-later
// What a season wants: what a pig weighs on the day, feed, straw and hands to have there by a day, and the weeks in a table.
import { html, nothing, type TemplateResult } from 'lit-html';
import { dayMonth } from './stair.ts';
import { mass, temp, tidy } from './words.ts';

interface Week { from: string; days: number; dry: number; in_pig: number; suckling: number; pigs: number; temp_c: number | null; sow_feed_kg: number; creep_kg: number; pig_feed_kg: number; straw_kg: number; water_l_day: number }
export interface Needs { growth: { says: string }; needs: { by_week: Week[]; says: string[]; rests_on: string[]; sow_feed_kg: number; creep_kg: number; pig_feed_kg: number; straw_kg: number; straw_bales: number; water_l_day_most: number } }

const one = (n: number): string => n.toFixed(1);
/** Four weeks in a row of the table: heads are means over their days, amounts are added up. */
export function months(weeks: Week[]): Week[] {
  const out: Week[] = [];
  for (let i = 0; i < weeks.length; i += 4) {
    const some = weeks.slice(i, i + 4), days = some.reduce((n, w) => n + w.days, 0), known = some.filter((w) => w.temp_c !== null);
    const mean = (k: 'dry' | 'in_pig' | 'suckling' | 'pigs'): number => some.reduce((n, w) => n + w[k] * w.days, 0) / days, sum = (k: 'sow_feed_kg' | 'creep_kg' | 'pig_feed_kg' | 'straw_kg'): number => some.reduce((n, w) => n + w[k], 0);
    out.push({ from: some[0]!.from, days, dry: mean('dry'), in_pig: mean('in_pig'), suckling: mean('suckling'), pigs: mean('pigs'), temp_c: known.length ? known.reduce((n, w) => n + w.temp_c!, 0) / known.length : null, sow_feed_kg: sum('sow_feed_kg'), creep_kg: sum('creep_kg'), pig_feed_kg: sum('pig_feed_kg'), straw_kg: sum('straw_kg'), water_l_day: Math.max(...some.map((w) => w.water_l_day)) });
  }
  return out;
}
export function seasonNeeds(s: Partial<Needs>): TemplateResult | typeof nothing {
  const n = s.needs; // what was kept on a device before may lack it
  if (!n || !s.growth || !n.by_week.length) return nothing;
  return html`<section class="sec needs"><h2>What has to be there</h2><p>${tidy(s.growth.says)}</p><ul class="plainlist">${n.says.map((t) => html`<li>${tidy(t)}</li>`)}</ul>
<details class="screen" ?open=${innerWidth >= 640}><summary>Feed and straw by four weeks</summary><table class="stack"><caption class="unseen">Sows, pigs, feed, straw and water by four weeks, from the boar to the last sale</caption><thead><tr><th scope="col">four weeks from</th><th scope="col" class="n">sows dry</th><th scope="col" class="n">in pig</th><th scope="col" class="n">suckling</th><th scope="col" class="n">weaned pigs</th><th scope="col" class="n">mean air</th><th scope="col" class="n">feed for sows</th><th scope="col" class="n">for pigs</th><th scope="col" class="n">straw</th><th scope="col" class="n">water a day</th></tr></thead>
<tbody>${months(n.by_week).map((w) => html`<tr><th scope="row">${dayMonth(w.from)}${w.days < 28 ? ` (${w.days} days)` : ''}</th><td class="n" data-l="sows dry">${one(w.dry)}</td><td class="n" data-l="in pig">${one(w.in_pig)}</td><td class="n" data-l="suckling">${one(w.suckling)}</td><td class="n" data-l="weaned pigs">${Math.round(w.pigs)}</td><td class="n" data-l="mean air">${w.temp_c === null ? 'not known' : temp(w.temp_c)}</td><td class="n" data-l="feed for sows">${mass(w.sow_feed_kg)}</td><td class="n" data-l="for pigs">${mass(w.creep_kg + w.pig_feed_kg)}</td><td class="n" data-l="straw">${mass(w.straw_kg)}</td><td class="n" data-l="water a day">${Math.round(w.water_l_day)} l</td></tr>`)}</tbody></table>
<p class="small">In all ${mass(n.sow_feed_kg)} of feed for sows, ${mass(n.creep_kg + n.pig_feed_kg)} for pigs, ${n.straw_bales} bales of straw. Water is what has to be there each day in frost.</p>
<ul class="small">${n.rests_on.map((t) => html`<li>${tidy(t)}</li>`)}</ul></details></section>`;
}
