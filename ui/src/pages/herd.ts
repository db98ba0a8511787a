// SPDX-License-Identifier: GPL-3.0-or-later
// Herd: who is who? One line an animal, by place, searched by any part of name, tag or breed; and the family of one.
import { html, nothing, type TemplateResult } from 'lit-html';
import { ask } from '../base/api.ts';
import { go, type Page } from '../base/page.ts';
import { caution } from '../part/caution.ts';
import { ears, earsOf, type Ears } from '../part/ears.ts';
import { house } from '../part/house.ts';
import { percent, restsOn, type Finding, type RestsOn } from '../part/kin.ts';
import { dayYear, name, plural, tidy } from '../part/words.ts';

interface Animal { name: string; uid: string; tag: string | null; sex: string; is: string; here: boolean; gone: string | null; place: string | null; lies: string | null; next: string | null; next_on: string | null; f_says: string; breeds_say: string | null }
interface Member { position: string; generation: number; index: number; name: string; id: string; sex: string; born: string | null; breed: string | null; f: number | null; times: number; common: boolean }
interface Family { name: string; generations: number; f_says: string; says: string; known: number; places: number; different: number; members: Member[]; common: { name: string; id: string; part: number }[] }
interface Herd { at: string; here: number; says: string; animals: Animal[]; family: Family | null; rests_on: RestsOn; findings: Finding[]; record: string[]; cautions: string[] }
interface Data { h: Herd; notches: Map<string, Ears>; of: string; search: string }

const link = (a: Animal): TemplateResult => html`<a href=${`/herd/${encodeURIComponent(a.uid)}`}>${name(a.name)}</a>`;
function line(a: Animal, d: Data): TemplateResult {
  return html`<tr><th scope="row">${link(a)}</th><td>${a.is}</td><td>${a.tag ? html`<bdi>${a.tag}</bdi> ${ears(d.notches.get(a.tag), { small: true })}` : '–'}</td><td>${a.gone ?? a.lies ?? '–'}</td><td>${a.next ? html`${tidy(a.next)}${a.next_on ? html`, about ${dayYear(a.next_on)}` : nothing}` : '–'}</td></tr>`;
}
function animals(d: Data): TemplateResult[] {
  const places = new Map<string, Animal[]>();
  for (const a of d.h.animals) { const p = a.here ? a.place ?? 'Place not written down' : 'Not here'; places.set(p, [...(places.get(p) ?? []), a]); }
  return [...places].map(([p, all]) => html`<section class="sec"><h2>${name(p)} <span class="quiet">${all.length}</span></h2><div class="scroll" tabindex="0" role="group" aria-label=${p}><table class="bynames"><thead><tr><th scope="col">name</th><th scope="col">is</th><th scope="col">tag</th><th scope="col">lies</th><th scope="col">next</th></tr></thead><tbody>${all.map((a) => line(a, d))}</tbody></table></div></section>`);
}

/** Generations side by side, sires' sides above. A common ancestor has a double frame and its number. */
function family(f: Family, a: Animal | undefined, d: Data): TemplateResult {
  const number = new Map<string, number>();
  for (const m of f.members) if (m.common && !number.has(m.id)) number.set(m.id, number.size + 1);
  const at = new Map(f.members.map((m) => [m.index, m])), rows = 2 ** f.generations;
  const words = (k: number): string => (k === 1 ? 'herself or himself' : [...k.toString(2).slice(1)].map((b) => (b === '0' ? 'sire' : 'dam')).join('’s '));
  const box = (k: number): TemplateResult => {
    const m = at.get(k);
    return m ? html`<div class=${m.common ? 'anc common' : 'anc'}><span class="unseen">${words(k)}: </span><b>${m.sex === 'm' ? '□' : '○'} ${name(m.name)}</b>${number.has(m.id) ? html` <span class="tagno">${number.get(m.id)}</span>` : nothing}${m.born ? html`<small>${m.born.slice(0, 4)}${m.f ? html`, F ${percent(m.f)}` : nothing}</small>` : nothing}</div>` : html`<div class="anc bare"><span class="unseen">${words(k)}: </span>not known</div>`;
  };
  const column = (g: number): TemplateResult => html`<td class="gen"><div class=${`gen g${g}of${f.generations}`}>${Array.from({ length: 2 ** g }, (_, i) => box(2 ** g + i))}</div></td>`;
  return html`<section class="sec family"><h2>Family of ${name(f.name)}</h2>${a ? html`<p>${a.is}${a.tag ? html`, tag <bdi>${a.tag}</bdi>` : nothing}. ${tidy(a.breeds_say ?? '')}</p>${a.tag ? ears(d.notches.get(a.tag)) : nothing}` : nothing}<p>Inbreeding ${tidy(f.f_says)}. ${tidy(f.says)}</p>
<div class="scroll" tabindex="0" role="group" aria-label=${`Ancestors of ${f.name}, ${f.generations} generations`}><table class="tree"><caption class="unseen">Ancestors, one generation a column; ${rows} in the last</caption><thead><tr>${Array.from({ length: f.generations + 1 }, (_, g) => html`<th scope="col">${g === 0 ? 'animal' : g === 1 ? 'parents' : g === 2 ? 'grandparents' : `${g} back`}</th>`)}</tr></thead><tbody><tr>${Array.from({ length: f.generations + 1 }, (_, g) => column(g))}</tr></tbody></table></div>
<p class="small">□ male, ○ female. Double frame with a number: an ancestor of sire and dam both; the same number is the same animal. ${f.known} of ${f.places} places known, ${plural(f.different, 'animal')} in them.</p>
${f.common.length ? html`<ul>${f.common.slice(0, 12).map((c) => html`<li>${number.has(c.id) ? html`<span class="tagno">${number.get(c.id)}</span> ` : nothing}${name(c.name)}: ${percent(c.part)}</li>`)}</ul>` : nothing}<div class="acts screen"><a class="btn" href=${`/sow/${encodeURIComponent(f.name)}`}>What else is known</a><button @click=${() => print()}>Print</button><a class="btn" href="/herd">All animals</a></div>
<p class="paper small">On paper only; check with your breed society.</p></section>`;
}

function view(d: Data): TemplateResult {
  const h = d.h, f = h.family;
  const submit = (e: Event): void => { e.preventDefault(); const v = new FormData(e.target as HTMLFormElement).get('q'); go(`/herd?search=${encodeURIComponent(String(v ?? ''))}`); };
  if (!f && h.here === 0 && h.animals.length === 0 && !d.search) return html`<div class="lead"><div><h1>Herd</h1><p>No animal is written down yet. Two parents for each, as far back as you know.</p><div class="acts"><a class="btn do" href="/records/animal">Write an animal</a></div></div></div>`;
  if (f) return html`<div class="lead"><div><h1>${name(f.name)}</h1></div></div>${family(f, h.animals.find((a) => a.uid === d.of || a.name === f.name), d)}<div class="sec screen">${restsOn(h.rests_on, h.findings, h.record)}</div>${caution(h.cautions)}`;
  return html`<div class="lead"><div><h1>Herd</h1><p>${tidy(h.says)}</p></div></div><form class="finder screen" role="search" @submit=${submit}><label for="q">Name, tag or breed</label> <input id="q" name="q" type="search" autocomplete="off" .value=${d.search}><button>Search</button></form>
${h.animals.length ? animals(d) : html`<p class="note">Nobody here has “<bdi>${d.search}</bdi>” in name, tag or breed. <a href="/herd">Show all</a></p>`}<div class="sec">${restsOn(h.rests_on, h.findings, h.record)}</div>${caution(h.cautions)}`;
}

export const page: Page<Data> = {
  path: 'herd', title: 'Herd', menu: true,
  async load(place) {
    await house();
    const of = place.rest, search = place.query.get('search') ?? '';
    const h = (await ask<Herd>('herd', of ? { family: of, generations: 4, all: true } : { search: search || undefined })).answer, notches = new Map<string, Ears>();
    await Promise.all(h.animals.map(async (a) => { if (!a.tag || (of && a.uid !== of && a.name !== of)) return; const e = await earsOf(a.tag); if (e) notches.set(a.tag, e); }));
    return { h, notches, of, search };
  },
  view,
  thumb(): TemplateResult { return html`<a class="btn do" href="/records/animal">Write an animal</a><a class="btn" href="/pairings">Pairings</a>`; },
};
