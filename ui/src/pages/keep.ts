// SPDX-License-Identifier: GPL-3.0-or-later
// Keep: which sows and gilts stay, which go? In order, each with what speaks for and against her and what is not known; where the line
// falls when so many have a place; what a reason counts can be moved. The person decides.
import { html, nothing, type TemplateResult } from 'lit-html';
import { get } from '../base/api.ts';
import { go, type Page } from '../base/page.ts';
import { caution } from '../part/caution.ts';
import { house } from '../part/house.ts';
import { percent, restsOn, type Finding, type RestsOn } from '../part/kin.ts';
import { capital, dayYear, farmName, name, plural, tidy } from '../part/words.ts';

interface Reason { key: string; label: string; sign: string; says: string; points: number }
interface Female {
  rank: number; name: string; uid: string; tag: string | null; is: string; decision: string | null; close: string | null; held: string | null; not_before: string | null;
  score: number; sd: number; says: string; danger: boolean; vet_first: boolean; reasons: Reason[]; notes: string[];
}
interface Weight { key: string; label: string; says: string; weight: number }
interface Keep {
  at: string; says: string; places: number | null; females: Female[]; lines_lost: string[]; mean_kinship: number | null; mean_kinship_then: number | null; weights: Weight[];
  rests_on: RestsOn; findings: Finding[]; record: string[]; assumed: string[]; cautions: string[];
}
interface Data { k: Keep; places: string; weigh: string[] }

const signs: readonly (readonly [string, string, string])[] = [['much for', '+', 'much for her'], ['for', '+', 'for her'], ['much against', '−', 'much against her'], ['against', '−', 'against her'], ['even', '=', 'even with the herd']];
const score = (n: number): string => `${n < 0 ? '−' : '+'}${Math.abs(n).toFixed(1)}`;

/** The page for other places or other weights; what counts as it usually does is left out. */
function address(places: string, weigh: readonly string[]): string {
  const q = new URLSearchParams();
  if (places) q.set('places', places);
  for (const w of weigh) q.append('weigh', w);
  const s = q.toString();
  return s ? `/keep?${s}` : '/keep';
}

function reasons(f: Female): TemplateResult {
  const unknown = f.reasons.filter((r) => r.sign === 'not known');
  return html`<ul class="plainlist reasons">${signs.map(([sign, mark, words]) => f.reasons.filter((r) => r.sign === sign).map((r) => html`<li class=${`r-${mark === '=' ? 'even' : 'tells'}`} data-key=${r.key}><span class="sign" role="img" aria-label=${`${words}:`}>${mark}${sign.startsWith('much') ? mark : ''}</span><span>${capital(tidy(r.says))}</span></li>`))}${unknown.length ? html`<li class="r-even"><span class="sign" role="img" aria-label="not known:">?</span><span>Not known: ${unknown.map((r) => r.label).join(', ')}</span></li>` : nothing}${f.notes.map((n) => html`<li class="r-even"><span class="sign" role="img" aria-label="noted, counts for nothing here:">#</span><bdi>${n}</bdi></li>`)}</ul>`;
}
function female(f: Female): TemplateResult {
  return html`<li class="female" value=${f.rank} data-uid=${f.uid}><h3><a href=${`/sow/${encodeURIComponent(f.uid)}`}>${name(f.name)}</a> <span class="quiet">${f.is}${f.tag ? html`, tag <bdi>${f.tag}</bdi>` : nothing}</span>${f.decision ? html` <b class="decision">${f.decision}</b>` : nothing}</h3>
${f.danger ? html`<p class="fault"><svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>Written down as fierce: a danger to people now. Do not wait for a list.</span></p>` : nothing}${f.vet_first ? html`<p class="fault"><svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>Lame, or near it: the vet first.</span></p>` : nothing}
<p>${capital(tidy(f.says))}. <span class="small">Score ${score(f.score)}, give or take ${f.sd.toFixed(1)}.</span></p>${f.held && f.decision && f.decision !== 'stays' ? html`<p>${capital(tidy(f.held))}.</p>` : nothing}${f.close ? html`<p>${capital(tidy(f.close))}.</p>` : nothing}${reasons(f)}</li>`;
}
function list(k: Keep): TemplateResult {
  const part = (title: string, some: readonly Female[]): TemplateResult | typeof nothing => (some.length ? html`<section class="sec staying"><h2>${title} <span class="quiet">${some.length}</span></h2><ol class="females">${some.map(female)}</ol></section>` : nothing);
  if (k.places === null) return html`${part('In order of what speaks for them', k.females)}`;
  return html`${part('Above the line', k.females.filter((f) => f.decision === 'stays'))}${part('Below the line', k.females.filter((f) => f.decision !== 'stays'))}`;
}
function asking(d: Data): TemplateResult {
  const submit = (e: Event): void => {
    e.preventDefault();
    const v = new FormData(e.target as HTMLFormElement), usual = new Map(d.k.weights.map((w) => [w.key, w.weight]));
    const moved = d.k.weights.filter((w) => Number(v.get(w.key)) !== usual.get(w.key)).map((w) => `${w.key}=${Number(v.get(w.key))}`), kept = d.weigh.filter((w) => !moved.some((m) => m.split('=')[0] === w.split('=')[0]));
    go(address(String(v.get('places') ?? ''), [...kept, ...moved]));
  };
  return html`<section class="sec screen"><h2 class="unseen">How many, and what counts</h2><form class="keepform" @submit=${submit}><div class="acts start"><label>Sows and gilts the ground carries next year <input type="number" name="places" min="1" max="5000" inputmode="numeric" .value=${d.places}></label><button class="do">Draw the line</button>${d.places || d.weigh.length ? html`<a class="btn" href="/keep">As it usually counts</a>` : nothing}</div>
<details ?open=${d.weigh.length > 0}><summary>What counts how much</summary><p class="small">0 counts nothing, 10 is most. In the same row: how the herd stands.</p><div class="weights">${d.k.weights.map((w) => html`<label><span><b>${capital(w.label)}</b> <span class="small">${tidy(w.says)}</span></span><input type="number" name=${w.key} min="0" max="10" step="0.25" inputmode="decimal" .value=${String(w.weight)} required></label>`)}</div></details></form></section>`;
}
function view(d: Data): TemplateResult {
  const k = d.k;
  if (k.females.length === 0) return html`<div class="lead"><div><h1>Which stay?</h1><p>${tidy(k.says)}</p><div class="acts"><a class="btn do" href="/records/animal">Write an animal</a></div></div></div>`;
  return html`<div class="lead"><div><h1>Which stay?</h1><p>${k.places === null ? `${plural(k.females.length, 'sow or gilt', 'sows and gilts')}, in order of what speaks for them. Say how many the ground carries next year, and the list shows where the line falls. You decide.` : tidy(k.says)}</p>${k.lines_lost.length ? html`<p>Nobody would be left of ${k.lines_lost.length === 1 ? 'the line' : 'the lines'} of ${k.lines_lost.map((l, i) => html`${i ? ', ' : ''}${name(l)}`)}.</p>` : nothing}${k.mean_kinship === null ? nothing : html`<p class="small">Mean kinship of the herd is ${percent(k.mean_kinship)}${k.mean_kinship_then === null ? nothing : html`; with those above the line alone ${percent(k.mean_kinship_then)}`}.</p>`}</div></div>
${asking(d)}<p class="small signsays">+ for her, − against her, = even with the herd, ? not known, # noted: counts for nothing here. Two signs: much.</p>${list(k)}
<div class="acts pageacts screen"><button @click=${() => print()}>Print the list</button><a class="btn" href="/records/weighing">Write how her legs are</a><a class="btn" href="/pairings">Pairings</a></div>
<div class="sec screen">${restsOn(k.rests_on, k.findings, k.record)}<details><summary>How it is weighed</summary><ul>${k.assumed.map((a) => html`<li>${tidy(a)}</li>`)}</ul></details></div>
<p class="paper small">${farmName()}, ${dayYear(k.at)}. ${plural(k.females.length, 'sow or gilt', 'sows and gilts')}. The list sees no animal: you decide.</p>${caution(k.cautions)}`;
}

export const page: Page<Data> = {
  path: 'keep', title: 'Keep', menu: true,
  async load(place) {
    await house();
    const places = place.query.get('places') ?? '', weigh = place.query.getAll('weigh');
    return { k: await get<Keep>(address(places, weigh).replace('/keep', '/api/keep')), places, weigh };
  },
  view,
  thumb: (): TemplateResult => html`<button class="do" @click=${() => print()}>Print</button><a class="btn" href="/pairings">Pairings</a>`,
};
