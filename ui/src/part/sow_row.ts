// SPDX-License-Identifier: GPL-3.0-or-later
// One sow of the night: who, where, her strip, what to do by when, what that gains, buttons; why, how sure, hours in figures.
import { html, nothing, type TemplateResult } from 'lit-html';
import { axis, drawn, nights, spanFor } from './axis.ts';
import type { Farrowing, Heat, Job, Litter, Sow, Tonight } from './answer.ts';
import { births, type Born } from './births.ts';
import { birthButtons, deedButton, heatButton, isDone, keptLines, lookButtons, nests, ofBirths, ofJob, ofRow, ofSow, signPanel } from './deeds.ts';
import { coldWords, heatWords, litterSides, runs, sides, strip } from './strip.ts';
import { capital, chance, clock, deadline, feels, isTonight, list, moment, name, plural, span, temp, tidy, weekday } from './words.ts';

/** What all rows of a page share: the answer, and the one scale of every hill. */
export interface Board { t: Tonight; most: number }
export const hillPx = 58;
export function board(t: Tonight): Board {
  const all = t.sows.flatMap((s) => (s.hours?.chance ?? []).map((v) => v ?? 0));
  return { t, most: Math.max(0.04, ...all) }; // highest chance in an hour: full height
}
const slug = (kind: string, n: string): string => `${kind}-${n.replace(/[^A-Za-z0-9]+/g, '-')}`;
export const rowId = (n: string): string => slug('sow', n);
export const placeId = (j: Job): string => slug('place', j.place);

/** 18:00 today; with its day when it is not tonight. */
export function due(j: Job, at: string): { day: string; hour: string } | undefined {
  if (!j.deadline) return undefined;
  const d = deadline(j.deadline, j.start_by, at);
  return { hour: clock(d), day: isTonight(d, at) ? (weekday(d) === weekday(at) ? 'today' : 'tonight') : weekday(d) };
}
const reasonOf = (j: Job): string => (j.deadline_because ? `${capital(j.deadline_because)}.` : '');

export function jobBox(j: Job, t: Tonight, more?: string): TemplateResult {
  const by = due(j, t.at);
  return html`<div class="job"><p class="by">${by ? html`by<b>${by.hour}</b>${by.day}` : html`when<b>you can</b>`}</p><div><p class="what">${capital(j.place)}: ${tidy(j.do)}.</p>
${more ? html`<p class="what2">${tidy(more)}</p>` : nothing}<p class="what2 quiet">${reasonOf(j)} ${plural(Math.round(j.minutes), 'minute')}${j.people > 1 ? `, ${j.people}\u00a0people` : ''}${j.lay?.moved ? '; tie it down' : ''}.</p></div></div>`;
}

function capOf(s: Sow, j: Job | undefined): string {
  if (s.place_after && s.place_now && s.place_after.name !== s.place_now.name) return `in ${s.place_after.name}`;
  const l = j?.lay, parts = [l?.turned ? 'turned' : '', l?.flapped ? 'flap' : '', l?.bedded ? 'straw' : '', l?.walled ? 'bales' : ''].filter(Boolean);
  return parts.length ? `with the work: ${parts.join(', ')}` : 'after the work';
}

/** When she stands badly, in words: for those who cannot see the strip. */
function laneWords(lane: readonly (number | null)[], from: number, at: string, words: readonly string[], until: number): string {
  const all = runs(lane, until).map(([v, a]) => `${words[v]} from ${moment(from + a * 3600e3, at)}`);
  return all.length > 6 ? `${all.slice(0, 6).join(', ')} and so on` : all.length === 1 ? all[0]!.replace(/ from .*/, ' at every hour') : all.join(', ');
}

export function sowStrip(b: Board, s: Sow, j: Job | undefined, done: boolean): TemplateResult | typeof nothing {
  const h = s.hours, t = b.t;
  if (!h) return nothing;
  const is = sides(h), two = j !== undefined && !done, words = is.heat ? heatWords : coldWords, from = Date.parse(t.weather.hours.time[0]!);
  const now = done ? is.after : is.now;
  const label = `${s.name}. Chance of farrowing: ${chance(s.p_before_dawn)} before dawn, ${chance(s.p_within_72h)} within three days. ${done ? 'After the work' : 'As she stands'}: ${laneWords(now.lane, from, t.at, words, 42)}.${two ? ` After the work: ${laneWords(is.after.lane, from, t.at, words, 42)}.` : ''}`;
  return html`${drawn('strip', (w) => {
    const ax = axis(w, spanFor(w), t.weather.hours.time[0]!, t.at);
    return strip(ax, { chance: h.chance, now, tall: (hillPx * ax.k) / b.most, dark: nights(t.weather.hours.daylight, ax.span), heat: is.heat, label,
      ...(two ? { after: is.after, capNow: is.heat ? 'as it stands' : 'as she stands', capAfter: capOf(s, j), deadline: j.deadline ? deadline(j.deadline, j.start_by, t.at) : undefined } : {}) });
  })}`;
}

/** Hours in figures: three at a time. */
function figures(s: Sow, t: Tonight, two: boolean): TemplateResult | typeof nothing {
  const h = s.hours;
  if (!h) return nothing;
  const is = sides(h), words = is.heat ? heatWords : coldWords, from = Date.parse(t.weather.hours.time[0]!), rows: TemplateResult[] = [];
  const worst = (lane: readonly (number | null)[], a: number): number => Math.max(...[0, 1, 2].map((i) => lane[a + i] ?? 0));
  const coldest = (row: readonly (number | null)[], a: number, sign: number): number => sign * Math.min(...[0, 1, 2].map((i) => sign * (row[a + i] ?? 99 * sign)));
  const now = is.heat ? h.hut_now_c! : h.feels_now_c, after = is.heat ? h.hut_after_c! : h.feels_after_c, sign = is.heat ? -1 : 1;
  for (let a = 0; a < Math.min(48, h.chance.length - 2); a += 3) {
    const p = [0, 1, 2].reduce((sum, i) => sum + (h.chance[a + i] ?? 0), 0);
    rows.push(html`<tr><th scope="row">${weekday(from + a * 3600e3, true)} ${clock(from + a * 3600e3)}–${clock(from + (a + 3) * 3600e3)}</th><td class="n">${chance(p)}</td><td>${words[worst(is.now.lane, a)]}</td>${two ? html`<td>${words[worst(is.after.lane, a)]}</td>` : nothing}<td class="n">${feels(coldest(now, a, sign))}</td>${two ? html`<td class="n">${feels(coldest(after, a, sign))}</td>` : nothing}</tr>`);
  }
  return html`<details><summary>The hours in figures</summary><div class="scroll" tabindex="0" role="group" aria-label=${`The hours of ${s.name} in figures`}><table><thead><tr><th scope="col">hours</th><th scope="col" class="n">she farrows</th><th scope="col">as she stands</th>${two ? html`<th scope="col">after</th>` : nothing}<th scope="col" class="n">${is.heat ? 'hut' : 'feels'}</th>${two ? html`<th scope="col" class="n">after</th>` : nothing}</tr></thead><tbody>${rows}</tbody></table></div><p class="small">${is.heat ? 'Hut: its air at the hottest.' : 'Feels: to a wet newborn, at the worst of the three hours.'}</p></details>`;
}

function why(s: Sow, t: Tonight): TemplateResult {
  const lines = [s.why, s.hours_that_matter_from && s.hours_that_matter_to ? `The hours that matter most: ${moment(s.hours_that_matter_from, t.at)} to ${moment(s.hours_that_matter_to, t.at)}.` : '',
    s.now.runt_danger - s.now.danger > 0.02 || s.after.runt_danger - s.after.danger > 0.02 ? `A piglet under 0.9 kg: into danger ${chance(s.after.runt_danger)} even so. Be there to dry and warm it.` : '',
    s.how_sure, s.p_not_pregnant !== null && s.p_not_pregnant >= 0.05 ? `That she is not in pig at all: ${chance(s.p_not_pregnant)}.` : '',
    s.last_look ? `Last looked at ${moment(s.last_look, t.at)}.` : 'No look at her is written down.', ...s.record];
  return html`<details><summary>Why, and how sure</summary><ul>${lines.filter(Boolean).map((l) => html`<li>${tidy(l)}</li>`)}</ul></details>`;
}

/** The house's sentence for her, without the deadline and the job that stand beside it already. */
function restOf(s: Sow, j: Job | undefined): string {
  const i = j ? s.do.indexOf(j.do) : -1;
  return j && i >= 0 ? s.do.slice(i + j.do.length).replace(/^[.\s]+/, '') : j ? '' : s.do;
}

function gain(s: Sow, t: Tonight): TemplateResult | typeof nothing {
  const h = s.hours;
  if (!h) return nothing;
  let hour = -1; // the hour in which she is likeliest to farrow into danger
  h.danger_now.forEach((v, i) => { if ((v ?? 0) > (hour < 0 ? 0 : h.danger_now[hour] ?? 0)) hour = i; });
  const when = hour < 0 ? undefined : Date.parse(t.weather.hours.time[0]!) + hour * 3600e3;
  return html`<p class="gain">Chance she farrows into danger: <b>${chance(s.now.danger)}</b> as she stands, <b>${chance(s.after.danger)}</b> after.${when !== undefined ? html` At ${moment(when, t.at)} a wet newborn would feel ${feels(h.feels_now_c[hour] ?? NaN)}; after, ${feels(h.feels_after_c[hour] ?? NaN)}.` : nothing}</p>`;
}

const who = (n: string, said: unknown, where: unknown, id: string): TemplateResult => html`<div class="who"><h3 id=${`${id}-h`}><a href=${`/sow/${encodeURIComponent(n)}`}>${name(n)}</a></h3><span class="chance">${said}</span><span class="where">${where}</span></div>`;

function whereOf(s: Sow): string {
  const p = s.place_now, place = p && p.kind !== 'open' ? (p.name === s.lies ? p.name : `${s.lies}; could use ${p.name}`) : s.lies;
  return capital(tidy([place + (p && p.kind !== 'open' && p.says ? `: ${p.says}` : ''), nests(s) ? 'nest begun' : '', s.gilt ? 'her first litter' : '', s.last_look ? '' : 'not looked at yet'].filter(Boolean).join(' · ')));
}
export const saidOf = (s: Sow): TemplateResult => html`${chance(s.p_before_dawn)} before dawn${s.p_before_dawn < 0.3 && s.p_within_72h > s.p_before_dawn + 0.05 ? html`, <span class="nowrap">${chance(s.p_within_72h)}</span> in three days` : nothing}`;

/** Nothing that is at hand makes her nights bearable. */
export const hopeless = (s: Sow): boolean => s.near && s.p_within_24h >= 0.1 && s.after.unfit > 0.5 * s.p_within_72h;

export function sowRow(b: Board, s: Sow): TemplateResult {
  const t = b.t, j = t.jobs.find((x) => x.sows.includes(s.name)), kept = j ? isDone(j) : undefined, done = kept !== undefined, id = rowId(s.name);
  const heat = t.heat.filter((x) => x.sow === s.name), rest = restOf(s, j);
  const no = hopeless(s) ? html`<p class="rest strong">Not fit for newborns out here, whatever is put out. Bring ${name(s.name)} under a roof if she has not begun a nest; once she nests she stays: then straw, bales to windward, stay near. Ring the vet for advice now.</p>` : nothing;
  return html`<section class=${j && !done ? 'sow' : 'sow quietrow'} id=${id} aria-labelledby=${`${id}-h`}>
${who(s.name, saidOf(s), whereOf(s), id)}
<div class="duty"><div class="say">${j && !done ? jobBox(j, t, [rest, nests(s) && !/where she is|not move/.test(rest) ? 'She is nesting: do not move her or the hut.' : ''].filter(Boolean).join(' ')) : html`<p class="rest">${done ? html`<b>Done ${clock(kept.at)}.</b> The strip shows her as she stands now.` : heat.length ? nothing : html`<b>${tidy(rest)}</b> ${capital(s.watch)}.`}</p>`}${no}${heat.map((x) => heatBox(x, t))}</div>
<div class="deeds">${keptLines(id, ofSow(s.name), s, t.known_to)}<div class="acts">${j && !done ? deedButton(id, j, t, s) : nothing}${heat.length ? heatButton(id, heat[0]!, t, s) : nothing}${lookButtons(id, s, t)}</div>${signPanel(id, s, t)}</div></div>
<div class="pic">${sowStrip(b, s, j, done)}</div>
<div class="tell">${j && !done ? gain(s, t) : nothing}${s.notes.map((n) => html`<p class="gain"><svg class="mk warnmk" aria-hidden="true"><use href="#warn"/></svg> ${tidy(n)}</p>`)}</div>
${s.hours ? html`<div class="more">${why(s, t)}${figures(s, t, j !== undefined && !done)}</div>` : nothing}
</section>`;
}

/** Hours too hot: what to do, before when they begin. */
function heatBox(x: Heat, t: Tonight): TemplateResult {
  return html`<div class="job"><p class="by">before<b>${clock(x.from)}</b>${isTonight(x.from, t.at) ? 'today' : weekday(x.from)}</p><div><p class="what">${tidy(x.do)}</p><p class="what2"><svg class="mk" aria-hidden="true"><use href=${`#w${Math.min(3, x.grade)}`}/></svg> ${capital(plural(x.hours, 'hour'))} too hot in ${x.place}, from ${moment(x.from, t.at)}. The danger is to the sow and the birth.</p></div></div>`;
}
export function heatRow(b: Board, x: Heat): TemplateResult {
  const id = slug('heat', x.place);
  return html`<section class="sow spare" id=${id} aria-labelledby=${`${id}-h`}><div class="who"><h3 id=${`${id}-h`}>${capital(x.place)}</h3><span class="chance">too hot</span><span class="where">${x.sow ?? 'nobody lies there yet'}</span></div><div class="duty"><div class="say">${heatBox(x, b.t)}</div><div class="deeds">${keptLines(id, ofRow(id))}<div class="acts">${heatButton(id, x, b.t)}</div></div></div></section>`;
}

/** A job that serves nobody yet, or a sow that has no row. */
export function spareRow(b: Board, j: Job): TemplateResult {
  const id = placeId(j), done = isDone(j);
  return html`<section class="sow spare" id=${id} aria-labelledby=${`${id}-h`}><div class="who"><h3 id=${`${id}-h`}>${capital(j.place)}</h3><span class="chance">a spare</span><span class="where">ready in case one lies down elsewhere</span></div>
<div class="duty"><div class="say">${done ? html`<p class="rest"><b>Done ${clock(done.at)}.</b></p>` : jobBox(j, b.t)}</div>
<div class="deeds">${keptLines(id, ofJob(j))}${done ? nothing : html`<div class="acts">${deedButton(id, j, b.t)}</div>`}</div></div></section>`;
}

export const litterHasJob = (l: Litter): boolean => !l.do.startsWith('Nothing');
export function litterRow(b: Board, l: Litter): TemplateResult {
  const t = b.t, id = rowId(l.sow), is = litterSides(l.hours), work = litterHasJob(l), age = l.age_d < 1 ? 'born in the last day' : plural(Math.floor(l.age_d), 'day') + ' old';
  return html`<section class="sow" id=${id} aria-labelledby=${`${id}-h`}>${who(l.sow, 'has farrowed', html`${l.place ?? 'where she lies'}: ${tidy(l.stands)} · ${l.living === undefined ? 'not counted yet' : `${l.living} living`}, ${age}`, id)}
<div class="duty"><div class="say">${work ? html`<div class="job"><p class="by">${l.worst_at ? html`by<b>${clock(l.worst_at)}</b>${isTonight(l.worst_at, t.at) ? 'tonight' : weekday(l.worst_at)}` : html`when<b>you can</b>`}</p><div><p class="what">${tidy(l.do)}</p><p class="what2">Go in quietly: a sow with a litter bites.</p></div></div>` : html`<p class="rest"><b>${l.do}</b> ${tidy(l.says)}</p>`}</div><div class="deeds"><div class="acts">${work && l.place ? html`<a class="btn do" href="/records/bedding">Done: write it</a>` : nothing}<a class="btn" href="/dawn">Count them</a></div></div></div>
<div class="pic">${drawn('strip', (w) => {
    const ax = axis(w, spanFor(w), t.weather.hours.time[0]!, t.at);
    return strip(ax, { now: is.now, ...(work ? { after: is.after, capNow: 'as they lie', capAfter: 'after the work' } : {}), tall: 0, dark: nights(t.weather.hours.daylight, ax.span), label: `${l.sow} and her litter, hour by hour: ${laneWords(is.now.lane, ax.from, t.at, coldWords, 72)}.` });
  })}</div>
<div class="tell">${work ? html`<p class="gain">${tidy(l.says)}</p>` : nothing}</div></section>`;
}

/** Farrowing under way: a clock instead of a strip. */
export function farrowingRow(b: Board, f: Farrowing, born: readonly Born[], litter: () => Promise<string | undefined>): TemplateResult {
  const t = b.t, id = rowId(f.sow), mins = Math.floor(f.since_min), late = mins >= 45, look = mins >= 30, since = f.last_birth ? 'since the last' : 'since she began';
  return html`<section class="sow under" id=${id} aria-labelledby=${`${id}-h`}>${who(f.sow, 'farrowing now', html`${f.place ?? 'where she lies'} · began ${moment(f.started, t.at)}`, id)}
<div class="duty"><div class="say"><div class="job now"><p class="by">${f.born_so_far === undefined ? html`born<b>–</b>not counted` : html`born<b>${f.born_so_far}</b>living`}</p><div><p class="what">${plural(mins, 'minute')} ${since}. ${late ? 'Longer than usual.' : look ? 'Look at her now.' : 'That is usual.'}</p>
<p class="what2">${late ? html`<b>Go to her now and ring the vet</b>, unless she is finished; then write down that all are out.` : html`${look ? 'She should be looked at now' : `Look at ${clock(f.look_at)}`}. If she strains and none has come by <b>${clock(f.ring_vet_at)}, ring the vet.</b>`}${f.born_dead ? ` ${f.born_dead} born dead so far.` : ''}</p></div></div></div>
<div class="deeds">${keptLines(id, ofBirths())}<div class="acts">${birthButtons(id, f, t, litter)}</div></div></div>
<div class="pic">${drawn('strip', (w) => births(w, f, born, t.at))}</div>
<div class="more"><details><summary>Whence the minutes, and what to do</summary><ul><li>${f.source}</li><li>Rub each one dry. Warm a cold one before it gets milk, then back to the udder.</li><li>${`Five hours in all is too long: ${clock(f.long_at)}.`}</li></ul></details></div></section>`;
}
export { list, span, temp };
