// SPDX-License-Identifier: GPL-3.0-or-later
// Pairing list: the plan on paper for the gate, boar by boar: his sows with tag, from when, why, boxes to tick, and whom he must not
// meet. What was put by hand on the page of pairings comes along in the address.
import { html, nothing, type TemplateResult } from 'lit-html';
import { ask, get } from '../base/api.ts';
import type { Page } from '../base/page.ts';
import { ears, earsOfAll, type Ears } from '../part/ears.ts';
import { house, nowOf } from '../part/house.ts';
import { percent } from '../part/kin.ts';
import { paperButtons, paperSize, tickBox } from '../part/paper.ts';
import { capital, day, dayYear, farmName, name, plural, tidy } from '../part/words.ts';

interface Boar { name: string; uid: string; most: number; most_says: string; here: boolean }
interface Planned { sow: string; uid: string; boar: string | null; boar_uid: string | null; f: number | null; word: string | null; free_on: string | null; decided: string }
interface Pair { sow: string; boar: string; relation: string | null; too_close: boolean; forbidden: string | null; f: number | null; word: string | null }
interface Plan { at: string; from: string; infeasible: string | null; boars: Boar[]; plan: Planned[]; pairs: Pair[]; not_served: { name: string; why: string }[] }
interface Animal { name: string; uid: string; tag: string | null; group: string | null; place: string | null; lies: string | null }
interface Run { boar: string; sow: string | null; group: string | null; from: string; to: string | null }
interface Data { p: Plan; animals: Map<string, Animal>; runs: Run[]; notches: Map<string, Ears>; on: Date; invented: boolean; byHand: number }

async function load(q: URLSearchParams): Promise<Data> {
  const farm = await house(), asked = new URLSearchParams(), fix = q.getAll('fix');
  if (q.get('from')) asked.set('from', q.get('from')!);
  for (const f of fix) asked.append('fix', f);
  const s = asked.toString(), p = await get<Plan>('/api/pairings' + (s ? `?${s}` : ''));
  const animals = new Map((await ask<{ animals: Animal[] }>('herd', { all: true })).answer.animals.map((a) => [a.uid, a]));
  let runs: Run[] = [];
  try { // out of reach: lines to fill in
    runs = (await get<{ facts: { fact: Run; shown: { group?: string } }[] }>('/api/list/boar_run', { most: 200 })).facts.map((f) => ({ boar: f.fact.boar, sow: f.fact.sow ?? null, group: f.shown.group ?? null, from: f.fact.from, to: f.fact.to ?? null }));
  } catch { runs = []; }
  return { p, animals, runs, notches: await earsOfAll([...p.plan.map((x) => animals.get(x.uid)?.tag), ...p.boars.map((b) => animals.get(b.uid)?.tag)]), on: nowOf(farm), invented: farm.show_at !== null, byHand: fix.length };
}

/** The boar she runs with at that moment, by herself or with her group. */
function runOf(d: Data, sow: string): Run | undefined {
  const group = d.animals.get(sow)?.group, at = Date.parse(d.p.at);
  return d.runs.find((r) => (r.sow === sow || (r.group !== null && r.group === group)) && Date.parse(r.from) <= at && (!r.to || Date.parse(r.to) > at));
}
const write = html`<span class="write" role="img" aria-label="line to write on"></span>`;
/** From when, till when; what is not known is a line to write on. */
function dates(d: Data, x: Planned): { from: TemplateResult; to: TemplateResult } {
  const r = runOf(d, x.uid), other = r && r.boar !== x.boar_uid ? d.animals.get(r.boar)?.name ?? 'another boar' : undefined;
  if (r && !other) return { from: html`${day(r.from)}, with him now`, to: r.to ? html`${day(r.to)}` : write };
  const late = x.free_on !== null && x.free_on > d.p.from;
  return { from: html`${late ? html`about ${day(x.free_on!)}${x.free_on!.slice(0, 4) === d.p.from.slice(0, 4) ? nothing : ` ${x.free_on!.slice(0, 4)}`}` : day(d.p.from)}${other ? html`; <b>now with ${name(other)}</b>` : nothing}`, to: write };
}
function row(d: Data, x: Planned): TemplateResult {
  const a = d.animals.get(x.uid), w = dates(d, x);
  return html`<tr><th scope="row" class="name">${name(x.sow)}</th><td class="tagcol" data-l="tag">${a?.tag ? html`<bdi>${a.tag}</bdi>${ears(d.notches.get(a.tag), { small: true })}` : '–'}</td><td class="date" data-l="from">${w.from}</td><td class="out" data-l="to">${w.to}</td><td class="reason">${x.word ?? 'kinship not known'}${x.f === null ? nothing : html`, ${percent(x.f)}`}${x.decided === 'reckoned' ? nothing : html`; ${x.decided}`}</td><td class="c" data-l="put to him">${tickBox}</td><td class="c" data-l="served">${tickBox}</td><td class="c" data-l="out again">${tickBox}</td></tr>`;
}
function keepAway(d: Data, b: Boar): TemplateResult | typeof nothing {
  const no = d.p.pairs.filter((x) => x.boar === b.name && (x.too_close || x.forbidden) && d.p.plan.some((s) => s.sow === x.sow && s.boar_uid !== b.uid));
  return no.length ? html`<p class="boarline">✕ <b>Not to him:</b> ${no.map((x, i) => html`${i ? '; ' : ''}${name(x.sow)} (${x.forbidden ? 'cannot be' : x.relation ? `he is ${x.relation}` : `kin ${x.word}`})`)}.</p>` : nothing;
}
function boar(d: Data, b: Boar): TemplateResult {
  const his = d.p.plan.filter((x) => x.boar_uid === b.uid), a = d.animals.get(b.uid), runs = d.runs.find((r) => r.boar === b.uid && Date.parse(r.from) <= Date.parse(d.p.at) && (!r.to || Date.parse(r.to) > Date.parse(d.p.at)));
  return html`<section><h2>${name(b.name)}: ${his.length ? plural(his.length, 'sow or gilt', 'sows and gilts') : 'none this season'}</h2><p class="boarline">${a?.tag ? html`Tag <bdi>${a.tag}</bdi>. ` : nothing}${capital(b.most_says)}.${runs ? html` Now with ${runs.group ? html`the ${name(runs.group)}` : name(d.animals.get(runs.sow ?? '')?.name ?? 'a sow')}, since ${day(runs.from)}.` : nothing}${b.here ? nothing : ' Not on this farm: he stays apart first, as long as your vet asks for.'}</p>${keepAway(d, b)}
${his.length ? html`<table><caption class="unseen">Sows and gilts for ${b.name}</caption><thead><tr><th scope="col" class="name">sow</th><th scope="col" class="tagcol">tag</th><th scope="col" class="date">from</th><th scope="col" class="out">to</th><th scope="col">why</th><th scope="col" class="c">in</th><th scope="col" class="c">served</th><th scope="col" class="c">out</th></tr></thead><tbody>${his.map((x) => row(d, x))}</tbody></table>` : nothing}</section>`;
}
function view(d: Data): TemplateResult {
  const p = d.p, none = p.plan.filter((x) => !x.boar_uid), kept = p.plan.filter((x) => x.decided === 'settled').length, size = paperSize();
  if (p.boars.length === 0 || p.plan.length === 0) return html`<div class="lead"><div><h1>Pairing list</h1><p>${p.boars.length === 0 ? 'No boar is written down here.' : 'No sow or gilt here can be served.'}</p><div class="acts"><a class="btn do" href="/pairings">Pairings</a></div></div></div>`;
  return html`<div class="screenonly lead">${paperButtons(html`<a class="btn" href="/pairings">Back to the pairings</a>`)}</div>
<div class=${`sheet plist ${size}`}><div class="sh"><h1>Pairings from ${dayYear(p.from)}</h1><p><b>${farmName()}</b> · as recorded on ${dayYear(d.on)} · ${kept === p.plan.length ? 'all settled' : [kept ? `${kept} of ${p.plan.length} settled` : '', d.byHand ? `${d.byHand} put by hand` : '', kept || d.byHand ? 'the rest as reckoned' : 'as reckoned, none settled yet'].filter(Boolean).join(', ')}${d.invented ? ' · this farm is invented: for show only' : ''}</p></div>
<p class="own"><b>Never with your back to a boar.</b> Never alone in with him: two people, a board in hand, and the way out free behind you. Watch the first meeting; part them if they fight.</p>
${p.infeasible ? html`<p class="own">${tidy(p.infeasible)}</p>` : nothing}${p.boars.map((b) => boar(d, b))}
${none.length ? html`<section><h2>No boar for</h2><p class="boarline">${none.map((x, i) => html`${i ? ', ' : ''}${name(x.sow)}`)}.</p></section>` : nothing}
${p.not_served.length ? html`<section><h2>Left out</h2><p class="boarline">${p.not_served.map((x, i) => html`${i ? '; ' : ''}${name(x.name)}: ${x.why}`)}.</p></section>` : nothing}
<p class="sm">In: put to him. Out: taken out again. Percentages: expected inbreeding of the litter, on paper only: they do not say whether he is sound or she stands to him. What is not recorded counts as not kin. A boar bought in stays apart first, as long as your vet asks for.</p></div>`;
}

export const page: Page<Data> = {
  path: 'pairing-list', title: 'Pairing list', menu: false,
  load: (place) => load(place.query),
  view,
  thumb: () => html`<button class="do" @click=${() => print()}>Print</button><a class="btn" href="/pairings">Pairings</a>`,
};
