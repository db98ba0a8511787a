// SPDX-License-Identifier: GPL-3.0-or-later
// Sheet: the night on paper, two sides, black and white, to be read by a torch. Everything a helper needs is on it.
import { html, nothing, type TemplateResult } from 'lit-html';
import { ask, get } from '../base/api.ts';
import { redraw, type Page } from '../base/page.ts';
import type { Job, Litter, Sow, Tonight } from '../part/answer.ts';
import { axis, nights, ruler, textWidth } from '../part/axis.ts';
import { nests } from '../part/deeds.ts';
import { house } from '../part/house.ts';
import { sky } from '../part/sky.ts';
import { due } from '../part/sow_row.ts';
import { sides, strip } from '../part/strip.ts';
import { capital, chance, clock, day, deadline, evening, farmName, hourOfDay, isTonight, list, name, plural, tidy, usUnits, weekday } from '../part/words.ts';

interface Person { name: string; is: string; phone?: string }
interface Data { t: Tonight | undefined; people: Person[]; printed: number }
type Paper = 'a4' | 'letter';
let paper: Paper | undefined; // chosen by hand; otherwise by the farm's units

/* Sizes as they come out on paper, px of 1/96 inch, to know what still fits on the front. */
const sheetOf = { a4: { w: 703, h: 1031 }, letter: { w: 725, h: 964 } } as const;
const pt = (x: number): number => (x * 96) / 72;
const linesOf = (text: string, size: number, width: number, small = ''): number => Math.max(1, Math.ceil(((textWidth(text, pt(size)) + textWidth(small, pt(11))) * 1.05) / width));

const nightOf = (t: Tonight): string => {
  const e = evening(t.at), next = e.getTime() + 24 * 3600e3;
  return `${weekday(e)} ${day(e).replace(/ .*/, day(e).split(' ')[1] === day(next).split(' ')[1] ? '' : ` ${day(e).split(' ')[1]}`)} to ${weekday(next)} ${day(next)}`;
};

/* ---- front */

interface Deed { when: string; who: string; what: string; why: string }
function jobDeed(t: Tonight, j: Job): Deed {
  const s = t.sows.find((x) => j.sows.includes(x.name)), nested = s !== undefined && nests(s), d = due(j, t.at);
  return { when: d ? `${d.day === 'today' || d.day === 'tonight' ? '' : `${d.day} `}by ${d.hour}` : 'when you can', who: j.sows.length ? `${j.sows.join(', ')}, ${j.place}.` : `${capital(j.place)}, a spare.`,
    what: `${capital(j.do)}.${j.lay?.moved || j.lay?.turned ? ' Tie it down.' : ''}${nested ? ' Go in quietly and come away. She is making her nest: do not move her and do not move the hut.' : ''}`,
    why: `${[j.deadline_because ? capital(j.deadline_because) : '', j.sows.length ? `into danger ${chance(j.danger_before)} as it stands, ${chance(j.danger_after)} after` : '', `${plural(Math.round(j.minutes), 'minute')}${j.people > 1 ? `, ${j.people} people` : ''}`].filter(Boolean).join('; ')}.${nested || !j.sows.length ? '' : ' If she has begun a nest elsewhere: leave her there, and ring.'}` };
}
/** All that is to be done tonight, whatever it is against. */
function deedsOf(t: Tonight, jobs: Job[]): Deed[] {
  const on = (x: string): string => `${isTonight(x, t.at) ? '' : `${weekday(x)} `}by ${clock(x)}`;
  return [...(t.farrowing_now ?? []).map((f) => ({ when: `${clock(f.look_at)}`, who: `${f.sow}, ${f.place ?? 'where she lies'}: farrowing.`, what: `Look at her. Ring the vet at ${clock(f.ring_vet_at)} if none more has come or she strains.`, why: f.born_so_far === undefined ? `Began at ${clock(f.started)}.` : `${f.born_so_far} living at ${clock(t.at)}.` })),
    ...(t.young_litters ?? []).filter((l) => !l.do.startsWith('Nothing')).map((l) => ({ when: l.worst_at ? on(l.worst_at) : 'when you can', who: `${l.sow} and her litter, ${l.place ?? 'where she lies'}.`, what: `${l.do} Go in quietly.`, why: l.says })),
    ...t.heat.map((x) => ({ when: on(x.from), who: `${x.sow ? `${x.sow}, ` : ''}${x.place}.`, what: x.do, why: `${plural(x.hours, 'hour')} too hot from then.` })), ...jobs.map((j) => jobDeed(t, j))];
}
const box = html`<span class="box" role="img" aria-label="box to tick"></span>`;
const doItem = (x: Deed): TemplateResult => html`<li><span class="box" aria-hidden="true"></span><div><b class="when">${x.when}</b> <b>${name(x.who)}</b> ${tidy(x.what)} <i>${tidy(x.why)}</i></div></li>`;
interface LookRow { who: TemplateResult; where: string; says: unknown; at: boolean[] }
/** Hours to go by, and those put between them for the sows that want a look every two to three hours. */
interface Times { all: string[]; between: Set<string> }
function lookTimes(t: Tonight): Times {
  const now = Number(clock(t.at).slice(0, 2)), visits = (t.rounds.visits ?? []).map((v) => clock(v.at)), first = now >= 21 || now < 7 ? [] : ['21:00'];
  const times = [...new Set([...first, ...visits, ...(visits.at(-1) && visits.at(-1)! >= '05:30' && visits.at(-1)! < '12:00' ? [] : ['07:00'])])], between = new Set<string>(), all: string[] = [];
  if (!t.rounds.close?.length) return { all: times, between };
  const half = (c: string): number => 2 * Number(c.slice(0, 2)) + Number(c.slice(3)) / 30, said = (h: number): string => `${String(Math.floor((h % 48) / 2)).padStart(2, '0')}:${h % 2 ? '30' : '00'}`;
  let last = half(times[0]!);
  for (const c of times) {
    const gap = (half(c) - last + 48) % 48, n = Math.max(0, Math.ceil(gap / 6) - 1);
    for (let i = 1; i <= n; i++) { const b = said(Math.floor(last + (gap * i) / (n + 1))); between.add(b); all.push(b); }
    all.push(c);
    last = half(c);
  }
  return { all, between };
}
function lookRows(t: Tonight, { all: times, between }: Times): LookRow[] {
  const visits = t.rounds.visits ?? [], rows: LookRow[] = [], last = times.length - 1, first = times.findIndex((c) => !between.has(c)), going = new Set((t.farrowing_now ?? []).map((f) => f.sow)), close = new Set(t.rounds.close ?? []);
  const at = (n: string, all: boolean): boolean[] => times.map((c, i) => all || i === first || i === last || (!between.has(c) && visits.some((v) => clock(v.at) === c && v.look_at.includes(n))));
  for (const f of t.farrowing_now ?? []) rows.push({ who: name(f.sow), where: f.place ?? 'where she lies', says: 'farrowing now', at: times.map(() => true) });
  for (const s of t.sows.filter((x) => x.hours && !going.has(x.name)).sort((a, b) => b.p_before_dawn - a.p_before_dawn)) rows.push({ who: name(s.name), where: placeOf(s), says: chance(s.p_before_dawn), at: at(s.name, nests(s) || close.has(s.name)) });
  for (const l of (t.young_litters ?? []).filter((x) => !going.has(x.sow))) rows.push({ who: html`${name(l.sow)}${l.living === undefined ? '' : ` + ${l.living}`}`, where: l.place ?? '', says: 'has farrowed', at: times.map((_, i) => i === first || i === last) });
  const named = new Set([...(t.young_litters ?? []).map((l: Litter) => l.sow), ...going]), rest = [...t.sows.filter((s) => !s.hours && !going.has(s.name)).map((s) => s.name), ...t.others.map((o) => o.name).filter((n) => !named.has(n))];
  if (rest.length) rows.push({ who: list(rest), where: '', says: 'not likely', at: times.map((_, i) => i === last) });
  return rows;
}
const legend = 'Write in the box: N nest · M milk in streams · S straining · B born, with the number · – nothing new. Use a red torch. Stand still a minute before you shine it.';
/** When nobody need be out, but for those who are close: after the look that all get. */
function resting(t: Tonight): string {
  const { all, between } = lookTimes(t), close = t.rounds.close ?? [], first = all.find((c) => !between.has(c)), to = t.rounds.sleep_to ? clock(t.rounds.sleep_to) : '';
  if (!t.rounds.sleep_from || !to || !(t.rounds.visits ?? []).length) return '';
  const from = first === '21:00' && hourOfDay(t.rounds.sleep_from) < 21 && hourOfDay(t.rounds.sleep_from) >= 7 ? first : clock(t.rounds.sleep_from);
  return close.length ? `${from} to ${to}: ${close.join(' and ')} alone. ` : `Rest from ${from} to ${to}. `;
}
const placeOf = (s: Sow): string => (s.place_now && s.place_now.kind !== 'open' && s.lies === s.place_now.name ? s.lies : s.lies.replace('in the open, where she lies down', 'in the open'));

function hoursOf(t: Tonight, s: Sow, low: number, w: number): TemplateResult {
  const k = 1.08, ax = axis(w, 18, t.weather.hours.time[0]!, t.at, k), dark = nights(t.weather.hours.daylight, 18), is = sides(s.hours!), j = t.jobs.find((x) => x.sows.includes(s.name)), top = Math.max(0.03, ...s.hours!.chance.slice(0, 18).map((v) => v ?? 0));
  return html`<div class="strips">${low < 2 ? sky(ax, t.weather.hours, { low: true }) : nothing}${ruler(ax, dark)}${strip(ax, { chance: s.hours!.chance, now: is.now, heat: is.heat, dark, tall: ((low === 0 ? 52 : low === 1 ? 38 : 30) * k) / top, label: `${s.name}, hour by hour: chance and danger until nine in the morning.`,
    ...(j ? { after: is.after, capNow: 'if nothing is done', capAfter: 'with the work', deadline: j.deadline ? deadline(j.deadline, j.start_by, t.at) : undefined } : {}) })}</div>
<p class="sm">Higher = likelier hour. Darker = more dangerous, in more of the forecasts tried.${j ? ' Above the line: if nothing is done. Below: with the work.' : ''}</p>`;
}

function view(d: Data): TemplateResult {
  const t = d.t, size = paper ?? (usUnits() ? 'letter' : 'a4');
  if (!t) return html`<div class="lead"><h1>Night sheet</h1><p>Nothing is written down yet.</p><div class="acts"><a class="btn do" href="/begin">Begin</a></div></div>`;
  const { w, h } = sheetOf[size];
  const tonight = t.jobs.filter((j) => !j.spare && (!j.deadline || isTonight(j.deadline, t.at))), later = t.jobs.filter((j) => !j.spare && !tonight.includes(j)), spare = t.jobs.filter((j) => j.spare);
  const looks = lookTimes(t), times = looks.all, rows = lookRows(t, looks), most = [...t.sows].filter((s) => s.hours).sort((a, b) => b.p_before_dawn - a.p_before_dawn)[0];
  // what stands on the front, in px; the strip goes over the page where it does not fit
  const deeds = deedsOf(t, tonight);
  const text = deeds.reduce((sum, x) => sum + 10 + 22 * linesOf(`${x.when} xxxx ${x.who} ${x.what}`, 12.5, w - 42, `${x.why} `), 0), after = later.length + spare.length ? 70 + 20 * linesOf(later.map((j) => `${j.sows.join()} ${j.place} ${j.do} Friday by 16:30`).join(), 11, w) : 0;
  const restRow = rows.length ? 18 * linesOf([...t.sows, ...t.others].filter((s) => !('hours' in s)).map((s) => s.name).join(', '), 11, 280) - 18 : 0;
  const used = 62 + 28 + 32 + text + 32 + 28 + 29.5 * rows.length + Math.max(0, restRow) + 16 * linesOf(`${resting(t)}${legend}`, 10, w) + 42;
  const need = most ? [34 + 172 + 46 + 200 + 36, 34 + 172 + 46 + 165 + 36, 34 + 46 + 148 + 36] : [0, 0, 0];
  const low = need.findIndex((x) => used + x < h), onFront = most !== undefined && low >= 0, two = (p: string): Person | undefined => d.people.find((x) => x.is === p && x.phone);
  const ring = (label: string, p: Person | undefined, other = ''): TemplateResult => html`<p><b>${label}:</b> ${p ? html`${name(p.name)} <b class="nowrap">${p.phone}</b>` : html`${other} <span class="fillin" aria-hidden="true"></span>`}</p>`;
  const level = onFront ? low : [1, 2].find((x) => after + 480 + need[x]! + 110 < h) ?? 2, back = after + (onFront || !most ? 520 : 480 + need[level]!); // what stands on the back
  const lines = Math.max(2, Math.min(10, Math.floor((h - back - 40) / 36)));
  const strips = most ? html`<section><h2>${name(most.name)}, hour by hour</h2>${hoursOf(t, most, level, w)}</section>` : nothing;
  const c = t.cautions;
  return html`<div class="screenonly lead"><div class="acts"><button class="do" @click=${() => print()}>Print</button><button aria-pressed=${size === 'a4' ? 'true' : 'false'} @click=${() => { paper = 'a4'; redraw(); }}>A4</button><button aria-pressed=${size === 'letter' ? 'true' : 'false'} @click=${() => { paper = 'letter'; redraw(); }}>US Letter</button><a class="btn" href="/tonight">Back to the night</a></div></div>
<div class=${`sheet ${size}`}><div class="front">
<div class="sh"><h1>Night sheet: ${nightOf(t)}</h1><p>${farmName() || t.farm} · printed ${weekday(d.printed, true)} ${clock(d.printed)} · ${t.weather.forecast === null ? html`<b>no forecast: past years used</b>` : html`forecast of ${t.weather.made ? `${weekday(t.weather.made, true)} ${clock(t.weather.made)}` : 'unknown hour'}`} · <b>at 21:00 ask if it has changed</b></p></div>
<div class="tel">${ring('First ring', two('keeper'), d.people.find((p) => p.is === 'keeper')?.name ?? 'the house')}${ring('Vet', two('vet'))}${ring('Next farm', two('neighbour'))}</div>
<h2>Do</h2>${deeds.length ? html`<ol class="dos">${deeds.map(doItem)}</ol>` : html`<p class="none"><b>Nothing to do tonight</b> but to look.</p>`}
<h2>Look</h2><table class="looks"><caption class="unseen">Rounds</caption><thead><tr><th scope="col">sow</th><th scope="col">where</th><th scope="col">before dawn</th>${times.map((c2) => html`<th scope="col" class="c">${c2}</th>`)}</tr></thead><tbody>${rows.map((r) => html`<tr>${r.where ? html`<th scope="row">${r.who}</th><td>${r.where}</td><td class="nowrap">${r.says}</td>` : html`<th scope="row" colspan="2" class="herd">${r.who}</th><td>${r.says}</td>`}${r.at.map((x) => html`<td class="c">${x ? box : html`<span aria-hidden="true">·</span>`}</td>`)}</tr>`)}</tbody></table>
<p class="sm">${resting(t)}Write in the box: <b>N</b> nest · <b>M</b> milk in streams · <b>S</b> straining · <b>B</b> born, with the number · <b>–</b> nothing new. Use a red torch. Stand still a minute before you shine it.</p>
${onFront ? strips : nothing}
<p class="over"><span>Go and look: paper cannot see her. Keep the board between.</span> <span>Begun? Turn over.</span></p></div>
<div class=${onFront || !most ? 'back' : 'back tight'}>${onFront ? nothing : strips}
<section><h2>If she has begun</h2><ol><li>Write the time. Ring the house. Stay outside the hut.</li><li>Listen. Grunts in a row, piglets squeaking, then quiet: good.</li><li>A wet one lying away from her: only if you can reach it without going past her. Rub it dry with straw, into the box with the warm bottle, back to the udder when it moves well.</li><li>Straining <b>45 minutes</b> and none born, or 45 minutes since the last: <b>ring the vet.</b></li><li>Do not feed a cold one. Warm it first.</li></ol></section>
<section><h2>Keep safe</h2><ol><li>Board between you and her. Never between her and the door.</li><li>Tell someone when you go out and when you are back.</li><li>No lamp, no smoke, no flame in straw.</li><li>Fence off before you lift a hut. Two people lift.</li>${c.filter((x) => /vet come first/.test(x)).map((x) => html`<li>${tidy(x)}</li>`)}<li>This sheet cannot see her. If what you see says otherwise, believe what you see and ring.</li></ol></section>
${later.length + spare.length ? html`<section><h2>Later</h2>${later.length ? html`<p class="sm2"><b>Tomorrow, if you are still on:</b> ${later.map((j, i) => html`${i ? '; ' : ''}${list(j.sows)}: ${j.place}, ${tidy(j.do)}, by ${due(j, t.at)?.day} ${due(j, t.at)?.hour}`)}.</p>` : nothing}${spare.length ? html`<p class="sm2"><b>To spare:</b> ${spare.map((j) => html`${j.place}: ${tidy(j.do)}. `)}</p>` : nothing}</section>` : nothing}
<section><h2>What I found</h2>${Array.from({ length: lines }, () => html`<p class="lines"></p>`)}</section></div></div>`;
}

export const page: Page<Data> = {
  path: 'sheet', title: 'Night sheet', menu: false,
  async load(place) {
    const farm = await house();
    if (!farm.farm) return { t: undefined, people: [], printed: Date.now() };
    const t = (await ask<Tonight>('tonight', { at: place.query.get('at') ?? undefined })).answer;
    let people: Person[] = [];
    try { people = (await get<{ facts: { fact: Person }[] }>('/api/list/person', { most: 60 })).facts.map((x) => x.fact).filter(Boolean); } catch { people = []; } // out of reach: lines to fill in
    const asked = Date.parse(t.at);
    return { t, people, printed: Math.abs(Date.now() - asked) > 12 * 3600e3 ? asked : Date.now() };
  },
  view,
};
