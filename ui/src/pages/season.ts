// SPDX-License-Identifier: GPL-3.0-or-later
// Season: when does the boar go in so that pigs are ready when people ask, and what does that take? The stair, two ways to do it, every
// second week of the year, the diary. Another day can be tried; the plan taken is written down and can be undone.
import { html, nothing, type TemplateResult } from 'lit-html';
import { ask } from '../base/api.ts';
import { redraw, reload, type Page } from '../base/page.ts';
import { record } from '../base/queue.ts';
import { drawn } from '../part/axis.ts';
import { caution } from '../part/caution.ts';
import { house } from '../part/house.ts';
import { said, saidLine } from '../part/said.ts';
import { coldWeeks, runsOf, saleWeeks, seasonChoices, seasonWishes, type Choices } from '../part/season_choices.ts';
import { seasonNeeds, type Needs } from '../part/season_needs.ts';
import { tried, weightsAndPrices, whatIf } from '../part/season_try.ts';
import { dayMonth, stair, stairHeight, type Stair, type StairDay, type StairWeek } from '../part/stair.ts';
import { chance, farmName, plural, tidy } from '../part/words.ts';

interface Spread { mean: number; p05: number; p50: number; p95: number }
interface Way {
  boar_in: string; boar_out: string; first_litters: string | null; last_litters: string | null; ready_from: string | null; ready_to: string | null;
  litters: number; pigs: number; danger_litters: number | null; huts_wanted: number; worst_night: number; bad_season: number; in_time: Spread; late: Spread; in_danger: Spread; worth: Spread;
}
interface Season extends Needs, Partial<Choices> {
  at: string; says: string; asked_pigs: number; huts: number; winters: number; plan: Way; two_weeks_later: Way; by_week: Way[]; by_day: StairDay[]; cold_weeks: StairWeek[];
  asked: { from: string; to: string; pigs: number; price: number }[]; sows: { name: string; free_from: string; expected: boolean; weans: number }[];
  events: { key: string; from: string; to: string; title: string; says: string | null }[]; assumed: string[]; cautions: string[];
}
interface Data { s: Season }

let wrong = '', busy = false;
async function take(s: Season): Promise<void> {
  busy = true; redraw();
  try {
    const r = await record('season_plan', { boar_in: s.plan.boar_in, boar_out: s.plan.boar_out, sows: s.sows.length || undefined, sell_from: s.asked[0]?.from, sell_to: s.asked.at(-1)?.to });
    said(`Boar in on ${dayMonth(s.plan.boar_in)}: the plan is taken.`, [r], reload);
    wrong = '';
  } catch (e) { wrong = e instanceof Error ? e.message : 'Not kept.'; }
  busy = false; redraw();
}

const whole = (n: number): string => String(Math.round(n)), bracket = (x: Spread): string => `${whole(x.mean)} (${whole(x.p05)} to ${whole(x.p95)})`;
const dates = (a: string | null, b: string | null): string => (a && b ? `${dayMonth(a)} to ${dayMonth(b)}` : 'none');
const danger = (w: Way): string => (w.danger_litters === null ? 'not known' : `${w.danger_litters.toFixed(1)} of ${w.litters.toFixed(1)}`);

function stairOf(s: Season): TemplateResult | typeof nothing {
  const p = s.plan;
  if (!p.first_litters || !p.last_litters || !p.ready_from || !p.ready_to) return nothing;
  const what: Stair = { boar_in: p.boar_in, boar_out: p.boar_out, first_litters: p.first_litters, last_litters: p.last_litters, ready_from: p.ready_from, ready_to: p.ready_to, huts: s.huts, days: s.by_day, asked: s.asked, weeks: s.cold_weeks };
  const pic = (w: number): TemplateResult => html`<svg class="full" viewBox="0 0 ${w} ${stairHeight}" role="img" aria-label=${`The season from the boar's first day, ${dayMonth(p.boar_in)}, to the last pigs asked for. Litters ${dates(p.first_litters, p.last_litters)}, pigs ready from ${dayMonth(p.ready_from!)}. The figures stand in the tables.`}>${stair(what, w)}</svg>`;
  return html`<figure class="fig stairfig"><div class="screen">${drawn('season', pic)}</div><div class="paper" aria-hidden="true">${pic(690)}</div>
<figcaption class="small">Read it down: each step follows the one above; slanting bands are the same pigs, later. Danger of cold: dotted in the open, solid in a hut of yours turned its best way; a full column is every litter born in that week. Huts wanted: enough in nine seasons of ten; the line is what there is.</figcaption></figure>`;
}
function ways(s: Season): TemplateResult {
  const row = (n: string, w: Way, best: boolean): TemplateResult => html`<tr class=${best ? 'pick' : ''}><th scope="row">${n}</th><td data-l="boar in">${dates(w.boar_in, w.boar_out)}</td><td data-l="litters come">${dates(w.first_litters, w.last_litters)}</td><td data-l="ready">${dates(w.ready_from, w.ready_to)}</td><td class="n" data-l="asked-for pigs in time">${bracket(w.in_time)}</td><td class="n" data-l="litters into danger">${danger(w)}</td><td class="n" data-l="huts wanted">${w.huts_wanted}</td></tr>`;
  return html`<section class="sec"><h2>Two ways to do it</h2><table class="stack"><caption class="unseen">The plan, and the same two weeks later</caption><thead><tr><th scope="col">way</th><th scope="col">boar in</th><th scope="col">litters come</th><th scope="col">ready</th><th scope="col" class="n">asked-for pigs in time</th><th scope="col" class="n">litters into danger</th><th scope="col" class="n">huts wanted</th></tr></thead><tbody>${row(tried.answer() ? 'as tried' : 'best', s.plan, true)}${row('two weeks later', s.two_weeks_later, false)}</tbody></table>
<p class="small">In brackets: nine seasons of ten fall inside. ${s.winters ? html`${plural(s.winters, 'past winter')} of hours kept here ${s.winters === 1 ? 'was' : 'were'} used. ` : nothing}Danger is about cold at birth, not about how many die. Chance that less than half of what is asked for is sold in time: ${chance(s.plan.bad_season)}.</p></section>`;
}
function weeks(s: Season): TemplateResult {
  const some = s.by_week.filter((_, i) => i % 2 === 0), most = Math.max(...some.map((w) => w.worth.mean), 1);
  return html`<section class="sec screen"><h2>What every second week would bring</h2><details ?open=${innerWidth >= 640}><summary>The boar in on each second Monday</summary><table class="stack weeks"><caption class="unseen">What the season brings with the boar in on each second Monday of the coming year</caption><thead><tr><th scope="col">boar in</th><th scope="col">litters from</th><th scope="col" class="n">in time</th><th scope="col" class="n">nobody asked for</th><th scope="col" class="n">into danger</th><th scope="col" class="n">worth</th><th scope="col"><span class="unseen">drawn</span></th></tr></thead>
<tbody>${some.map((w) => html`<tr><th scope="row">${dayMonth(w.boar_in)}</th><td data-l="litters from">${w.first_litters ? dayMonth(w.first_litters) : 'none'}</td><td class="n" data-l="in time">${whole(w.in_time.mean)}</td><td class="n" data-l="nobody asked for">${whole(w.late.mean)}</td><td class="n" data-l="into danger">${w.danger_litters === null ? 'not known' : w.danger_litters.toFixed(1)}</td><td class="n" data-l="worth">${whole(w.worth.mean)}</td><td><svg class="full" viewBox="0 0 120 12" aria-hidden="true" preserveAspectRatio="none"><rect class=${w.danger_litters === null ? 'f-rule' : 'f-ink2'} width=${Math.max(1, (w.worth.mean / most) * 120).toFixed(1)} height="12"/></svg></td></tr>`)}</tbody></table></details><p class="small">Worth in the farm’s own money, less what danger, waiting and lateness count. Pale: the cold of those weeks is not known here, and is not counted.</p></section>`;
}
function diary(s: Season): TemplateResult | typeof nothing {
  if (!s.events.length) return nothing;
  return html`<section class="sec"><h2>To put in the diary</h2><ul class="plainlist diary">${s.events.map((e) => html`<li><span class="tickhere" aria-hidden="true">☐ </span><b>${e.from === e.to ? dayMonth(e.from) : `${dayMonth(e.from)} to ${dayMonth(e.to)}`}</b> ${e.title}. ${e.says ? tidy(e.says) : nothing}</li>`)}</ul></section>`;
}

function view(d: Data): TemplateResult {
  const s = tried.answer<Season>() ?? d.s, none = s.asked.length === 0, fault = wrong || tried.trouble();
  return html`<div class="lead"><div><h1>When does the boar go in?</h1><p>${tidy(s.says)}</p>${none ? html`<div class="acts"><a class="btn do" href="/records/asked">Write what people ask for</a></div>` : nothing}</div></div>
${saidLine()}${fault ? html`<p class="fault" role="alert"><svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${fault}</span></p>` : nothing}
${none ? nothing : html`<section class="sec screen">${whatIf(d.s)}<form class="acts start tryday" @submit=${(e: Event) => { e.preventDefault(); const v = new FormData(e.target as HTMLFormElement).get('day'); if (typeof v === 'string' && v) tried.move(d.s, { day: v }, 0); }}><label>Try another day for the boar <input type="date" name="day" .value=${s.plan.boar_in} required></label><button>Reckon that day</button>${tried.moved() ? html`<button type="button" @click=${() => tried.clear()}>Back to the best</button>` : nothing}<button type="button" class="do" ?disabled=${busy || tried.busy()} @click=${() => void take(s)}>Take this plan</button><span role="status">${tried.busy() ? 'It is being reckoned.' : tried.moved() && tried.answer() ? `${whole(s.plan.in_time.mean)} of ${whole(s.asked_pigs)} in time.` : ''}</span></form>${weightsAndPrices(d.s)}</section>
${stairOf(s)}${ways(s)}${seasonWishes(s)}${runsOf(s)}${seasonChoices(s)}${saleWeeks(s)}${weeks(s)}${coldWeeks(s.cold_weeks)}${seasonNeeds(s)}${diary(s)}
<div class="acts pageacts screen"><a class="btn" href="/api/season?format=ics" download="leenest-season.ics">Put the diary into a calendar</a><button @click=${() => print()}>Print the season calendar</button><a class="btn" href="/records/asked">Change what people ask for</a></div>`}
<section class="sec screen"><details><summary>What this rests on</summary><ul>${s.assumed.map((a) => html`<li>${tidy(a)}</li>`)}</ul></details></section>
<p class="paper small">${farmName()}.</p>${caution(s.cautions)}`;
}

export const page: Page<Data> = {
  path: 'season', title: 'Season', menu: true,
  async load() { await house(); return { s: (await ask<Season>('season')).answer }; },
  view,
  thumb(d): TemplateResult { const s = tried.answer<Season>() ?? d.s; return s.asked.length ? html`<button class="do" ?disabled=${busy} @click=${() => void take(s)}>Take plan</button><button @click=${() => print()}>Print</button>` : html`<a class="btn do" href="/records/asked">Write</a><a class="btn" href="/pairings">Pairings</a>`; },
  leave() { wrong = ''; tried.clear(); },
};
