// SPDX-License-Identifier: GPL-3.0-or-later
// What one change of the plan would bring, pigs by week of sale, and who goes to which run of the boar: tables from what the house said.
import { html, nothing, type TemplateResult } from 'lit-html';
import { dayMonth } from './stair.ts';
import { plural, tidy } from './words.ts';

interface Change { mean: number | null; se: number | null }
interface Choice { key: string; title: string; says: string; pigs: Change; late: Change; worth: Change; bad_season: Change; litters: Change; danger: Change }
interface Amount { expected: number; p10: number; p50: number; p90: number }
interface SaleWeek { from: string; to: string; asked: number; ready: Amount; by_then: Amount }
interface Wish { from: string; to: string; pigs: number; met: number; others_met: number; others_met_without: number; give_up: boolean }
export interface Choices {
  wishes: { says: string; winters: number; asked: Wish[] };
  choices: Choice[]; choice_winters: number; sale_weeks: SaleWeek[];
  groups: { boar_in: string; boar_out: string; sows: number; names: string | null }[]; services: { name: string; from: string; likely: string | null; to: string }[];
}

const minus = '−';
/** A change in few words: what cannot be told from luck (under two standard errors) is none. */
export function changed(c: Change, digits: number, scale = 1): string {
  if (c.mean === null || c.se === null) return 'not known';
  const n = Math.abs(c.mean * scale).toFixed(digits);
  if (Math.abs(c.mean) <= 2 * c.se || Number(n) === 0) return 'none';
  return `${c.mean > 0 ? '+' : minus}${n}`;
}
export function seasonChoices(s: Partial<Choices>): TemplateResult | typeof nothing {
  if (!s.choices?.length || s.choice_winters === undefined) return nothing; // not asked for while a slider moves, or kept before there were any
  return html`<section class="sec choices"><h2>What would change it</h2><table class="stack"><caption class="unseen">What one change of the plan would bring, each set against the plan</caption><thead><tr><th scope="col">one change</th><th scope="col" class="n">pigs in time</th><th scope="col" class="n">nobody asked for</th><th scope="col" class="n">into danger</th><th scope="col" class="n">bad seasons in 100</th><th scope="col" class="n">worth</th></tr></thead>
<tbody>${s.choices.map((c) => html`<tr data-key=${c.key}><th scope="row">${c.title}</th><td class="n" data-l="pigs in time">${changed(c.pigs, 1)}</td><td class="n" data-l="nobody asked for">${changed(c.late, 1)}</td><td class="n" data-l="into danger">${changed(c.danger, 1)}</td><td class="n" data-l="bad seasons in 100">${changed(c.bad_season, 0, 100)}</td><td class="n" data-l="worth">${changed(c.worth, 0)}</td></tr>`)}</tbody></table>
<p class="small">Each against the plan, in the same ${s.choice_winters} winters; none: what cannot be told from luck. A bad season sells less than half of what is asked for. What the change itself costs, a boar, a hut or feed, is not in its worth.</p>
<details class="screen"><summary>The same in sentences</summary><ul>${s.choices.map((c) => html`<li>${tidy(c.says)}</li>`)}</ul></details></section>`;
}
const in100 = (p: number): string => String(Math.round(100 * p));
/** How sure each asking is, and which to give up where not all can be met. */
export function seasonWishes(s: Partial<Choices>): TemplateResult | typeof nothing {
  const w = s.wishes;
  if (!w?.asked.length) return nothing; // one asking, or not asked for while a slider moves
  return html`<section class="sec wishes"><h2>How sure</h2><p>${tidy(w.says)}</p><table class="stack"><caption class="unseen">In how many of 100 seasons each asking is met, and all the others with it and without it</caption><thead><tr><th scope="col">asked for</th><th scope="col" class="n">pigs</th><th scope="col" class="n">met in full</th><th scope="col" class="n">all the others met</th><th scope="col" class="n">the others without it</th></tr></thead>
<tbody>${w.asked.map((a) => html`<tr class=${a.give_up ? 'pick' : ''}><th scope="row">${dayMonth(a.from)} to ${dayMonth(a.to)}${a.give_up ? ', least lost by giving this up' : ''}</th><td class="n" data-l="pigs">${Math.round(a.pigs)}</td><td class="n" data-l="met in full">${in100(a.met)}</td><td class="n" data-l="all the others met">${in100(a.others_met)}</td><td class="n" data-l="the others without it">${in100(a.others_met_without)}</td></tr>`)}</tbody></table><p class="small">In 100 seasons, from the same ${w.winters} winters.</p></section>`;
}
interface ColdWeek { week: number; danger_in_hut: number | null; danger_in_open: number | null; runt_danger_in_hut?: number | null; runt_danger_in_open?: number | null }
/** Danger of cold by week of birth: the typical piglet and the runt, in a hut and in the open. */
export function coldWeeks(list: ColdWeek[]): TemplateResult | typeof nothing {
  const some = list.filter((w, i) => i % 2 === 0 && [w.danger_in_hut, w.danger_in_open, w.runt_danger_in_hut, w.runt_danger_in_open].some((p) => typeof p === 'number' && p >= 0.005));
  if (!some.length || some[0]!.runt_danger_in_hut === undefined) return nothing; // kept before the runt was reckoned
  const cell = (p: number | null | undefined): string => (typeof p === 'number' ? in100(p) : 'not known');
  const from = (w: ColdWeek): string => dayMonth(new Date(Date.UTC(2001, 0, 1 + 7 * (w.week - 1))).toISOString().slice(0, 10));
  return html`<section class="sec screen coldweeks"><h2>Danger of cold by week of birth</h2><details><summary>The typical piglet and the runt, week by week</summary><table class="stack"><caption class="unseen">Of 100 litters born in a week, how many have their typical piglet and their runt in danger of cold</caption><thead><tr><th scope="col">week from</th><th scope="col" class="n">hut, typical</th><th scope="col" class="n">hut, runt</th><th scope="col" class="n">open, typical</th><th scope="col" class="n">open, runt</th></tr></thead>
<tbody>${some.map((w) => html`<tr><th scope="row">${from(w)}</th><td class="n" data-l="hut, typical">${cell(w.danger_in_hut)}</td><td class="n" data-l="hut, runt">${cell(w.runt_danger_in_hut)}</td><td class="n" data-l="open, typical">${cell(w.danger_in_open)}</td><td class="n" data-l="open, runt">${cell(w.runt_danger_in_open)}</td></tr>`)}</tbody></table></details><p class="small">Of 100 litters born in that week, every second week; weeks with none are left out. A hut of yours, turned its best way. The typical piglet weighs 1.3 kg at birth, the runt 0.9.</p></section>`;
}
export function saleWeeks(s: Partial<Choices>): TemplateResult | typeof nothing {
  const some = s.sale_weeks?.filter((w) => w.ready.expected >= 0.05) ?? [];
  if (!some.length) return nothing;
  const amount = (a: Amount): string => `${Math.round(a.expected)} (${Math.round(a.p10)} to ${Math.round(a.p90)})`;
  return html`<section class="sec saleweeks"><h2>Pigs by week</h2><table class="stack"><caption class="unseen">Pigs that become ready in each week, beside what is asked for</caption><thead><tr><th scope="col">week</th><th scope="col" class="n">asked for</th><th scope="col" class="n">become ready</th><th scope="col" class="n">ready by its end</th></tr></thead>
<tbody>${some.map((w) => html`<tr><th scope="row">${dayMonth(w.from)} to ${dayMonth(w.to)}</th><td class="n" data-l="asked for">${Math.round(w.asked)}</td><td class="n" data-l="become ready">${amount(w.ready)}</td><td class="n" data-l="ready by its end">${amount(w.by_then)}</td></tr>`)}</tbody></table><p class="small">In brackets: eight seasons of ten fall inside.</p></section>`;
}
export function runsOf(s: Partial<Choices>): TemplateResult | typeof nothing {
  if ((s.groups?.length ?? 0) < 2) return nothing;
  return html`<section class="sec"><h2>Groups</h2><ul class="plainlist">${s.groups!.map((g, i) => html`<li><b>Group ${i + 1}, boar ${dayMonth(g.boar_in)} to ${dayMonth(g.boar_out)}</b>: ${plural(g.sows, 'sow')}${g.names ? html`, <bdi>${g.names}</bdi>` : nothing}.</li>`)}</ul></section>`;
}
