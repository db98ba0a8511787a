// SPDX-License-Identifier: GPL-3.0-or-later
// Sow: what about her, now and before? Her row of the night, her year, what each look said, her litters, medicine.
import { html, nothing, svg, type TemplateResult } from 'lit-html';
import { ask, get } from '../base/api.ts';
import { redraw, reload, type Page } from '../base/page.ts';
import { record } from '../base/queue.ts';
import type { Tonight } from '../part/answer.ts';
import { axis, drawn, nights, r1, ruler, spanFor, textScale } from '../part/axis.ts';
import { caution, goAndLook } from '../part/caution.ts';
import { ears, earsOf, type Ears } from '../part/ears.ts';
import { house, iso, nowOf, type House } from '../part/house.ts';
import { lossFact, lossPanel, lossWords, lostOne, type Lost } from '../part/loss.ts';
import { said, saidLine, saidNothing } from '../part/said.ts';
import { board, farrowingRow, litterRow, sowRow } from '../part/sow_row.ts';
import { capital, chance, clock, day, dayYear, in100, mass, moment, name, plural, tidy, weekday, wholeHour } from '../part/words.ts';
import { year, type Year } from '../part/year.ts';

interface Look { at: string; sign: string; words: string; seen: boolean; p_within_12h_before: number | null; p_within_12h_after: number | null }
interface Litter { start: string; born_alive: number | null; still: number | null; mummified: number | null; lost?: number; lost_of?: string | null; weaned: number | null; weaned_at: string | null; gestation_d: number | null; gestation_words: string | null; at_place: string | null; place: string | null; put_out: string | null; helped: boolean }
interface Treatment { at: string; what: string; dose: string | null; why: string | null; withdrawal_ends: string | null; in_withdrawal: boolean; booster_due: string | null }
interface SowIs {
  at: string; name: string; uid: string; tag: string | null; breed: string | null; gilt: boolean; parity: number | null; born: string | null; age_d: number | null; mass_kg: number | null; condition: number | null; temper: string | null;
  mean_litter: number | null; state: string; lost_all_at: string | null; paddock: string | null; group: string | null; lies: string | null; penned: boolean; nesting_since: string | null; p_use: number; nested_times: number; nested_in_what_was_put_out: number;
  turn?: { known: string; p_pregnant: number | null; p_not_pregnant: number | null; p_within_12h: number | null; p_within_24h: number | null; p_within_48h: number | null; window: { from: string | null; likeliest: string | null; to: string | null }; watch: string; last_look: string | null; gestation_d: number | null; gestation_sd_d: number | null; own_lengths_known: number; boars: { name: string; probability: number }[]; beware: string[] };
  looks: Look[]; looks_left_out: number | null; litters: Litter[]; treatments: Treatment[]; withdrawal_until: string | null; notes_about_her: { at: string; text: string }[]; odd: string[]; record: string[]; cautions: string[];
}
interface Listed { facts: { uid: string; fact: Record<string, unknown> }[] }
interface Data { s: SowIs; h: House; t: Tonight | undefined; year: Year; gone: string | undefined; notches: Ears | undefined }

const facts = async (kind: string, s: SowIs): Promise<Record<string, unknown>[]> => {
  try { return (await get<Listed>(`/api/list/${kind}`, { search: s.name, most: 60 })).facts.map((x) => x.fact).filter((f) => f['sow'] === s.uid || f['animal'] === s.uid); } catch { return []; } // out of reach: drawn without
};

async function load(rest: string): Promise<Data> {
  const h = await house();
  const s = (await ask<SowIs>('sow', { NAME: rest })).answer;
  let t: Tonight | undefined;
  try { t = (await ask<Tonight>('tonight')).answer; } catch { t = undefined; } // her page stands without the night's
  const [served, runs, left] = await Promise.all([facts('service', s), facts('boar_run', s), facts('leaving', s)]);
  const w = s.turn?.window, text = (v: unknown): string => String(v);
  return { s, h, t, notches: await earsOf(s.tag), gone: left.length ? text(left[0]!['why'] ?? left[0]!['how'] ?? 'gone') : undefined, year: {
    at: s.at, served: served.map((f) => text(f['at'])).sort(), runs: runs.map((f) => [text(f['from']), f['to'] ? text(f['to']) : null]),
    litters: s.litters.map((l) => ({ start: l.start, weaned_at: l.weaned_at })), ...(w?.from && w.likeliest && w.to && s.state === 'served' ? { due: { from: w.from, likeliest: w.likeliest, to: w.to } } : {}) } };
}

function row(d: Data): TemplateResult | typeof nothing {
  const { t, s } = d;
  if (!t) return nothing;
  const b = board(t), f = (t.farrowing_now ?? []).find((x) => x.uid === s.uid), l = (t.young_litters ?? []).find((x) => x.uid === s.uid), mine = t.sows.find((x) => x.name === s.name);
  if (!f && !l && !mine) return nothing;
  const hours = !f && (l || mine?.hours) ? html`<div class="ruler"><div class="wide"></div><div>${drawn('strip', (px) => {
    const ax = axis(px, spanFor(px), t.weather.hours.time[0]!, t.at);
    return ruler(ax, nights(t.weather.hours.daylight, ax.span));
  })}</div><div class="wide"></div></div>` : nothing;
  return html`<div class="board"><h2 class="part">This night</h2>${hours}${f ? farrowingRow(b, f, [], async () => undefined) : l ? litterRow(b, l) : sowRow(b, mine!)}</div>`;
}

/** Born and weaned of one litter as two bars, all litters to one scale. */
function bars(l: Litter, most: number): TemplateResult {
  const k = textScale(), w = 150, x = (n: number): number => r1((n / most) * (w - 4));
  return html`<svg class="litbar" viewBox="0 0 ${w} ${r1(26 * k)}" aria-hidden="true"><rect class="f-ink" x="0" y="2" width=${x(l.born_alive ?? 0)} height=${r1(9 * k)}/>${l.still ? svg`<rect class="f-none l-ink w1 dots" x=${x(l.born_alive ?? 0)} y="2.5" width=${x(l.still)} height=${r1(8 * k)}/>` : nothing}${l.weaned !== null ? svg`<rect class="f-edge" x="0" y=${r1(14 * k)} width=${x(l.weaned)} height=${r1(9 * k)}/>` : nothing}</svg>`;
}
function litters(s: SowIs): TemplateResult {
  if (s.litters.length === 0) return html`<section class="sec"><h2>Her litters</h2><p>${s.gilt ? 'None yet: she has not farrowed.' : 'None is written down here.'}</p></section>`;
  const most = Math.max(...s.litters.map((l) => (l.born_alive ?? 0) + (l.still ?? 0)), 8);
  return html`<section class="sec"><h2>Her litters</h2><div class="scroll" tabindex="0" role="group" aria-label="Litters"><table><thead><tr><th scope="col">farrowed</th><th scope="col" class="bars">born, weaned</th><th scope="col" class="n">living</th><th scope="col" class="n">dead</th><th scope="col" class="n">lost since</th><th scope="col" class="n">weaned</th><th scope="col" class="n">days in pig</th><th scope="col">where</th></tr></thead><tbody>
${s.litters.map((l, i) => html`<tr><th scope="row">${dayYear(l.start)}</th><td class="bars">${bars(l, most)}</td><td class="n">${l.born_alive ?? 'not counted'}</td><td class="n">${l.still ?? '–'}</td><td class="n">${l.lost || '–'}${l.lost_of ? html` <small><bdi>${l.lost_of}</bdi></small>` : nothing}</td><td class="n">${l.weaned ?? (l.weaned_at || i > 0 ? '–' : s.lost_all_at ? 'none left' : 'with her')}</td><td class="n">${l.gestation_d === null ? '–' : l.gestation_d.toFixed(1)}</td><td>${l.at_place ?? (l.place === 'open' ? 'in the open' : l.place ?? '–')}${l.helped ? ', helped' : ''}</td></tr>`)}</tbody></table></div>
${s.turn?.gestation_d ? html`<p class="small">Reckoned with ${s.turn.gestation_d.toFixed(1)} days in pig, give or take ${s.turn.gestation_sd_d?.toFixed(1)}; ${s.turn.own_lengths_known ? `${plural(s.turn.own_lengths_known, 'length')} of her own are in it` : 'none of her own is known yet'}.</p>` : nothing}</section>`;
}
/** Each look as a step from what stood before to what stood after. */
function looks(s: SowIs): TemplateResult | typeof nothing {
  if (s.looks.length === 0) return nothing;
  const step = (l: Look): TemplateResult | string => {
    const a = l.p_within_12h_before, b = l.p_within_12h_after;
    if (a === null || b === null) return '';
    const w = 120, x = (p: number): number => r1(6 + p * (w - 12)), to = x(b), d = b >= a ? -1 : 1;
    return html`<svg class="litbar" viewBox="0 0 ${w} 20" aria-hidden="true"><line class="l-rule w1" x1="6" x2=${w - 6} y1="10" y2="10"/><circle class="f-panel l-ink w15" cx=${x(a)} cy="10" r="3.5"/><line class="l-ink w2" x1=${x(a)} x2=${to} y1="10" y2="10"/><path class="f-ink" d="M${to} 10l${7 * d} -5v10z"/></svg>`;
  };
  return html`<section class="sec"><h2>What each look said</h2><p>Chance of a birth within twelve hours of the look, before and after the sign is told.</p><div class="scroll" tabindex="0" role="group" aria-label="Looks"><table><thead><tr><th scope="col">when</th><th scope="col">sign</th><th scope="col">0 to 100</th><th scope="col" class="n">was</th><th scope="col" class="n">then</th></tr></thead><tbody>${s.looks.slice().reverse().map((l) => html`<tr><th scope="row">${moment(l.at, s.at)}</th><td>${l.seen ? html`<b>${l.words}</b>` : html`not seen: ${l.words}`}</td><td>${step(l)}</td><td class="n">${l.p_within_12h_before === null ? '–' : in100(l.p_within_12h_before)}</td><td class="n">${l.p_within_12h_after === null ? '–' : in100(l.p_within_12h_after)}</td></tr>`)}</tbody></table></div>${s.looks_left_out ? html`<p class="small">${plural(s.looks_left_out, 'older look')} not shown.</p>` : nothing}</section>`;
}
function medicine(s: SowIs): TemplateResult {
  return html`<section class="sec"><h2>Medicine</h2>${s.withdrawal_until ? html`<p class="strong"><svg class="mk warnmk" aria-hidden="true"><use href="#warn"/></svg> Not for meat before ${dayYear(s.withdrawal_until)}, as it was recorded. The vet and the label decide.</p>` : html`<p>${s.treatments.length ? 'No waiting time is open, as it was recorded.' : 'None is written down.'}</p>`}
${s.treatments.length ? html`<ul class="folk">${s.treatments.map((x) => html`<li><b>${dayYear(x.at)}</b><span>${[x.what, x.dose, x.why].filter(Boolean).join(', ')}${x.withdrawal_ends ? `; meat from ${dayYear(x.withdrawal_ends)}` : ''}${x.booster_due ? `; again ${dayYear(x.booster_due)}` : ''}</span></li>`)}</ul>` : nothing}</section>`;
}

/* ---- piglets found dead: written here as on the dawn round, out of reach as well */
let lost: Lost | undefined, busy = false, trouble = ''; // lost: while it is being written
const suckles = (d: Data): boolean => d.s.state === 'suckling' && !d.gone;
function openLoss(q: Lost | undefined): void { lost = q; trouble = ''; redraw(); document.getElementById(q ? 'loss' : 'loss-open')?.focus(); }
async function keepLoss(d: Data): Promise<void> {
  if (busy || !lost) return;
  busy = true; trouble = ''; redraw();
  const at = nowOf(d.h), q = lost;
  try {
    const r = await record('loss', lossFact(d.s.uid, iso(at), q));
    said(html`${name(d.s.name)}: ${lossWords(q)} <span class="quiet">${clock(at)}</span>`, [r], reload);
    lost = undefined; busy = false;
    redraw();
    if (r.status !== 'waiting') reload();
    document.querySelector('.saidline')?.scrollIntoView({ block: 'start' });
    document.querySelector<HTMLElement>('.saidline button')?.focus({ preventScroll: true });
  } catch (e) { trouble = e instanceof Error ? e.message : String(e); busy = false; redraw(); document.getElementById('loss-fault')?.focus(); }
}
function lossPart(d: Data): TemplateResult {
  return html`${saidLine()}${lost ? html`<section class="panel" id="loss" tabindex="-1" aria-label="Piglet lost">${lossPanel(d.s.uid, lost, (q) => { lost = q; redraw(); })}<p class="fault" id="loss-fault" tabindex="-1" role="alert">${trouble ? html`<svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${trouble}</span>` : nothing}</p>
<div class="acts"><button type="button" class="do keep" ?disabled=${busy} @click=${() => void keepLoss(d)}>Keep</button><button type="button" @click=${() => openLoss(undefined)}>Drop it</button></div></section>` : nothing}`;
}

function view(d: Data): TemplateResult {
  const s = d.s, q = encodeURIComponent(s.name), turn = s.turn, at = s.at;
  const facts = [s.tag ? `tag ${s.tag}` : '', s.breed ?? '', s.gilt ? 'gilt' : s.parity !== null ? plural(s.parity, 'litter') : '', s.age_d !== null ? (s.age_d > 700 ? `${(s.age_d / 365.25).toFixed(1)} years` : `${Math.round(s.age_d / 30.4)} months`) : '', s.mass_kg !== null ? mass(s.mass_kg) : '', s.condition !== null ? `condition ${s.condition}` : '', s.temper ?? ''].filter(Boolean);
  const where = [s.paddock, s.group ? `group ${s.group}` : '', s.lies ? `lies in ${s.lies}` : '', s.penned ? 'penned' : ''].filter(Boolean).join(', ');
  const about = (m: string, x: { from: string | null; to: string | null }): string => (x.from && x.to && Date.parse(x.to) - Date.parse(x.from) >= 60 * 3600e3 ? `${weekday(m, true)} ${day(m, true)}` : moment(wholeHour(m), at));
  const w = turn?.window, bare = s.state === 'nothing known';
  const says = d.gone ? html`No longer here (${d.gone}). What is written down stays.` : bare ? html`<b>${name(s.name)} is written down, nothing more.</b> When was the boar with her?`
    : turn && s.state === 'served' ? html`${capital(turn.known)}. ${(turn.p_not_pregnant ?? 0) > 0.5 ? 'Most likely she is not in pig.' : w?.likeliest ? html`She is most likely to farrow about <b>${about(w.likeliest, w)}</b>${w.from && w.to ? html`; nine in ten between ${about(w.from, w)} and ${about(w.to, w)}` : nothing}.` : nothing} ${turn.p_pregnant !== null && turn.p_pregnant < 0.95 ? `In pig: ${chance(turn.p_pregnant)}.` : ''} ${capital(turn.watch)}.`
    : html`${s.lost_all_at ? html`Lost all of her litter by ${day(s.lost_all_at, true)}. ` : nothing}${capital(s.state === 'open' ? (s.lost_all_at ? 'not served since' : 'not served since she was weaned') : s.state === 'suckling' ? 'with her litter' : s.state)}.`;
  const acts = d.gone ? nothing : html`<div class="acts">${bare ? html`<a class="btn do" href="/records/service?sow=${q}">Write a service</a><a class="btn" href="/records/boar_run?sow=${q}">Boar was with her</a>` : suckles(d) ? html`<button type="button" class="do" id="loss-open" aria-expanded=${lost ? 'true' : 'false'} @click=${() => openLoss(lost ? undefined : lostOne())}>Piglet lost</button>` : html`<a class="btn do" href="/records/sign?sow=${q}">Saw a sign</a>`}<a class="btn" href="/records/treatment?animal=${q}">Medicine given</a><a class="btn" href="/records/weighing?animal=${q}">Weight or condition</a><a class="btn" href="/records/move?animal=${q}">Was moved</a></div>`;
  return html`<div class=${d.gone ? 'lead gone' : 'lead'}><div><h1>${name(s.name)}</h1><p class="small">${facts.join(' · ')}</p><p>${says}</p>${ears(d.notches)}${where ? html`<p class="small">${where}${s.nested_times ? `. Nested ${plural(s.nested_times, 'time')} that we know of, ${s.nested_in_what_was_put_out} in what was put out` : ''}.</p>` : nothing}${acts}</div></div>
${lossPart(d)}
${row(d)}
<section class="sec"><h2>Her year</h2>${drawn('year', (px) => year(px, d.year))}<p class="small">Upright: farrowed. Grey after it: with her litter. Wedge: served. Tinted: nine in ten to farrow in it.</p></section>
${looks(s)}${litters(s)}${medicine(s)}
${s.notes_about_her.length ? html`<section class="sec"><h2>Notes</h2><ul class="folk">${s.notes_about_her.map((n) => html`<li><b>${day(n.at, true)}</b><span>${n.text}</span></li>`)}</ul></section>` : nothing}
${[...(turn?.beware ?? []), ...s.odd].length ? html`<section class="sec"><h2>Beware</h2><ul>${[...(turn?.beware ?? []), ...s.odd].map((x) => html`<li>${tidy(x)}</li>`)}</ul></section>` : nothing}
${s.record.length ? html`<section class="sec"><h2>Surer with</h2><ul class="plain">${s.record.map((x) => html`<li>${tidy(x.replace(/: leenest record .*$/, '.'))}</li>`)}</ul></section>` : nothing}
${caution(s.cautions, goAndLook)}`;
}

export const page: Page<Data> = {
  path: 'sow', title: 'Sow', menu: false,
  load: (place) => load(place.rest),
  view,
  thumb: (d) => lost && suckles(d) ? html`<button type="button" class="do" ?disabled=${busy} @click=${() => void keepLoss(d)}>Keep</button><button type="button" @click=${() => openLoss(undefined)}>Drop it</button>`
    : suckles(d) ? html`<button type="button" class="do" @click=${() => openLoss(lostOne())}>Piglet lost</button><a class="btn" href="/tonight">Tonight</a>` : html`<a class="btn do" href=${`/records/sign?sow=${encodeURIComponent(d.s.name)}`}>Record</a><a class="btn" href="/tonight">Tonight</a>`,
  leave() { lost = undefined; trouble = ''; saidNothing(); },
};
