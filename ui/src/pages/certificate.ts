// SPDX-License-Identifier: GPL-3.0-or-later
// Certificate: what the farm has recorded of one animal, on one sheet for a buyer: who it is, four generations with lines, its
// inbreeding with what that rests on, who wrote it down and when. The breeder's own statement, and it says so.
import { html, nothing, type TemplateResult } from 'lit-html';
import { ask, get } from '../base/api.ts';
import type { Page } from '../base/page.ts';
import { ears, earsOf, type Ears } from '../part/ears.ts';
import { house, nowOf } from '../part/house.ts';
import { percent } from '../part/kin.ts';
import { fillIn, paperButtons, paperSize } from '../part/paper.ts';
import { numberOf, numbers, tree, type Family, type Member } from '../part/tree.ts';
import { capital, dayYear, farmName, isoDay, name, plural, tidy } from '../part/words.ts';

interface Animal { id: string; uid: string; name: string; tag: string | null; is: string; sex: string; born: string | null; breed: string | null; here: boolean; gone: string | null; parity: number | null; sire: string | null; dam: string | null; sure: string; f_says: string; breeds_say: string | null }
interface Herd { at: string; animals: Animal[]; family: Family; findings: { id: string | null; says: string }[] }
interface Fact { uid: string; recorded: string; who: string | null; device: string | null; fact: Record<string, unknown>; changes?: { recorded: string; who: string | null }[] }
interface Listed { facts: Fact[] }
interface Data { h: Herd; a: Animal; own: Fact; facts: Map<string, Fact>; litter: Fact | undefined; meanLitter: number | null; meat: string | null; keepers: string[]; notches: Ears | undefined; on: Date; invented: boolean }

const keptNone = <T>(p: Promise<T>): Promise<T | undefined> => p.catch(() => undefined); // out of reach: a line to fill in, or left out

async function load(of: string): Promise<Data> {
  const farm = await house(), h = (await ask<Herd>('herd', { family: of, generations: 4, all: true })).answer;
  const root = h.family.members.find((m) => m.index === 1)!, byId = new Map(h.animals.map((x) => [x.id, x])), a = byId.get(root.id)!;
  const all = [...new Set(h.family.members.map((m) => byId.get(m.id)?.uid ?? ''))].filter(Boolean), facts = new Map<string, Fact>();
  await Promise.all(all.map(async (uid) => { const f = await keptNone(ask<Fact>(`fact/${uid}`)); if (f) facts.set(uid, f.answer); }));
  const own = facts.get(a.uid) ?? (await ask<Fact>(`fact/${a.uid}`)).answer, dam = a.dam ? byId.get(a.dam) : undefined;
  const litters = dam && a.born ? (await keptNone(get<Listed>('/api/list/farrowing', { search: dam.name, most: 200 })))?.facts ?? [] : [];
  const days = (f: Fact): string[] => [f.fact['start'], f.fact['end']].filter(Boolean).map((t) => isoDay(String(t)));
  const sow = a.here && (a.is === 'sow' || a.is === 'gilt') ? await keptNone(ask<{ mean_litter: number | null; withdrawal_until: string | null }>('sow', { NAME: a.uid })) : undefined;
  const people = (await keptNone(get<{ facts: { fact: { name: string; is: string } }[] }>('/api/list/person', { most: 60 })))?.facts ?? [];
  return { h, a, own, facts, litter: litters.find((f) => f.fact['sow'] === dam!.uid && days(f).includes(a.born!)), meanLitter: sow?.answer.mean_litter ?? null, meat: sow?.answer.withdrawal_until ?? null,
    keepers: people.filter((p) => p.fact.is === 'keeper').map((p) => p.fact.name), notches: await earsOf(a.tag), on: nowOf(farm), invented: farm.show_at !== null };
}

/* ---- words */

const number = (v: unknown): number | undefined => (typeof v === 'number' ? v : undefined);
const unknown = html`<span class="quiet">not recorded</span>`;
const trust: Record<string, string> = {
  unknown: 'So little is known that the figure says nothing.', little: 'Little is known: the true figure may well be higher.',
  some: 'A fair part is known: the true figure may be higher.', well: 'Much is known: the true figure can hardly be much higher.',
};
/** "Parents: both. Great-grandparents: 4 of 8." */
function known(f: Family): string {
  const of = (g: number): string => { const n = f.members.filter((m) => m.generation === g).length, all = 2 ** g; return n === 0 ? 'none' : n === all ? (all === 2 ? 'both' : `all ${all}`) : `${n} of ${all}`; };
  return `Parents: ${of(1)}. Grandparents: ${of(2)}. Great-grandparents: ${of(3)}. Before those: ${of(4)}.`;
}
function bornIn(d: Data): TemplateResult {
  const alive = number(d.litter?.fact['born_alive']), still = number(d.litter?.fact['still']);
  if (alive === undefined) return unknown;
  return html`${alive} born alive${still === undefined ? nothing : still === 0 ? ', none dead' : `, ${still} dead`}`;
}
function teats(d: Data): TemplateResult {
  const good = number(d.own.fact['teats']), blind = number(d.own.fact['blind_teats']);
  if (good === undefined) return unknown;
  return html`${good} good${blind === undefined ? nothing : blind === 0 ? ', none blind' : `, ${blind} blind`}`;
}
const bornOn = (x: { born: string | null }): TemplateResult => (x.born ? html`${dayYear(x.born)}` : unknown);

interface Written { what: string; from: string; to: string; who: string; note: TemplateResult | typeof nothing }
/** Who wrote it down, and when: the animal and its parents one by one, those before as one; what is alike in one sentence. */
function written(d: Data): TemplateResult {
  const byId = new Map(d.h.animals.map((x) => [x.id, x])), rows: Written[] = [], said = (f: Fact): string => f.who ?? (f.device ? `not said who, on ${f.device}` : 'not said who');
  const factOf = (id: string | undefined): Fact | undefined => (id === undefined ? undefined : d.facts.get(byId.get(id)?.uid ?? ''));
  const add = (what: string, all: (Fact | undefined)[]): void => {
    const f = all.filter((x) => x !== undefined), at = f.map((x) => x.recorded).sort();
    if (f.length === 0) return;
    const first = f[0]!, last = (first.changes ?? []).reduce((x, y) => (Date.parse(y.recorded) > Date.parse(x.recorded) ? y : x), { recorded: first.recorded, who: first.who });
    rows.push({ what, from: dayYear(at[0]!), to: dayYear(at.at(-1)!), who: [...new Set(f.map(said))].join(', '), note: f.length === 1 && last.recorded !== first.recorded ? html`; mended ${dayYear(last.recorded)}, ${name(last.who ?? 'not said who')}` : nothing });
  };
  const at = (k: number): string | undefined => d.h.family.members.find((m) => m.index === k)?.id, before = [...new Set(d.h.family.members.filter((m) => m.generation > 1).map((m) => m.id))];
  add('this animal', [d.own]);
  add('its sire', [factOf(at(2))]);
  add('its dam', [factOf(at(3))]);
  add(`${plural(before.length, 'ancestor')} before them`, before.map(factOf));
  add('the litter it was born in', [d.litter]);
  const groups: Written[][] = []; // what is alike stands together
  for (const r of rows) { const g = groups.find(([x]) => x!.from === r.from && x!.to === r.to && x!.who === r.who && x!.note === nothing && r.note === nothing); if (g) g.push(r); else groups.push([r]); }
  const joined = (g: Written[]): string => capital(g.map((r, i) => `${i === 0 ? '' : i === g.length - 1 ? ' and ' : ', '}${r.what}`).join(''));
  return html`<ul class="written">${groups.map((g) => html`<li>${joined(g)}: written down ${g[0]!.from === g[0]!.to ? html`on ${g[0]!.from}` : html`from ${g[0]!.from} to ${g[0]!.to}`}, by ${name(g[0]!.who)}${g[0]!.note}.</li>`)}</ul>`;
}

/* ---- the sheet */

/** Beside a name: near ones with all, far ones with the year. */
function detail(byId: Map<string, Animal>, m: Member): TemplateResult {
  const x = byId.get(m.id), tag = x?.tag ? html`tag <bdi>${x.tag}</bdi>` : nothing, sep = x?.tag && m.born ? ', ' : nothing;
  if (m.generation > 2) return html`${tag}${sep}${m.born ? m.born.slice(0, 4) : nothing}`;
  return html`${tag}${sep}${m.born ? html`born ${m.generation === 1 ? dayYear(m.born) : m.born.slice(0, 4)}` : nothing}${x?.breeds_say ? html`<br>${tidy(x.breeds_say)}` : nothing}${m.generation === 1 && m.f ? html`<br>F ${percent(m.f)}` : nothing}`;
}
function facts(d: Data): TemplateResult {
  const a = d.a, row = (what: string, says: TemplateResult | string): TemplateResult => html`<div><dt>${what}</dt><dd>${says}</dd></div>`;
  const own = a.is === 'sow' && a.parity !== null ? html`${plural(a.parity, 'litter')}${a.parity && d.meanLitter !== null ? html`, ${d.meanLitter.toFixed(1)} born alive on average` : nothing}` : undefined;
  return html`<dl class="who">${row('name', html`<b>${name(a.name)}</b>`)}${row('tag or notch', a.tag ? html`<bdi>${a.tag}</bdi>` : unknown)}${row('is', `${a.is}, ${a.sex === 'm' ? 'male' : 'female'}`)}${row('born', bornOn(a))}${row('breed', a.breeds_say ? html`${tidy(a.breeds_say)}` : unknown)}
${row('litter at birth', bornIn(d))}${row('teats', teats(d))}${own ? row('own litters', own) : nothing}${a.here ? nothing : row('stands', html`${capital(a.gone ?? 'not here')}`)}</dl>`;
}
function view(d: Data): TemplateResult {
  const f = d.h.family, byId = new Map(d.h.animals.map((x) => [x.id, x])), n = numbers(f), odd = d.h.findings.filter((x) => x.id === d.a.id || x.id === d.a.sire || x.id === d.a.dam);
  const mine = farmName() || 'this farm';
  return html`<div class="screenonly lead">${paperButtons(html`<a class="btn" href=${`/herd/${encodeURIComponent(d.a.uid)}`}>Back to the family</a>`)}</div>
<div class=${`sheet cert ${paperSize()}`}><div class="sh"><h1>Pedigree of ${name(d.a.name)}</h1><p><b>${name(mine)}</b> · as recorded on ${dayYear(d.on)}${d.invented ? ' · this farm is invented: for show only' : ''}</p></div>
<p class="own"><b>The breeder’s own statement. No breed society’s certificate, no paper on health or medicine.</b></p>
<div class=${d.notches ? 'whoears' : ''}>${facts(d)}${ears(d.notches)}</div>
<h2>Ancestors</h2>${f.known ? tree(f, { label: `Ancestors of ${f.name}, to four generations`, from: 'parents', last: 'their parents', detail: (m) => detail(byId, m) }) : html`<p>No parent is recorded.</p>`}
<p class="sm">□ male, ○ female; sire above, dam below.${n.size ? ' Double frame: on both sides; same number, same animal.' : ''}</p>
<div class="beside"><section class="whole"><h2>Inbreeding: ${percent(f.f)}</h2><p>${f.common.length ? html`Sire and dam are kin through ${f.common.slice(0, 4).map((x, i) => html`${i ? ', ' : ''}${name(x.name)}${numberOf(n.get(x.id))} ${percent(x.part)}`)}${f.common.length > 4 ? `, ${plural(f.common.length - 4, 'other')} with less` : ''}.` : tidy(f.says)} For comparison: the young of full brother and sister have 25${'\u202f'}%.</p></section>
<section class="whole"><h2>How much is known</h2><p>${known(f)} ${trust[d.a.sure] ?? ''} What is not recorded counts as not kin. Entry is for the breed society to decide.</p></section></div>
<section class="whole"><h2>Written down</h2>${written(d)}${odd.length ? html`<p class="sm">To look at in the records: ${odd.map((x) => html`<bdi>${x.says}</bdi> `)}</p>` : nothing}</section>
<section class="whole signed">${d.meat ? html`<p class="over">Not for meat before ${dayYear(d.meat)}, as it was recorded. The vet and the label decide.</p>` : nothing}<p>I state that this is what is recorded here of ${name(d.a.name)}${d.a.tag ? html`, tag <bdi>${d.a.tag}</bdi>` : nothing}, to the best of my knowledge.</p>
<div class="fills">${fillIn('Breeder', d.keepers.join(', '))}${fillIn('Address, herd number')}${fillIn('Signature')}${fillIn('Date')}${fillIn('Buyer')}${fillIn('Date handed over')}</div></section></div>`;
}

export const page: Page<Data | null> = {
  path: 'certificate', title: 'Paper for a buyer', menu: false,
  async load(place) { return place.rest ? load(place.rest) : null; },
  view: (d) => (d ? view(d) : html`<div class="lead"><div><h1>Paper for a buyer</h1><p>Choose the animal in the herd, then press <b>Paper for a buyer</b>.</p><div class="acts"><a class="btn do" href="/herd">Herd</a></div></div></div>`),
  thumb: (d) => html`<button class="do" @click=${() => print()}>Print</button><a class="btn" href=${d ? `/herd/${encodeURIComponent(d.a.uid)}` : '/herd'}>Family</a>`,
};
