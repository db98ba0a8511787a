// SPDX-License-Identifier: GPL-3.0-or-later
// What one change of the plan would bring, pigs by week of sale, and who goes to which run of the boar: tables from what the house said.
import { html, nothing, type TemplateResult } from 'lit-html';
import { dayMonth } from './stair.ts';
import { plural, tidy } from './words.ts';

interface Change { mean: number | null; se: number | null }
interface Choice { key: string; title: string; says: string; pigs: Change; late: Change; worth: Change; bad_season: Change; litters: Change; danger: Change }
interface Amount { expected: number; p10: number; p50: number; p90: number }
interface SaleWeek { from: string; to: string; asked: number; ready: Amount; by_then: Amount }
export interface Choices {
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
