// SPDX-License-Identifier: GPL-3.0-or-later
// Tonight: who may farrow, what should each have, by when? Sentence first, then weather and strips on one row of hours.
import { html, nothing, type TemplateResult } from 'lit-html';
import { ask, get, post } from '../base/api.ts';
import { redraw, reload, type Page } from '../base/page.ts';
import type { Farrowing, Job, Sow, Tonight } from '../part/answer.ts';
import { axis, drawn, nights, ruler, spanFor } from '../part/axis.ts';
import type { Born } from '../part/births.ts';
import { caution, goAndLook } from '../part/caution.ts';
import { isDone } from '../part/deeds.ts';
import { house, type House } from '../part/house.ts';
import { sky, skyUnits, skyWords } from '../part/sky.ts';
import { board, due, farrowingRow, hopeless, heatRow, litterHasJob, litterRow, placeId, rowId, saidOf, sowRow, spareRow } from '../part/sow_row.ts';
import { clock, day, evening, isTonight, list, moment, name, nightName, plural, span, tidy, windUnit } from '../part/words.ts';

interface Listed { facts: { uid: string; fact: Record<string, unknown> }[] }
interface Data { farm: House; t?: Tonight; kept: boolean; at: number; born: Map<string, Born[]> }

async function birthsOf(f: Farrowing): Promise<Born[]> {
  try {
    const got = await get<Listed>('/api/list/birth', { search: f.sow, most: 40 });
    return got.facts.map((x) => x.fact).filter((x) => x['sow'] === f.uid && Date.parse(String(x['at'])) >= Date.parse(f.started) - 3600e3)
      .map((x) => ({ at: String(x['at']), dead: x['is'] === 'dead' })).sort((a, b) => a.at.localeCompare(b.at));
  } catch { return []; } // out of reach: the line shows what the answer itself says
}
/** Uid of the litter that is written down already, so that its end is put right and not written twice. */
const litterOf = (f: Farrowing) => async (): Promise<string | undefined> => {
  const got = await get<Listed>('/api/list/farrowing', { search: f.sow, most: 5 });
  return got.facts.find((x) => x.fact['sow'] === f.uid && Date.parse(String(x.fact['start'])) === Date.parse(f.started))?.uid;
};

/* ---- the lead */

const words: [number, string][] = [[0.7, 'will most likely farrow before dawn'], [0.5, 'will likely farrow before dawn'], [0.05, 'may']];
function leadSentence(t: Tonight): TemplateResult {
  const going = (t.farrowing_now ?? []).map((f) => f.sow), inPig = t.sows.filter((s) => s.p_before_dawn >= 0.05 && !going.includes(s.name)).sort((a, b) => b.p_before_dawn - a.p_before_dawn);
  const bad = inPig.filter(hopeless);
  if (bad.length) return html`<b>Do not let ${list(bad.map((s) => s.name))} farrow out here tonight.</b> Nothing at hand makes it bearable.`;
  const calm = t.jobs.length === 0 && t.heat.length === 0 && !going.length, parts: TemplateResult[] = going.length ? [html`<b>${list(going)}</b> ${going.length > 1 ? 'are' : 'is'} farrowing now`] : [];
  if (inPig.length === 0 && !going.length) return calm ? html`<b>Nothing to do tonight.</b> ${tidy(t.in_short)}` : html`${tidy(t.in_short)}`;
  let left = inPig;
  for (const [p, say] of words) {
    const these = left.filter((s) => s.p_before_dawn >= p);
    left = left.filter((s) => s.p_before_dawn < p);
    if (these.length) parts.push(html`<b>${list(these.map((s) => s.name))}</b> ${say}${say === 'may' && parts.length === 0 ? ' farrow before dawn' : ''}`);
  }
  const jobs = t.jobs.length, first = t.jobs.map((j) => due(j, t.at)).find(Boolean);
  const look = t.rounds.visits?.[0];
  return html`${calm ? html`<b>Nothing to do tonight.</b> ` : nothing}${parts.map((p, i) => html`${i ? '; ' : ''}${p}`)}.${jobs === 0 ? html` ${tidy(t.in_short.replace(/^[^.]*\. ?/, '').replace(/^\d+ jobs? .*$/, ''))}${calm && look ? ` Next look: ${clock(look.at)}.` : ''}` : html` <span class="wide">${plural(jobs, 'job')}${first ? `, the first by ${first.hour}${first.day === 'today' || first.day === 'tonight' ? '' : ` ${first.day}`}` : ''}.</span>`}`;
}
const short = (j: Job): string => j.do.replace(/ and set it with the door to /, ', door ').replace(/carry it out/, 'carry out').replace(/ \(\d+°\)/, '').replace(/put in /, '').replace('three quarters of a bale', '¾ bale').replace('half a bale', '½ bale');
function todoList(t: Tonight): TemplateResult | typeof nothing {
  const going = (t.farrowing_now ?? []).map((f) => f.sow), jobs = t.jobs.filter((j) => !j.spare && !isDone(j) && !j.sows.every((n) => going.includes(n))), tonight = jobs.filter((j) => j.deadline && isTonight(j.deadline, t.at)), shown = (tonight.length ? tonight : jobs).slice(0, 4), rest = jobs.filter((j) => !shown.includes(j)), visits = t.rounds.visits ?? [];
  if (jobs.length === 0 && visits.length === 0) return nothing;
  return html`<ol class="todo narrow">${shown.map((j) => {
    const d = due(j, t.at), id = t.sows.find((s) => j.sows.includes(s.name)) ? rowId(j.sows[0]!) : placeId(j);
    return html`<li><a href=${`#${id}`}><b>${d ? html`by ${d.day === 'today' || d.day === 'tonight' ? '' : html`${d.day.slice(0, 3)} `}${d.hour}` : 'soon'}</b><span><strong>${list(j.sows)}</strong> ${j.place}: ${tidy(short(j))}</span></a></li>`;
  })}${rest.length ? html`<li><a href=${`#${rowId(rest[0]!.sows[0] ?? '')}`}><b>later</b><span>${rest.map((j, i) => html`${i ? '; ' : ''}<strong class="inl">${list(j.sows)}</strong> by ${due(j, t.at)?.day.slice(0, 3)} ${due(j, t.at)?.hour}`)}</span></a></li>` : nothing}${visits.length ? html`<li><a href="#rounds"><b>get up</b><span><strong>${visits.map((v) => clock(v.at)).join(', ')}</strong> look at ${list([...new Set(visits.flatMap((v) => v.look_at))])}</span></a></li>` : nothing}</ol>`;
}
function forecastNote(d: Data, t: Tonight): TemplateResult | typeof nothing {
  const w = t.weather, buttons = html`<div class="acts"><button class="do" ?disabled=${fetching} @click=${() => void fetchWeather()}>${fetching ? 'Fetching' : 'Fetch again'}</button><a class="btn" href="/weather">Type the evening weather</a></div>${fetched ? html`<p class="small" role="status">${fetched}</p>` : nothing}`;
  if (d.kept) return html`<p class="note"><svg class="mk warnmk" aria-hidden="true"><use href="#stale"/></svg> <b>Out of reach of the house.</b> Reckoned at ${moment(t.at)}, before anything that waits here. Recording works.</p>`;
  if (w.forecast === null) return html`<div class="note"><p><svg class="mk warnmk" aria-hidden="true"><use href="#none"/></svg> <b>There is no forecast.</b> ${tidy(w.says)} The hours below lean on past years, and the work is set for the harder ones.</p>${buttons}</div>`;
  if ((w.age_h ?? 0) > 12) return html`<div class="note"><p><svg class="mk warnmk" aria-hidden="true"><use href="#stale"/></svg> <b>The forecast is ${span(w.age_h!)} old</b>, from ${moment(w.made!, t.at)}. Look at the sky before you trust it: is the wind still where the first barb has it?</p>${buttons}</div>`;
  return nothing;
}
let fetching = false, fetched = '';
async function fetchWeather(): Promise<void> {
  fetching = true;
  redraw();
  try { fetched = (await post<{ says: string }>('/api/weather/fetch', {})).says; } catch (e) { fetched = e instanceof Error ? e.message : String(e); }
  fetching = false;
  reload();
}

/* ---- the board */

function skyRows(t: Tonight): TemplateResult {
  const w = t.weather.hours, said = skyWords(axis(800, 72, w.time[0]!, t.at, 1), w);
  return html`<div class="sky"><p class="wide small">${skyUnits()}<br>what falls<br>cloud and wind, ${windUnit()}</p>
<div>${drawn('strip', (px) => sky(axis(px, spanFor(px), w.time[0]!, t.at), w))}</div>
<p class="wide small"><b>${said[0]}</b> ${said.slice(1).join(' ')} <span class="quiet">${tidy(t.weather.says)}</span></p></div>
<p class="narrow small skysays">${said.slice(0, 2).join(' ')}</p>`;
}
const rulerRow = (t: Tonight): TemplateResult => html`<div class="ruler"><div class="wide"></div><div>${drawn('strip', (px) => {
  const ax = axis(px, spanFor(px), t.weather.hours.time[0]!, t.at);
  return ruler(ax, nights(t.weather.hours.daylight, ax.span));
})}</div><div class="wide"></div></div>`;

function rounds(t: Tonight): TemplateResult | typeof nothing {
  const visits = t.rounds.visits ?? [], looks = t.looks_worth_taking;
  if (visits.length === 0 && looks.length === 0 && !t.rounds.says) return nothing;
  return html`<section class="rounds" id="rounds" aria-labelledby="rounds-h"><h2 class="part" id="rounds-h">Looks through the night</h2>
${visits.length ? html`<ol class="visits">${t.rounds.sleep_from && t.rounds.sleep_to ? html`<li class="rest0"><b>rest</b><span>${clock(t.rounds.sleep_from)} to ${clock(t.rounds.sleep_to)}${t.rounds.close?.length ? html`, but for ${list(t.rounds.close)}` : nothing}</span></li>` : nothing}${visits.map((v) => html`<li><b>${clock(v.at)}</b><span>${list(v.look_at)}</span></li>`)}</ol>` : nothing}
<p class="rest">${tidy(t.rounds.says)}</p>
${looks.map((l) => html`<p class="rest"><b>Worth a look at ${moment(l.at, t.at)}:</b> ${tidy(l.says)}</p>`)}</section>`;
}
const fold = 12;
function onlyLook(rows: TemplateResult[], names: Sow[]): TemplateResult {
  if (rows.length <= fold) return html`${rows}`;
  return html`${rows.slice(0, fold)}<details class="folded"><summary>${plural(rows.length - fold, 'more sow')} with little chance</summary><ul class="folk">${names.slice(fold).map((s) => html`<li><a href=${`/sow/${encodeURIComponent(s.name)}`}>${name(s.name)}</a><span>${saidOf(s)}</span></li>`)}</ul></details>`;
}
export const key = (heat: boolean): TemplateResult => html`<div class="key" role="group" aria-label="What the marks mean"><span class="grade"><svg class="mk" aria-hidden="true"><use href="#k0"/></svg>bearable</span>${(heat ? ['warm', 'danger to the sow', 'too hot'] : ['cold', 'danger', 'not here: not fit for newborns']).map((w, i) => html`<span class="grade"><svg class="mk" aria-hidden="true"><use href=${`#${heat ? 'w' : 'k'}${i + 1}`}/></svg>${w}</span>`)}<span>Height of the hill: her chance of farrowing in that hour, the same scale for every sow. Filling: how dangerous, in each forecast tried. So <b>the area filled with danger is the chance that she farrows into danger</b>; solid is the worst. Above the line as she stands, below it after the work. The marks are about cold and heat, never about how many will live.</span></div>`;

function view(d: Data): TemplateResult {
  const t = d.t;
  if (!t) return html`<div class="lead"><h1>Tonight</h1><p>Nothing is written down yet. Begin with the farm and where it lies; then its sows, with the day or the weeks the boar was with each.</p><div class="acts"><a class="btn do" href="/begin">Begin</a></div></div>`;
  const b = board(t), farrowing = t.farrowing_now ?? [], litters = t.young_litters ?? [];
  const going = new Set(farrowing.map((f) => f.sow)), young = new Set(litters.map((l) => l.sow));
  const sows = t.sows.filter((s) => !going.has(s.name)), job = (s: Sow): Job | undefined => t.jobs.find((j) => j.sows.includes(s.name));
  const late = (j: Job | undefined): number => (j?.deadline ? Date.parse(j.deadline) : Infinity);
  const hot = (s: Sow): boolean => t.heat.some((x) => x.sow === s.name);
  const todo = sows.filter((s) => job(s) || hot(s)).sort((x, y) => late(job(x)) - late(job(y))), spare = t.jobs.filter((j) => !j.sows.some((n) => todo.some((s) => s.name === n) || going.has(n))), places = t.heat.filter((x) => x.sow === null || !sows.some((s) => s.name === x.sow));
  const toDoLitters = litters.filter((l) => !going.has(l.sow) && litterHasJob(l)), lookLitters = litters.filter((l) => !going.has(l.sow) && !litterHasJob(l));
  const look = sows.filter((s) => !job(s) && !hot(s)).sort((x, y) => y.p_before_dawn - x.p_before_dawn || y.p_within_72h - x.p_within_72h);
  const near = look.filter((s) => s.hours), far = look.filter((s) => !s.hours);
  const unknown = t.others.filter((o) => o.state === 'nothing known'), others = t.others.filter((o) => o.state !== 'nothing known' && !going.has(o.name) && !young.has(o.name));
  const empty = t.sows.length === 0 && t.others.length === 0, nTodo = todo.length + spare.length + toDoLitters.length + places.length, nLook = near.length + lookLitters.length;
  return html`<div class="lead"><div><h1>${nightName(t.at)} <span class="date">${day(evening(t.at))}</span></h1>
<p>${empty ? 'No sows are written down yet. Write one, with the day or the weeks the boar was with her, and this page can say when.' : leadSentence(t)}</p>
${empty ? html`<div class="acts"><a class="btn do" href="/records/animal">Write a sow</a><a class="btn" href="/records">Read a list from a file</a></div>` : nothing}</div>
${empty ? nothing : html`<p class="wide small"><a href="/sheet">Print the night sheet</a></p>`}</div>
${farrowing.length ? html`<div class="board"><h2 class="part emberpart">Farrowing now: ${farrowing.length}</h2>${farrowing.map((f) => farrowingRow(b, f, d.born.get(f.uid) ?? [], litterOf(f)))}</div>` : nothing}
${empty ? nothing : html`<div class="lead list narrow">${todoList(t)}</div>`}
${forecastNote(d, t)}
<div class="board">
${skyRows(t)}${rulerRow(t)}
${nTodo ? html`<h2 class="part">To do: ${nTodo}</h2>${toDoLitters.map((l) => litterRow(b, l))}${todo.map((s) => sowRow(b, s))}${places.map((x) => heatRow(b, x))}${spare.map((j) => spareRow(b, j))}` : nothing}
${t.short_of ? html`<p class="rest short">${tidy(t.short_of)}</p>` : nothing}
${empty ? nothing : rounds(t)}
${nLook || far.length || others.length ? html`<h2 class="part">Only to look at: ${nLook + far.length + others.length}</h2>${onlyLook([...lookLitters.map((l) => litterRow(b, l)), ...near.map((s) => sowRow(b, s))], near)}
${far.length || others.length ? html`<ul class="folk">${far.map((s) => html`<li id=${rowId(s.name)}><a href=${`/sow/${encodeURIComponent(s.name)}`}>${name(s.name)}</a><span><b>${saidOf(s)}</b> ${tidy(s.p_not_pregnant !== null && s.p_not_pregnant > 0.5 ? s.why : s.do)} ${s.notes.map((n) => tidy(n)).join(' ')}</span></li>`)}${others.map((o) => html`<li><a href=${`/sow/${encodeURIComponent(o.name)}`}>${name(o.name)}</a><span>${tidy(o.says)}</span></li>`)}</ul>` : nothing}` : nothing}
${unknown.length ? html`<h2 class="part">Not known: ${unknown.length}</h2>${unknown.map((o) => html`<section class="sow unknown" id=${rowId(o.name)}><div class="who"><h3><a href=${`/sow/${encodeURIComponent(o.name)}`}>${name(o.name)}</a></h3><span class="chance">not known</span></div><div class="pic"><p class="rest">${tidy(o.says)} No hour can be given till then. Any one of them helps; a look at her udder too.</p></div><div class="duty"><div class="deeds"><div class="acts"><a class="btn" href=${`/records/service?sow=${encodeURIComponent(o.name)}`}>Write a service</a><a class="btn" href="/records/sign">Looked at udder</a></div></div></div></section>`)}` : nothing}
</div>
${empty ? nothing : key(t.heat.length > 0)}
${t.record.length || t.assumed.length ? html`<div class="more all">${t.record.length ? html`<details><summary>What would make the night surer</summary><ul>${t.record.map((r) => html`<li>${tidy(r.replace(/: leenest record .*$/, '.'))}</li>`)}</ul></details>` : nothing}<details><summary>What this rests on</summary><ul>${[...t.weather.notes, ...t.assumed].map((a) => html`<li>${tidy(a)}</li>`)}${t.weather.credit ? html`<li>${t.weather.credit}</li>` : nothing}</ul></details></div>` : nothing}
${caution(t.cautions.filter((c) => !/never replaces going out/.test(c)), goAndLook)}
<p class="rest narrow"><a href="/sheet">Print the night sheet</a></p>`;
}

export const page: Page<Data> = {
  path: 'tonight', title: 'Tonight', menu: true,
  async load(place) {
    const farm = await house();
    if (!farm.farm) return { farm, kept: false, at: Date.now(), born: new Map() };
    const at = place.query.get('at') ?? undefined;
    const got = await ask<Tonight>('tonight', { at });
    const born = new Map<string, Born[]>();
    for (const f of got.answer.farrowing_now ?? []) born.set(f.uid, await birthsOf(f));
    return { farm, t: got.answer, kept: got.kept, at: got.at, born };
  },
  view,
  thumb: () => html`<a class="btn do" href="/dawn">Record</a><a class="btn" href="/sheet">Sheet</a>`,
};
