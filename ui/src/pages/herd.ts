// SPDX-License-Identifier: GPL-3.0-or-later
// Herd: who is who? One line an animal, by place, searched by any part of name, tag or breed; and the family of one.
import { html, nothing, type TemplateResult } from 'lit-html';
import { ask } from '../base/api.ts';
import { go, type Page } from '../base/page.ts';
import { caution } from '../part/caution.ts';
import { ears, earsOfAll, type Ears } from '../part/ears.ts';
import { house } from '../part/house.ts';
import { percent, restsOn, type Finding, type RestsOn } from '../part/kin.ts';
import { numberOf, numbers, tree, type Family, type Member } from '../part/tree.ts';
import { capital, day, dayYear, farmName, name, plural, tidy } from '../part/words.ts';

interface Animal { name: string; uid: string; tag: string | null; sex: string; is: string; here: boolean; gone: string | null; place: string | null; group: string | null; lies: string | null; next: string | null; next_on: string | null; f_says: string; breeds_say: string | null }
interface Herd { at: string; here: number; says: string; animals: Animal[]; family: Family | null; rests_on: RestsOn; findings: Finding[]; record: string[]; cautions: string[] }
interface Data { h: Herd; notches: Map<string, Ears>; of: string; search: string }

const link = (a: Animal): TemplateResult => html`<a href=${`/herd/${encodeURIComponent(a.uid)}`}>${name(a.name)}</a>`;
function line(a: Animal, d: Data): TemplateResult {
  return html`<tr><th scope="row">${link(a)}</th><td>${a.is}</td><td class=${a.tag ? '' : 'none'}>${a.tag ? html`<bdi>${a.tag}</bdi>${ears(d.notches.get(a.tag), { small: true })}` : '–'}</td><td class=${a.gone || a.lies || (a.is === 'boar' && a.group) ? '' : 'none'}>${a.gone ?? a.lies ?? (a.is === 'boar' && a.group ? html`with the ${name(a.group)}` : '–')}</td><td class=${a.next ? '' : 'none'}>${a.next ? html`${capital(tidy(a.next))}${a.next_on ? html` about ${Math.abs(Date.parse(a.next_on) - Date.parse(d.h.at)) < 200 * 24 * 3600e3 ? day(a.next_on) : dayYear(a.next_on)}` : nothing}` : '–'}</td></tr>`;
}
function animals(d: Data): TemplateResult[] {
  const places = new Map<string, Animal[]>(), unknown = 'Place not written down', away = 'Not here', last = (p: string): number => (p === away ? 2 : p === unknown ? 1 : 0);
  for (const a of d.h.animals) { const p = a.here ? a.place ?? unknown : away; places.set(p, [...(places.get(p) ?? []), a]); }
  return [...places].sort(([p], [q]) => last(p) - last(q)).map(([p, all]) => html`<section class="sec"><h2>${name(p)} <span class="quiet">${all.length}</span></h2><div class="scroll" tabindex="0" role="group" aria-label=${p}><table class="bynames"><thead><tr><th scope="col">Name</th><th scope="col">Kind</th><th scope="col">Tag</th><th scope="col">Lies</th><th scope="col">Next</th></tr></thead><tbody>${all.map((a) => line(a, d))}</tbody></table></div></section>`);
}

/** What stands in a box of the tree beside the name. */
const born = (m: Member): TemplateResult | typeof nothing => (m.born || m.f ? html`${m.born ? m.born.slice(0, 4) : nothing}${m.f ? html`${m.born ? ', ' : nothing}F ${percent(m.f)}` : nothing}` : nothing);
function family(f: Family, a: Animal | undefined, d: Data): TemplateResult {
  const number = numbers(f), uid = a?.uid ?? d.of;
  return html`<div class="lead"><div><h1>Family of ${name(f.name)}</h1><p>Inbreeding ${tidy(f.f_says)}. ${tidy(f.says)}</p>${a ? html`<p class="small">${capital(a.is)}${a.tag ? html`, tag <bdi>${a.tag}</bdi>` : nothing}${a.breeds_say ? html`. ${tidy(a.breeds_say)}` : nothing}${a.gone ? html`. ${capital(a.gone)}` : nothing}.</p>` : nothing}
<div class="acts screen"><a class="btn do" href=${`/certificate/${encodeURIComponent(uid)}`}>Paper for a buyer</a>${a && a.here && a.is !== 'boar' && a.is !== 'barrow' ? html`<a class="btn" href=${`/sow/${encodeURIComponent(uid)}`}>What else is known</a>` : nothing}<button @click=${() => print()}>Print</button><a class="btn" href="/herd">All animals</a></div></div>${a?.tag ? ears(d.notches.get(a.tag)) : nothing}</div>
<section class="sec family"><h2 class="unseen">Ancestors</h2>${tree(f, { label: `Ancestors of ${f.name}, ${f.generations} generations`, from: 'animal', detail: born })}
<p class="small">□ male, ○ female; sire above, dam below. ${number.size ? 'Double frame with a number: an ancestor of sire and dam both; the same number is the same animal. ' : ''}${f.known} of ${f.places} places known, ${plural(f.different, 'animal')} in them.</p>
${f.common.length ? html`<h3 class="kinby">Through whom sire and dam are kin</h3><ul>${f.common.slice(0, 12).map((c) => html`<li>${name(c.name)}${numberOf(number.get(c.id))}: ${percent(c.part)}</li>`)}${f.common.length > 12 ? html`<li>${plural(f.common.length - 12, 'other')}, with less</li>` : nothing}</ul>` : nothing}
<p class="paper small">${farmName()}. On paper only; check with your breed society.</p></section>`;
}

function view(d: Data): TemplateResult {
  const h = d.h, f = h.family;
  const submit = (e: Event): void => { e.preventDefault(); const v = new FormData(e.target as HTMLFormElement).get('q'); go(`/herd?search=${encodeURIComponent(String(v ?? ''))}`); };
  if (!f && h.here === 0 && h.animals.length === 0 && !d.search) return html`<div class="lead"><div><h1>Herd</h1><p>No animal is written down yet. Two parents for each, as far back as you know.</p><div class="acts"><a class="btn do" href="/records/animal">Write an animal</a></div></div></div>`;
  if (f) return html`${family(f, h.animals.find((a) => a.uid === d.of || a.name === f.name), d)}<div class="sec screen">${restsOn(h.rests_on, h.findings, h.record)}</div>${caution(h.cautions)}`;
  return html`<div class="lead"><div><h1>Herd</h1><p>${tidy(h.says)}</p></div></div><form class="finder screen" role="search" @submit=${submit}><label for="q">Name, tag or breed</label> <input id="q" name="q" type="search" autocomplete="off" .value=${d.search}><button>Search</button></form>
${h.animals.length ? animals(d) : html`<p class="note">Nobody here has “<bdi>${d.search}</bdi>” in name, tag or breed. <a href="/herd">Show all</a></p>`}<div class="sec">${restsOn(h.rests_on, h.findings, h.record)}</div>${caution(h.cautions)}`;
}

export const page: Page<Data> = {
  path: 'herd', title: 'Herd', menu: true,
  async load(place) {
    await house();
    const of = place.rest, search = place.query.get('search') ?? '';
    const h = (await ask<Herd>('herd', of ? { family: of, generations: 4, all: true } : { search: search || undefined })).answer;
    return { h, notches: await earsOfAll(h.animals.filter((a) => !of || a.uid === of || a.name === of).map((a) => a.tag)), of, search };
  },
  view,
  thumb(): TemplateResult { return html`<a class="btn do" href="/records/animal">Write an animal</a><a class="btn" href="/keep">Who stays</a>`; },
};
