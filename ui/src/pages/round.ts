// SPDX-License-Identifier: GPL-3.0-or-later
// Round: what must be done today, by when, by whom. The first page, all year; in the farrowing weeks what the night asks
// for stands on top. Ticked off here or on paper.
import { html, nothing, type TemplateResult } from 'lit-html';
import { ask } from '../base/api.ts';
import { redraw, type Page } from '../base/page.ts';
import { record, type RecordedFact } from '../base/queue.ts';
import { caution } from '../part/caution.ts';
import { house, iAm, iso, me, nowOf, type House } from '../part/house.ts';
import { names, type Named } from '../part/kinds.ts';
import { said, saidLine, saidNothing } from '../part/said.ts';
import { capital, clock, day, isoDay, moment, name, plural, tidy, weekday } from '../part/words.ts';

interface Prompt {
  key: string; short_key: string; kind: string; day: string; by: string | null; who: string | null; where: string | null;
  what: string; why: string | null; late: boolean; ticked: boolean; ticked_by: string | null;
}
interface NightJob { place: string; what: string; by: string; why: string }
interface Round {
  at: string; day: string; to_do: Prompt[]; open: number; in_short: string | null; night_jobs: NightJob[]; record: string[]; cautions: string[]; assumed: string[]; no_weather?: string;
}
interface Data { round: Round; night: string; house: House; people: Named[]; kept: boolean; at: number }

// Ticked on this page and not yet in the answer: shown as done at once.
const ticked = new Map<string, { at: Date; is: string; waiting: boolean }>();
const busy = new Set<string>();
let trouble: { key: string; says: string } | undefined;

async function load(): Promise<Data> {
  const h = await house();
  if (h.farm === null) return { round: { at: iso(new Date()), day: isoDay(new Date()), to_do: [], open: 0, in_short: null, night_jobs: [], record: [], cautions: [], assumed: [] }, night: '', house: h, people: [], kept: false, at: 0 };
  const [round, people] = await Promise.all([ask<Round>('round'), names('person')]);
  // The one sentence of the night stands on top only while the night asks for something.
  const asks = round.answer.night_jobs.length > 0 || round.answer.to_do.some((p) => p.kind === 'look');
  const night = asks ? round.answer.in_short ?? '' : '';
  for (const key of [...ticked.keys()]) if (round.answer.to_do.find((p) => p.key === key)?.ticked) ticked.delete(key);
  return { round: round.answer, night, house: h, people, kept: round.kept, at: round.at };
}

async function tick(d: Data, p: Prompt, how: 'done' | 'not-needed' | 'looked'): Promise<void> {
  if (busy.has(p.key)) return;
  busy.add(p.key); trouble = undefined; redraw();
  const at = nowOf(d.house), by = me() ? { by: me() } : {};
  try {
    const done: RecordedFact = how === 'looked' && p.who ? await record('look', { sow: p.who, at: iso(at), ...by })
      : await record('tick', { prompt: p.key, at: iso(at), on: p.day, ...(how === 'not-needed' ? { is: how } : {}), ...by });
    ticked.set(p.key, { at, is: how, waiting: done.status === 'waiting' });
    said(html`${how === 'looked' ? html`Looked at ${name(p.who ?? '')}, nothing new` : how === 'done' ? html`Done: ${tidy(p.what)}` : html`Not needed: ${tidy(p.what)}`} <span class="quiet">${clock(at)}${me() ? html`, ${name(me())}` : nothing}</span>`, [done], () => ticked.delete(p.key));
  } catch (e) { trouble = { key: p.key, says: e instanceof Error ? e.message : String(e) }; }
  busy.delete(p.key); redraw();
}

/* ---- rows: looks at one sow stand together, the next one first */
interface Row { p: Prompt; later: Prompt[] }
function rows(list: readonly Prompt[]): Row[] {
  const out: Row[] = [], looks = new Map<string, Row>();
  for (const p of list) {
    const r = p.kind === 'look' && p.who ? looks.get(p.who) : undefined;
    if (r) { r.later.push(p); continue; }
    const row = { p, later: [] };
    if (p.kind === 'look' && p.who) looks.set(p.who, row);
    out.push(row);
  }
  return out;
}
const isDone = (p: Prompt): boolean => p.ticked || ticked.has(p.key);

function rowView(d: Data, r: Row): TemplateResult {
  const { p } = r, at = new Date(d.round.at), look = p.kind === 'look' && p.who;
  const later = r.later.map((q) => (q.by ? moment(q.by, at) : '')).filter(Boolean);
  return html`<li class="task" id=${`task-${p.key}`}><span class="box paperbox" aria-hidden="true"></span>
<p class="tby">${p.by ? html`<b>${moment(p.by, at)}</b>` : p.late ? html`<b>${day(`${p.day}T12:00Z`, true)}</b>` : nothing}</p>
<div class="twhat"><p class="tdo">${look ? html`Look at ${name(p.who ?? '')}` : tidy(p.what)}</p>${p.why ? html`<p class="twhy">${tidy(p.why)}${later.length ? html` Then ${later.join(', ')}.` : nothing}</p>` : nothing}
${trouble?.key === p.key ? html`<p class="fault" role="alert"><svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${trouble.says}</span></p>` : nothing}</div>
<div class="tacts">${look
    ? html`<button type="button" ?disabled=${busy.has(p.key)} @click=${() => void tick(d, p, 'looked')}>Nothing new<span class="unseen"> on ${p.who}</span></button><a class="btn" href=${`/records/sign?sow=${encodeURIComponent(p.who ?? '')}`}>Saw a sign<span class="unseen"> on ${p.who}</span></a>`
    : html`<button type="button" class="tick" ?disabled=${busy.has(p.key)} @click=${() => void tick(d, p, 'done')}><span class="tickbox" aria-hidden="true"></span>Done<span class="unseen">: ${p.what}</span></button><button type="button" class="plainbtn" ?disabled=${busy.has(p.key)} @click=${() => void tick(d, p, 'not-needed')}>Not needed<span class="unseen">: ${p.what}</span></button>`}</div>
<span class="paperwho" aria-hidden="true"></span></li>`;
}
function group(d: Data, title: string, list: readonly Row[]): TemplateResult | typeof nothing {
  return list.length ? html`<section class="tasks"><h2 class="part">${title} <span class="tally">${list.length}</span></h2><ul class="list">${list.map((r) => rowView(d, r))}</ul></section>` : nothing;
}

function nightHead(d: Data): TemplateResult | typeof nothing {
  const jobs = d.round.night_jobs, at = new Date(d.round.at);
  if (!d.night && jobs.length === 0) return nothing;
  return html`<section class="nighthead" aria-label="Tonight"><h2><a href="/tonight">Tonight</a></h2>${d.night ? html`<p class="big2">${tidy(d.night)}</p>` : nothing}
${jobs.length ? html`<ul class="todo">${jobs.slice(0, 3).map((j) => html`<li><a href="/tonight"><b>${moment(j.by, at)}</b><span><strong>${name(capital(j.place))}</strong>${tidy(j.what)}</span></a></li>`)}</ul>` : nothing}
${jobs.length > 3 ? html`<p class="small screen"><a href="/tonight">${plural(jobs.length - 3, 'more job')} for the coming nights</a></p>` : nothing}
<div class="paper"><ul class="list">${jobs.slice(3).map((j) => html`<li>${moment(j.by, at)} ${name(capital(j.place))}: ${tidy(j.what)}</li>`)}</ul></div></section>`;
}

function whoseHands(d: Data): TemplateResult | typeof nothing {
  const here = d.people.filter((p) => p.is === 'keeper' || p.is === 'helper' || !p.is);
  if (here.length < 2) return nothing;
  return html`<div class="whose screen"><label for="whose">Ticked off by</label><select id="whose" @change=${(e: Event) => { iAm((e.target as HTMLSelectElement).value); redraw(); }}><option value="" ?selected=${!me()}>not said</option>${here.map((p) => html`<option value=${p.name} ?selected=${me() === p.name}>${p.name}</option>`)}</select></div>`;
}

function view(d: Data): TemplateResult {
  if (d.house.farm === null) return html`<div class="lead"><div><h1>Round</h1><p>What must be done today stands here, once the farm is written down.</p></div></div><div class="acts start"><a class="btn do" href="/begin">Begin a farm</a></div>`;
  const at = new Date(d.round.at), open = d.round.to_do.filter((p) => !isDone(p)), done = d.round.to_do.filter(isDone), today = isoDay(at);
  const all = rows(open), past = (r: Row): boolean => r.p.late || (r.p.by !== null && new Date(r.p.by) < at);
  const behind = all.filter(past), dated = all.filter((r) => !past(r) && r.p.by !== null), anyHour = all.filter((r) => !past(r) && r.p.by === null);
  const todayRows = dated.filter((r) => isoDay(r.p.by ?? '') === today), later = dated.filter((r) => isoDay(r.p.by ?? '') !== today);
  const next = todayRows[0] ?? later[0];
  return html`<div class="lead"><div><h1>Round <span class="date">${weekday(at)} ${day(at)}</span></h1>
<p>${open.length === 0 ? 'Nothing left to do today.' : html`${plural(all.length, 'thing')} to do${behind.length ? html`, <b>${behind.length} past ${behind.length === 1 ? 'its' : 'their'} hour</b>` : nothing}.${next?.p.by ? html` Next by <b>${moment(next.p.by, at)}</b>.` : nothing}`}</p></div>${whoseHands(d)}</div>
${saidLine()}
${nightHead(d)}
${d.round.no_weather ? html`<p class="note">${tidy(d.round.no_weather)} <a href="/weather">Weather</a></p>` : nothing}
${all.some((r) => r.p.kind === 'look') ? html`<p class="small looknote">At each look write down what you see; that a sign is not there is news too.</p>` : nothing}${group(d, 'Past the hour', behind)}${group(d, 'Today, by the clock', todayRows)}${group(d, 'At any hour today', anyHour)}${group(d, 'In the night and tomorrow', later)}
${d.round.record.length ? html`<section class="sec screen"><h2>Not known</h2><ul class="plainlist">${d.round.record.map(told)}</ul></section>` : nothing}
${done.length ? html`<details class="donefold"><summary>Done today (${done.length})</summary><ul class="list">${done.map((p) => { const t = ticked.get(p.key); return html`<li class="donerow"><svg class="mk" aria-hidden="true"><use href=${t?.waiting ? '#phone' : '#tick'}/></svg><span>${tidy(p.what)} <span class="quiet">${t ? html`${clock(t.at)}${t.waiting ? ', waits on this device' : ''}` : p.by ? moment(p.by, at) : ''}${p.ticked_by ? html`, ${name(p.ticked_by)}` : nothing}</span></span></li>`; })}</ul></details>` : nothing}
<div class="acts screen end"><button type="button" @click=${() => print()}>Print the list</button><a class="btn" href="/dawn">Dawn round</a><a class="btn" href="/records">Write something down</a></div>
${caution(d.round.cautions, 'Go and look. This page cannot see her.')}`;
}
/** "…: leenest record service --sow Vetch --at ..." becomes a way to the form. */
function told(line: string): TemplateResult {
  const m = /^(.*?):? leenest record ([a-z_-]+)(?: --(?:sow|animal) "?([^"]+?)"? --)?/.exec(line);
  return html`<li>${m ? html`${m[1]}. <a href=${`/records/${(m[2] ?? '').replaceAll('-', '_')}${m[3] ? `?sow=${encodeURIComponent(m[3])}` : ''}`}>Write it down</a>` : tidy(line)}</li>`;
}

export const page: Page<Data> = {
  path: 'round', title: 'Round', menu: true, load, view,
  thumb: (d) => (d.house.farm === null ? html`<a class="btn do" href="/begin">Begin a farm</a><a class="btn" href="/records">Records</a>` : html`<a class="btn do" href="/dawn">Dawn round</a><a class="btn" href="/records">Write</a>`),
  leave() { ticked.clear(); saidNothing(); trouble = undefined; },
};
