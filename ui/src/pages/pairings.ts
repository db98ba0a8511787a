// SPDX-License-Identifier: GPL-3.0-or-later
// Pairings: which boar to which sow? The plan in a sentence, the table of all pairs, one pair put otherwise by press, key or
// drag, what that costs, why, if a boar goes lame, what the founders still give. The house decides the others anew each time.
import { html, nothing, svg, type TemplateResult } from 'lit-html';
import { Refused, ask, get } from '../base/api.ts';
import { redraw, type Page } from '../base/page.ts';
import { newUid, record } from '../base/queue.ts';
import { caution } from '../part/caution.ts';
import { house } from '../part/house.ts';
import { percent, restsOn, saidOf, share, squares, type Finding, type RestsOn } from '../part/kin.ts';
import { capital, dayYear, farmName, list, name, plural, tidy } from '../part/words.ts';

interface Boar { name: string; uid: string; most: number; least: number; most_says: string; sows: string[]; f: number | null; here: boolean }
interface Planned { sow: string; uid: string; boar: string | null; boar_uid: string | null; f: number | null; word: string | null; free_on: string | null; decided: string; why: string }
interface Pair { sow: string; boar: string; f: number | null; squares: number | null; word: string | null; relation: string | null; too_close: boolean; chosen: boolean; forbidden: string | null; says: string }
interface Lame { boar: string; mean_f: number | null; says: string; moves: { sow: string; boar: string; f: number | null }[] }
interface Pairings {
  at: string; from: string; says: string; mean_says: string; infeasible: string | null; mean_f: number | null; worst_f: number | null; chance_mean_f: number | null;
  boars: Boar[]; plan: Planned[]; pairs: Pair[]; why: string[]; if_lame: Lame[]; not_served: { name: string; why: string }[];
  rests_on: RestsOn; findings: Finding[]; record: string[]; cautions: string[];
}
interface Founder { name: string; share: number; lost: boolean; only: string | null; says: string }
interface Founders { says: string; founders: Founder[]; equal_share: number | null; lost: number }
interface Data { p: Pairings; f: Founders | undefined }

/* ---- what the reader put otherwise; the house is asked anew with it */
const fixed = new Map<string, { sow: string; boar: string }>();
let base: Pairings | undefined, shown: Data | undefined, tried: Pairings | undefined, wrong = '', busy = false, keptSays = '', from = '', carried = '', batch = '';
const nameOf = (x: { uid: string }): string => x.uid; // uids: two animals may have one name
async function plan(): Promise<Pairings> {
  const q = new URLSearchParams();
  if (from) q.set('from', from);
  for (const [sow, b] of fixed) q.append('fix', `${sow}=${b.boar}`);
  const s = q.toString();
  return get<Pairings>('/api/pairings' + (s ? '?' + s : ''));
}
let turn = 0;
async function tryPlan(undoKey?: string): Promise<void> {
  const mine = ++turn;
  busy = true; keptSays = ''; redraw();
  try {
    const got = await plan();
    if (mine !== turn) return;
    tried = got; wrong = '';
  } catch (e) {
    if (mine !== turn) return;
    if (undoKey) fixed.delete(undoKey);
    wrong = e instanceof Refused ? e.message : 'The house did not answer. The plan stands as it was; try again in reach.';
  } finally { if (mine === turn) { busy = false; redraw(); } }
}
function put(sow: Planned, boar: Boar): void {
  fixed.set(nameOf(sow), { sow: sow.sow, boar: nameOf(boar) });
  void tryPlan(nameOf(sow));
}
function putBack(uid?: string): void {
  if (uid) fixed.delete(uid); else fixed.clear();
  if (fixed.size) { void tryPlan(); return; }
  turn++; tried = undefined; wrong = ''; busy = false; redraw();
}
async function keep(p: Pairings): Promise<void> {
  busy = true; batch = newUid(); redraw();
  let waits = 0, n = 0;
  try {
    for (const x of p.plan) {
      if (!x.boar_uid || x.decided === 'settled') continue;
      const r = await record('pairing', { sow: x.uid, boar: x.boar_uid, from: p.from, decided: fixed.has(x.uid) ? 'by-hand' : 'reckoned' }, { batch });
      n++; if (r.status === 'waiting') waits++;
    }
    keptSays = waits ? `${plural(waits, 'pair')} wait on this device and go to the house as soon as it answers.` : `${plural(n, 'pair')} kept, for the season from ${dayYear(p.from)}. They can be undone under Records.`;
    fixed.clear(); tried = undefined; wrong = '';
  } catch (e) { wrong = e instanceof Error ? `${n ? `${plural(n, 'pair')} kept; then: ` : ''}${e.message}` : 'Not kept.'; }
  busy = false; redraw();
}

/* ---- the table */
function cell(s: Planned, b: Boar, x: Pair | undefined): TemplateResult {
  if (!x) return html`<td>–</td>`;
  const word = x.relation && x.too_close ? x.relation : x.word ?? 'not known', no = x.too_close || x.forbidden !== null, hand = fixed.has(s.uid) && x.chosen;
  const drop = (e: DragEvent): void => { if (carried === s.uid && !x.forbidden) { e.preventDefault(); if (e.type === 'drop') { carried = ''; put(s, b); } } };
  const inside = html`${x.chosen ? html`<span class="tag" draggable="true" @dragstart=${(e: DragEvent) => { carried = s.uid; e.dataTransfer?.setData('text/plain', s.sow); }} @dragend=${() => { carried = ''; }}>${hand ? 'by hand' : s.decided === 'settled' ? 'settled' : 'chosen'}</span>` : nothing}<b>${percent(x.f)}</b>${squares(x.squares)}<small>${no ? '✕ ' : nothing}${x.forbidden ? 'cannot be' : x.too_close ? `too close, ${word}` : word}</small>`;
  const press = !x.chosen && !x.forbidden && s.decided !== 'settled';
  return html`<td class=${x.chosen ? 'pick' : no ? 'no' : ''} @dragover=${drop} @drop=${drop}>${press ? html`<button class="cell" aria-label=${`${s.sow} to ${b.name}: ${percent(x.f)}, ${no ? 'too close, ' : ''}${word}. Put her to him.`} @click=${() => put(s, b)}>${inside}</button>` : inside}</td>`;
}
function table(p: Pairings): TemplateResult {
  const of = new Map(p.pairs.map((x) => [`${x.sow}\n${x.boar}`, x]));
  return html`<div class="scroll" tabindex="0" role="group" aria-label="Table of pairings"><table class="matrix"><caption class="unseen">Expected inbreeding of the litter for each sow and boar. Press a pair to put her to him.</caption>
<thead><tr><th scope="col">sow</th>${p.boars.map((b) => html`<th scope="col">${name(b.name)}<br><small class="quiet">${b.most_says}</small></th>`)}</tr></thead>
<tbody>${p.plan.map((s) => html`<tr><th scope="row"><a href=${`/sow/${encodeURIComponent(s.sow)}`}>${name(s.sow)}</a></th>${p.boars.map((b) => cell(s, b, of.get(`${s.sow}\n${b.name}`)))}</tr>`)}</tbody></table></div>`;
}
const change = (was: number | null, is: number | null): string => (was === null || is === null ? 'cannot be said' : Math.abs(is - was) < 0.0005 ? `stays at ${percent(is)}` : `${is > was ? 'rises' : 'falls'} from ${percent(was)} to ${percent(is)}`);
function handLine(p: Pairings): TemplateResult {
  const others = base ? p.plan.filter((s) => !fixed.has(s.uid) && base!.plan.find((o) => o.uid === s.uid)?.boar_uid !== s.boar_uid) : [];
  return html`<div class="note" role="status">${wrong ? html`<p><svg class="mk warnmk" aria-hidden="true"><use href="#warn"/></svg> <b>${wrong}</b></p>` : nothing}${keptSays ? html`<p><b>${keptSays}</b></p>` : nothing}
${fixed.size ? html`<p><b>Put by hand:</b> ${[...fixed].map(([uid, x], i) => html`${i ? ', ' : ''}${name(x.sow)} to ${name(p.boars.find((b) => b.uid === x.boar)?.name ?? x.boar)} <button class="inlinebtn screen" @click=${() => putBack(uid)}>Put back</button>`)}. ${busy ? 'The others are being decided again.' : html`The mean ${change(base?.mean_f ?? null, p.mean_f)}. ${others.length ? html`Decided again: ${others.map((s, i) => html`${i ? ', ' : ''}${name(s.sow)} to ${name(s.boar ?? 'none')}`)}.` : 'No other pair changes.'}`}</p>` : keptSays || wrong ? nothing : html`<p class="screen">Press another boar’s figure in a row, or drag the word, to put a sow to him. The others are decided again.</p>`}</div>`;
}

/** What each founder still gives, the lost dashed. */
function founders(f: Founders): TemplateResult {
  const top = Math.max(...f.founders.map((x) => x.share), f.equal_share ?? 0, 0.01), x = (v: number): number => Math.round((v / top) * 1960) / 10 + 1;
  const bar = (b: Founder): TemplateResult => html`<svg viewBox="0 0 200 16" preserveAspectRatio="none" aria-hidden="true">${b.lost ? svg`<rect class="f-none l-ink w1 dots" x="1" y="2" width=${f.equal_share !== null ? x(f.equal_share) - 1 : 197} height="12"/>` : svg`<rect class="f-ink2" x="1" y="2" width=${x(b.share)} height="12"/>`}${f.equal_share !== null ? svg`<line class="l-strawedge w2 dash" x1=${x(f.equal_share)} x2=${x(f.equal_share)} y1="0" y2="16"/>` : nothing}</svg>`;
  return html`<h2>What the founders still give</h2><p>${tidy(f.says)}</p><ul class="founders">${f.founders.map((b) => html`<li><b>${name(b.name)}</b>${bar(b)}<span>${b.lost ? 'lost: no living descendant' : html`${share(b.share)}${b.only ? html` only through ${name(b.only)}` : nothing}`}</span></li>`)}</ul>${f.equal_share !== null ? html`<p class="small">Dashes: equal shares, ${share(f.equal_share)} each.</p>` : nothing}`;
}

/** The same plan on paper, with what was put by hand. */
function listAddress(p: Pairings): string {
  const q = new URLSearchParams({ from: p.from });
  for (const [sow, b] of fixed) q.append('fix', `${sow}=${b.boar}`);
  return `/pairing-list?${q}`;
}
function view(d: Data): TemplateResult {
  if (shown !== d) { shown = d; base = d.p; if (fixed.size === 0) tried = undefined; }
  const p = fixed.size && tried ? tried : d.p;
  const none = p.boars.length === 0 || p.plan.length === 0, names = [...p.boars.map((b) => b.name), ...p.plan.map((x) => x.sow)];
  if (none) return html`<div class="lead"><div><h1>Which boar to which sow</h1><p>${p.boars.length === 0 ? 'No boar is written down here.' : 'No sow or gilt here can be served.'} Two parents for each animal, as far back as you know, and the boars that may work: then the table stands here.</p><div class="acts"><a class="btn do" href="/records/animal">Write an animal</a></div></div></div>`;
  return html`<div class="lead"><div><h1>Which boar to which sow</h1><p>${p.boars.filter((b) => b.sows.length).map((b) => html`<b>${name(b.name)}</b> to ${list(b.sows)}. `)}${p.mean_f !== null ? html`Mean expected inbreeding of the litters <b>${percent(p.mean_f)}</b>; left to chance it would be ${percent(p.chance_mean_f)}.` : nothing}</p>${p.infeasible ? html`<p class="strong"><svg class="mk warnmk" aria-hidden="true"><use href="#warn"/></svg> ${tidy(p.infeasible)}</p>` : nothing}</div><p class="small">Season from ${dayYear(p.from)}</p></div>
<div class="fig">${handLine(p)}<div class="acts screen"><button class="do" ?disabled=${busy} @click=${() => void keep(p)}>Keep this plan</button>${fixed.size ? html`<button ?disabled=${busy} @click=${() => putBack()}>Put all back</button>` : nothing}<a class="btn" href=${listAddress(p)}>List for the gate</a><button @click=${() => print()}>Print</button></div></div>
<div class="cols two"><div class="fig">${table(p)}<p class="small">Eight squares: each is one thirty-second, together a quarter. ✕: nearer kin than need be.</p>
${p.not_served.length ? html`<details><summary>${capital(plural(p.not_served.length, 'sow or gilt', 'sows and gilts'))} left out, and why</summary><ul>${p.not_served.map((x) => html`<li><b>${name(x.name)}</b>: ${x.why}</li>`)}</ul></details>` : nothing}${restsOn(p.rests_on, p.findings, p.record)}</div>
<div class="fig"><h2>Why not the closest boar to hand</h2><ul class="why">${p.why.map((x) => html`<li>${saidOf(x, names)}</li>`)}</ul><details><summary>Sow by sow</summary><ul>${p.plan.map((s) => html`<li>${saidOf(s.why, names)}</li>`)}</ul></details>
<h2>If he goes lame</h2><ul class="why">${p.if_lame.map((x) => html`<li>${saidOf(x.says, names)}</li>`)}</ul>${d.f ? founders(d.f) : nothing}</div></div>
<p class="paper small">${farmName()}. Percentages are expected inbreeding of the litter.</p>${caution(p.cautions)}`;
}

export const page: Page<Data> = {
  path: 'pairings', title: 'Pairings', menu: true,
  async load() {
    await house();
    const p = fixed.size ? (await ask<Pairings>('pairings')).answer : await plan();
    let f: Founders | undefined;
    try { f = (await ask<Founders>('founders')).answer; } catch { f = undefined; } // the table stands without
    if (fixed.size) void tryPlan();
    return { p, f };
  },
  view,
  thumb(d): TemplateResult { const p = fixed.size && tried ? tried : d.p; return html`<button class="do" ?disabled=${busy || p.plan.length === 0} @click=${() => void keep(p)}>Keep plan</button><a class="btn" href="/herd">Herd</a>`; },
  leave() { fixed.clear(); tried = undefined; wrong = ''; keptSays = ''; turn++; busy = false; },
};
