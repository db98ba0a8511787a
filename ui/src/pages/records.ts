// SPDX-License-Identifier: GPL-3.0-or-later
// Records of every kind: write, find, put right, take back; how they came about; odd ones; tables in and out.
import { html, nothing, type TemplateResult } from 'lit-html';
import { get, post } from '../base/api.ts';
import { go, redraw, reload, type Page, type Place } from '../base/page.ts';
import { csvView, leaveCsv } from '../part/csv.ts';
import { formFor, formOf, formView, namesFor, type Form } from '../part/form.ts';
import { flagsView, type Flag } from '../part/flags.ts';
import { historyRows, ofOne, type Change } from '../part/history.ts';
import { house, nowOf, type House } from '../part/house.ts';
import { kindGroups, kindOf, kindOne, kindTitle, kinds, listed, choiceWord, type Kind, type Listed } from '../part/kinds.ts';
import { said, saidLine, saidNothing } from '../part/said.ts';
import { beginPage } from '../part/way_on.ts';
import { capital, dayYear, clock, name, plural, tidy } from '../part/words.ts';

interface One extends Listed { kind: string; live: boolean; changes: Change[] }
type Data = { house: House } & (
  | { what: 'menu'; kinds: Kind[] }
  | { what: 'kind'; kind: Kind; form: Form; facts: Listed[]; more: boolean; search: string }
  | { what: 'one'; kind: Kind; form: Form; fact: One; edit: boolean }
  | { what: 'history'; changes: Change[]; before: number | undefined }
  | { what: 'flags'; flags: Flag[] }
  | { what: 'csv'; kinds: Kind[] });
const MOST = 25;

// What stands in a form outlives asking anew: another device may record while somebody types here.
let kept: { key: string; form: Form } | undefined;
function keptForm(key: string, make: () => Form): Form {
  if (kept?.key !== key) kept = { key, form: make() };
  return kept.form;
}
let pages: { key: string; facts: Listed[]; more: boolean } | undefined; // older ones, asked for by "Show older"
let taken: { uid: string; rests: { kind: string; called: string }[] } | undefined; // void asked about
let trouble = '';

async function load(place: Place): Promise<Data> {
  const h = await house(), now = nowOf(h), [first = '', second = ''] = place.rest.split('/');
  if (first === '') return { what: 'menu', house: h, kinds: await kinds() };
  if (first === 'csv') return { what: 'csv', house: h, kinds: await kinds() };
  if (first === 'flags') return { what: 'flags', house: h, flags: (await get<{ flags: Flag[] }>('/api/flags')).flags };
  if (first === 'history') {
    const before = Number(place.query.get('before')) || undefined, uid = place.query.get('uid') ?? undefined;
    return { what: 'history', house: h, before, changes: (await get<{ changes: Change[] }>('/api/history', { before, uid, most: 50 })).changes };
  }
  const kind = await kindOf(first), named = await namesFor(kind, now);
  if (second) {
    const fact = await get<One>(`/api/fact/${second}`);
    return { what: 'one', house: h, kind, fact, edit: place.query.has('edit'), form: keptForm(`${second} ${fact.number}`, () => formOf(kind, now, named, fact)) };
  }
  const search = place.query.get('search') ?? '', got = await listed(kind.name, { search, most: MOST });
  const given = Object.fromEntries([...place.query].filter(([k]) => k !== 'search'));
  const form = keptForm(`new ${kind.name} ${place.query}`, () => formFor(kind, now, named, given));
  form.named = named;
  return { what: 'kind', house: h, kind, form, facts: got.facts, more: got.more, search };
}

/* ---- the menu */
function menu(d: Data & { what: 'menu' }): TemplateResult {
  if (d.house.farm === null) return beginPage('Records');
  const known = new Set(kindGroups.flatMap(([, k]) => k));
  const groups: [string, Kind[]][] = kindGroups.map(([title, list]) => [title, list.flatMap((n) => d.kinds.filter((k) => k.name === n))]);
  const rest = d.kinds.filter((k) => !known.has(k.name));
  if (rest.length) groups.push(['More', rest]);
  return html`<div class="lead"><div><h1>Records</h1><p>Everything the reckoning rests on was written down by somebody. Nothing is lost: what is put right or taken back stays in the history.</p></div></div>${saidLine()}
<ul class="ways list">${d.house.held ? html`<li><a class="btn" href="/held">${plural(d.house.held, 'record')} refused and held</a></li>` : nothing}${d.house.flags ? html`<li><a class="btn" href="/records/flags">${plural(d.house.flags, 'odd record')} to settle</a></li>` : nothing}<li><a class="btn" href="/records/history">What was changed, and by whom</a></li><li><a class="btn" href="/records/csv">Tables in and out</a></li></ul>
${groups.map(([title, list]) => html`<section class="sec kindsec"><h2>${title}</h2><ul class="kindlist list">${list.map((k) => html`<li><a href=${`/records/${k.name}`}><b>${kindTitle(k.name)}</b><span>${capital(k.help)}</span></a></li>`)}</ul></section>`)}`;
}

/* ---- one kind: write one, find one */
/** A fact in a line: what it says, without what its name says already. */
export function saysFact(kind: Kind, shown: Listed['shown'], skip: readonly (string | null)[] = []): TemplateResult {
  const parts = kind.fields.filter((q) => !skip.includes(q.name) && shown[q.name] !== undefined && shown[q.name] !== null && shown[q.name] !== '' && !(q.type === 'flag' && shown[q.name] === 'no'));
  return html`${parts.map((q, i) => html`${i ? ' · ' : ''}<span class="quiet">${q.label}</span> ${value(q.type, String(shown[q.name]))}`)}`;
}
const value = (type: string, v: string): TemplateResult => html`<bdi>${type === 'choice' ? choiceWord(v) : type === 'set' ? v.split(',').map(choiceWord).join(', ') : tidy(v)}</bdi>`;

function rowOf(kind: Kind, f: Listed): TemplateResult {
  return html`<li class="fact"><a href=${`/records/${kind.name}/${f.uid}`}>${name(f.called || kindTitle(kind.name))}</a><p>${saysFact(kind, f.shown, [kind.called, kind.fields.find((q) => q.type === 'ref' && f.shown[q.name] === f.called)?.name ?? null])}</p><p class="small">Written ${dayYear(f.recorded)}, ${clock(f.recorded)}${f.who ? html`, ${name(f.who)}` : nothing}${f.device ? html`, on ${name(f.device)}` : nothing}</p></li>`;
}
async function older(d: Data & { what: 'kind' }): Promise<void> {
  const key = `${d.kind.name} ${d.search}`, sofar = pages?.key === key ? pages.facts : [], last = sofar.at(-1) ?? d.facts.at(-1);
  if (!last) return;
  try { const got = await listed(d.kind.name, { search: d.search, before: last.number, most: MOST }); pages = { key, facts: [...sofar, ...got.facts], more: got.more }; trouble = ''; }
  catch (e) { trouble = e instanceof Error ? e.message : String(e); }
  redraw();
}
function kindView(d: Data & { what: 'kind' }): TemplateResult {
  const k = d.kind, key = `${k.name} ${d.search}`, extra = pages?.key === key ? pages : undefined, facts = [...d.facts, ...(extra?.facts.filter((f) => !d.facts.some((g) => g.uid === f.uid)) ?? [])], more = extra ? extra.more : d.more;
  const after = (done: Parameters<Parameters<typeof formView>[2]>[0]): void => {
    said(html`Kept: ${done.length > 1 ? plural(done.length, 'record') : name(done[0]?.called || kindTitle(k.name))}`, done, reload, true);
    kept = undefined; saidScroll(); reload();
  };
  const closed = k.single && d.facts.length > 0;
  return html`<div class="lead"><div><h1>${kindTitle(k.name)}</h1><p>${capital(k.help)}.</p></div></div>${saidLine()}
<div class="writefind">${closed ? nothing : html`<section class="sec write"><h2>Write ${kindOne(k.name)}</h2>${formView(d.form, html`Keep it`, after, html`<a class="btn" href="#find">Find one</a>`)}</section>`}
<section class="sec find" id="find" tabindex="-1"><h2>Written so far</h2><form class="search" role="search" @submit=${(e: Event) => { e.preventDefault(); const v = String(new FormData(e.target as HTMLFormElement).get('search') ?? '').trim(); go(`/records/${k.name}${v ? `?search=${encodeURIComponent(v)}` : ''}`); }}><label for="search">Any part of it</label><div class="entry"><input id="search" name="search" type="search" dir="auto" .value=${d.search}><button type="submit">Find</button></div></form>
${facts.length ? html`<ul class="list facts">${facts.map((f) => rowOf(k, f))}</ul>` : html`<p>${d.search ? html`Nothing here has “<bdi>${d.search}</bdi>” in it. <a href=${`/records/${k.name}`}>Show all</a>` : 'Nothing is written here yet.'}</p>`}
${trouble ? html`<p class="fault" role="alert"><svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${trouble}</span></p>` : nothing}
<div class="acts">${more ? html`<button type="button" @click=${() => void older(d)}>Show older</button>` : nothing}${facts.length ? html`<a class="btn" href=${`/api/export/${k.name}`} download=${`${k.name}.csv`}>Save as a table (CSV)</a>` : nothing}<a class="btn" href="/records">All kinds</a></div></section></div>`;
}
function saidScroll(): void { requestAnimationFrame(() => { scrollTo(0, 0); document.querySelector<HTMLElement>('.saidline button')?.focus(); }); }

/* ---- one record */
interface Undone { batch: string | null; changes: { what: string; kind: string; uid: string; called: string }[]; dependents: { kind: string; uid: string; called: string }[] | number }
async function askVoid(uid: string): Promise<void> {
  trouble = '';
  try { const r = await post<Undone>('/api/void', { uid, try: true }); taken = { uid, rests: r.changes.filter((c) => c.uid !== uid) }; }
  catch (e) { taken = undefined; trouble = e instanceof Error ? e.message : String(e); }
  redraw(); document.getElementById('takeout')?.focus();
}
async function takeOut(d: Data & { what: 'one' }): Promise<void> {
  trouble = '';
  try {
    const r = await post<Undone>('/api/void', { uid: d.fact.uid });
    taken = undefined; kept = undefined;
    said(html`Taken out: ${name(d.fact.called || kindTitle(d.kind.name))}${r.changes.length > 1 ? html` and ${plural(r.changes.length - 1, 'record')} that ${r.changes.length === 2 ? 'rests' : 'rest'} on it` : nothing}. <span class="quiet">The history keeps it.</span>`, []);
    go(`/records/${d.kind.name}`);
    saidScroll();
  } catch (e) { trouble = e instanceof Error ? e.message : String(e); redraw(); }
}
async function again(d: Data & { what: 'one' }, batch: string): Promise<void> {
  trouble = '';
  try { await post('/api/undo', { what: batch }); kept = undefined; said(html`Put back: ${name(d.fact.called || kindTitle(d.kind.name))}`, []); reload(); }
  catch (e) { trouble = e instanceof Error ? e.message : String(e); redraw(); }
}
function oneView(d: Data & { what: 'one' }): TemplateResult {
  const k = d.kind, f = d.fact, here = `/records/${k.name}/${f.uid}`;
  const rows = k.fields.filter((q) => f.shown[q.name] !== undefined && f.shown[q.name] !== null && f.shown[q.name] !== '');
  const after = (done: Parameters<Parameters<typeof formView>[2]>[0]): void => { said(html`Put right: ${name(f.called || kindTitle(k.name))}`, done); kept = undefined; go(`/records/${k.name}/${done[0]?.uid ?? f.uid}`); saidScroll(); };
  const last = f.changes.find((c) => c.uid === f.uid && c.what === 'voided'), now = f.live ? undefined : f.changes.find((c) => c.what === 'recorded' || c.what === 'restored'), mended = last && now && now.uid !== f.uid && f.changes.some((c) => c.what === 'recorded' && c.batch === last.batch) ? now : undefined;
  return html`<div class="lead"><div><h1>${name(f.called || kindTitle(k.name))}</h1><p>${capital(k.help)}. Written ${dayYear(f.recorded)}, ${clock(f.recorded)}${f.who ? html`, by ${name(f.who)}` : nothing}${f.device ? html`, on ${name(f.device)}` : nothing}.</p></div></div>${saidLine()}
${f.live ? nothing : html`<p class="note"><b>This stands no more:</b> it was ${mended ? html`put right since. <a href=${`/records/${k.name}/${mended.uid}`}>As it was put right</a>` : 'taken back or put right since'}. The history below tells how.${last && !mended ? html` <button type="button" class="plainbtn" @click=${() => void again(d, last.batch)}>Put it back</button>` : nothing}</p>`}
<div class="writefind"><section class="sec"><h2>What it says</h2><table class="says"><caption class="unseen">What this record says</caption><tbody>${rows.map((q) => html`<tr><th scope="row">${capital(q.label)}</th><td>${value(q.type, String(f.shown[q.name]))}</td></tr>`)}</tbody></table>
${trouble ? html`<p class="fault" role="alert"><svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${trouble}</span></p>` : nothing}
${taken?.uid === f.uid ? html`<div class="takeout" id="takeout" tabindex="-1" role="group" aria-label="Take it out"><p><b>Take this out?</b> ${taken.rests.length ? html`What rests on it goes with it:` : 'Nothing rests on it.'} It can be put back.</p>${taken.rests.length ? html`<ul>${taken.rests.map((c) => html`<li>${kindTitle(c.kind)}: ${name(c.called)}</li>`)}</ul>` : nothing}<div class="acts"><button type="button" @click=${() => void takeOut(d)}>Take it out</button><button type="button" @click=${() => { taken = undefined; redraw(); }}>Leave it</button></div></div>`
      : f.live ? html`<div class="acts">${d.edit ? nothing : html`<a class="btn do" href=${`${here}?edit`}>Put it right</a>`}<button type="button" @click=${() => void askVoid(f.uid)}>Take it out</button><a class="btn" href=${`/records/${k.name}`}>All ${kindTitle(k.name).toLowerCase()}</a></div>` : html`<div class="acts"><a class="btn" href=${`/records/${k.name}`}>All ${kindTitle(k.name).toLowerCase()}</a></div>`}</section>
${d.edit && f.live ? html`<section class="sec write"><h2>Put it right</h2>${formView(d.form, 'Keep it so', after, html`<a class="btn" href=${here} @click=${() => { kept = undefined; }}>Leave it as it was</a>`)}</section>` : nothing}</div>
<section class="sec"><h2>How it came about</h2>${historyRows(ofOne(f.changes))}</section>`;
}

function historyView(d: Data & { what: 'history' }): TemplateResult {
  const last = d.changes.at(-1);
  return html`<div class="lead"><div><h1>What was changed</h1><p>Newest first. Every change can be taken back, together with what rests on it.</p></div></div>${saidLine()}
<section class="sec">${historyRows(d.changes, true)}<div class="acts">${last && d.changes.length === 50 ? html`<a class="btn" href=${`/records/history?before=${last.number}`}>Show older</a>` : nothing}${d.before ? html`<a class="btn" href="/records/history">To the newest</a>` : nothing}<a class="btn" href="/records">All kinds</a></div></section>`;
}

function view(d: Data): TemplateResult {
  switch (d.what) {
    case 'menu': return menu(d);
    case 'kind': return kindView(d);
    case 'one': return oneView(d);
    case 'history': return historyView(d);
    case 'flags': return flagsView(d.flags);
    case 'csv': return csvView(d.kinds);
  }
}
export const page: Page<Data> = {
  path: 'records', title: 'Records', menu: true, load, view,
  thumb: (d) => (d.what === 'kind' ? html`${d.kind.single && d.facts.length ? html`<a class="btn do" href="/records">All kinds</a>` : html`<button class="do" type="submit" form="theform">Keep it</button>`}<a class="btn" href="#find">Find</a>` : html`<a class="btn do" href="/records/look">Write a look</a><a class="btn" href="/records">Kinds</a>`),
  leave() { kept = undefined; pages = undefined; taken = undefined; trouble = ''; leaveCsv(); if (!location.pathname.startsWith('/records')) saidNothing(); },
};
