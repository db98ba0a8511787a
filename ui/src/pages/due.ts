// SPDX-License-Identifier: GPL-3.0-or-later
// Due: the calendar of windows, sow by sow, what each rests on, and what to write down to make it surer. Prints on one sheet.
import { html, nothing, type TemplateResult } from 'lit-html';
import { ask, get } from '../base/api.ts';
import { redraw, type Page, type Place } from '../base/page.ts';
import { drawn } from '../part/axis.ts';
import { caution, goAndLook } from '../part/caution.ts';
import { midnights } from '../part/days.ts';
import { chance, clock, day, farmIs, weekday, wholeHour } from '../part/words.ts';
import { windows, windowsHeight, type DayMark, type Window } from '../part/windows.ts';

interface Sow {
  name: string; state: string; gilt: boolean; known: string; p_pregnant: number | null;
  p5: string | null; p25: string | null; p50: string | null; p75: string | null; p95: string | null;
  p_within_24h: number | null; p_within_7d: number | null; gestation_d: number | null; gestation_sd_d: number | null;
  boars: { name: string; probability: number }[]; boar_uncertain: boolean;
  by_date: { date: string; probability: number }[]; notes: string[];
}
interface Due { at: string; sows: Sow[]; others: { name: string; state: string }[]; record: string[]; assumed: string[] }
interface Data { due: Due; kept: boolean }

const DAY = 24 * 3600e3;
const NEAR = 35; // days that the axis shows at first
let whole = false;

const known = (s: Sow): boolean => s.p5 !== null && s.p95 !== null && s.p50 !== null;
const likely = (s: Sow): boolean => (s.p_pregnant ?? 0) >= 0.1;
const t = (iso: string | null): number => (iso ? Date.parse(iso) : NaN);
const date = (at: number): string => day(at, true);
const named = (at: number): string => `${weekday(at, true)} ${day(at, true)}`;
const timed = (at: number): string => `${named(wholeHour(at).getTime())} ${clock(wholeHour(at))}`;

function span(s: Sow): string {
  const a = t(s.p5), b = t(s.p95);
  return b - a < 2.5 * DAY ? `${timed(a)} to ${timed(b)}` : `${named(a)} to ${named(b)}`;
}
function sentence(d: Data): TemplateResult {
  const at = t(d.due.at), sows = d.due.sows.filter((s) => known(s) && likely(s));
  const soon = sows.filter((s) => (s.p_within_7d ?? 0) >= 0.5);
  const first = sows[0];
  if (!d.due.sows.length) return html`<p>No sow is written down as served. Write a service, or the days a boar ran with them, and her days stand here.</p>`;
  if (!first) return html`<p>No sow here is likely to be in pig by what is written down.</p>`;
  const next = soon.length
    ? html`<b>${soon.length === 1 ? '1 sow' : `${soon.length} sows`}</b> most likely farrow${soon.length === 1 ? 's' : ''} before ${named(at + 7 * DAY)}. `
    : 'Nobody is likely to farrow within a week. ';
  return html`<p>${next}First is most likely <b>${first.name}</b>, about ${soon.includes(first) && t(first.p95) - t(first.p5) < 2.5 * DAY ? timed(t(first.p50)) : named(t(first.p50))}.</p>`;
}
const say = (line: string): TemplateResult => {
  const m = /^(.*?): leenest record ([a-z_-]+)/.exec(line);
  return m ? html`<a href=${`/records/${m[2]}`}>${m[1]}</a>` : html`${line}`;
};

function drawing(d: Data, sows: Sow[]): TemplateResult {
  const at = t(d.due.at);
  const ends = sows.map((s) => t(s.p95)), later = ends.some((e) => e > at + NEAR * DAY), near = sows.some((s) => t(s.p5) < at + NEAR * DAY);
  const from = at - 0.3 * DAY;
  const reach = whole || !near ? Math.max(...ends) : Math.min(at + NEAR * DAY, Math.max(...ends.filter((e) => e <= at + NEAR * DAY), at + 7 * DAY));
  const to = reach + 0.7 * DAY;
  const marks: DayMark[] = midnights(from, to).filter((m) => m >= from && m <= to).map((m) => {
    const name = weekday(m + DAY / 2, true);
    return { at: m, day: name, date: date(m + DAY / 2), strong: name === 'Sat' || name === 'Sun', week: name === 'Mon' };
  });
  const rows: Window[] = sows.map((s) => ({ name: s.name, says: `${date(t(s.p5))} to ${date(t(s.p95))}`, low: t(s.p5), quarter: t(s.p25), middle: t(s.p50), upper: t(s.p75), high: t(s.p95), faint: !likely(s) }));
  const pic = (w: number): TemplateResult => html`<svg class="full" viewBox="0 0 ${w} ${windowsHeight(rows.length, w)}" role="img" aria-label="When each sow may farrow, on one axis of days from ${named(at)} to ${named(reach)}. The same days stand in the table.">${windows(rows, marks, from, to, at, w)}</svg>`;
  return html`<figure class="fig duefig"><div class="screen">${drawn('due', pic)}</div><div class="paper" aria-hidden="true">${pic(690)}</div>
<figcaption class="small">Grey bar: nine chances in ten lie inside. Dark: the middle half. Line: as likely before as after. Dashes: most likely not in pig. Left edge: now.</figcaption>
${later && near ? html`<div class="acts screen"><button @click=${() => { whole = !whole; redraw(); }}>${whole ? 'Show the next weeks only' : 'Show as far as the last one'}</button></div>` : nothing}</figure>`;
}

function table(sows: Sow[]): TemplateResult {
  return html`<table class="stack"><caption class="unseen">When each sow may farrow</caption>
<thead><tr><th scope="col">Sow</th><th scope="col">Nine in ten</th><th scope="col">Half before</th><th scope="col" class="n">In pig</th><th scope="col" class="n">Within 24 h</th><th scope="col" class="n">Within a week</th></tr></thead>
<tbody>${sows.map((s) => html`<tr><th scope="row"><a href="/sow/${encodeURIComponent(s.name)}"><bdi>${s.name}</bdi></a>${s.gilt ? ' (gilt)' : ''}</th><td data-l="Nine in ten">${span(s)}</td><td data-l="Half before">${named(t(s.p50))}</td><td class="n" data-l="In pig">${chance(s.p_pregnant ?? 0)}</td><td class="n" data-l="Within 24 h">${chance(s.p_within_24h ?? 0)}</td><td class="n" data-l="Within a week">${chance(s.p_within_7d ?? 0)}</td></tr>`)}</tbody></table>`;
}

function one(s: Sow): TemplateResult {
  const most = Math.max(...s.by_date.map((q) => q.probability), 1e-9);
  return html`<article class="due"><div class="who"><h3><a href="/sow/${encodeURIComponent(s.name)}"><bdi>${s.name}</bdi></a></h3><p class="where">${s.gilt ? 'gilt, ' : ''}${s.known || s.state}</p></div>
<div>${known(s) ? html`<p>${likely(s) ? html`Nine in ten: <b>${span(s)}</b>. In pig: ${chance(s.p_pregnant ?? 0)}.` : html`Most likely <b>not in pig</b> (${chance(s.p_pregnant ?? 0)} that she is); if she is: ${span(s)}.`}</p>` : html`<p>No day is known yet.</p>`}
${s.notes.map((n) => html`<p class="duenote"><svg class="mk" aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${n}</span></p>`)}
${s.boars.length > 1 ? html`<p class="small">By ${s.boars.map((b, i) => html`${i ? ', by ' : ''}<bdi>${b.name}</bdi> ${chance(b.probability)}`)}.</p>` : nothing}
${s.by_date.length ? html`<details class="bydate"><summary>Chance by date</summary><table><caption class="unseen">Chance that <bdi>${s.name}</bdi> farrows, by date</caption><thead><tr><th scope="col">Date</th><th scope="col" class="n">Chance</th><th scope="col"><span class="unseen">drawn</span></th></tr></thead>
<tbody>${s.by_date.map((q) => html`<tr><th scope="row">${named(Date.parse(q.date + 'T12:00:00Z'))}</th><td class="n">${chance(q.probability)}</td><td><svg class="full" viewBox="0 0 120 12" aria-hidden="true" preserveAspectRatio="none"><rect class="f-ink2" width=${Math.max(1, (q.probability / most) * 120).toFixed(1)} height="12"/></svg></td></tr>`)}</tbody></table>
${s.gestation_d ? html`<p class="small">Reckoned with ${s.gestation_d.toFixed(1)} days in pig, give or take ${(s.gestation_sd_d ?? 0).toFixed(1)}.</p>` : nothing}</details>` : nothing}</div></article>`;
}

export const page: Page<Data> = {
  path: 'due', title: 'Due', menu: true,
  async load(): Promise<Data> {
    const [a, house] = await Promise.all([ask<Due>('due'), get<Parameters<typeof farmIs>[0]>('/api/number')]);
    farmIs(house);
    return { due: a.answer, kept: a.kept };
  },
  view(d: Data, _place: Place): TemplateResult {
    const sows = d.due.sows.filter(known).sort((a, b) => t(a.p5) - t(b.p5)), unknown = d.due.sows.filter((s) => !known(s));
    const at = t(d.due.at);
    return html`<div class="lead"><div><h1>Due <span class="date">as of ${named(at)}, ${clock(at)}</span></h1>${sentence(d)}</div></div>
${sows.length ? html`${drawing(d, sows)}
<div class="acts pageacts screen"><a class="btn" href="/api/calendar?format=ics" download="leenest.ics">Put these days into a calendar</a><button @click=${() => print()}>Print the due calendar</button><a class="btn" href="/records/service">Write a service</a></div>
<section class="sec"><h2>The days in figures</h2>${table(sows)}</section>
<section class="sec screen"><h2>Sow by sow</h2>${sows.map((s) => one(s))}</section>` : html`<div class="acts"><a class="btn do" href="/records/service">Write a service</a><a class="btn" href="/records/boar_run">Write when a boar ran with them</a></div>`}
${unknown.length || d.due.record.length ? html`<section class="sec"><h2>Not known</h2><ul class="plainlist">${unknown.map((s) => html`<li><bdi>${s.name}</bdi>: ${s.known || s.state}</li>`)}${d.due.record.map((r) => html`<li>${say(r)}</li>`)}</ul></section>` : nothing}
${d.due.others.length ? html`<section class="sec screen"><h2>The others</h2><p>${d.due.others.map((o, i) => html`${i ? '; ' : ''}<a href="/sow/${encodeURIComponent(o.name)}"><bdi>${o.name}</bdi></a> ${o.state}`)}.</p></section>` : nothing}
${d.due.assumed.length ? html`<section class="sec screen"><details><summary>What this rests on</summary><ul>${d.due.assumed.map((a) => html`<li>${say(a)}</li>`)}</ul></details></section>` : nothing}
${caution(['Dates do not tell whether she is in pig.', 'A sow that is past her days, dull or off her feed is for the vet. Keep a fence between you and a boar.'], goAndLook)}`;
  },
  thumb(): TemplateResult { return html`<a class="btn do" href="/records/service">Write a service</a><button @click=${() => print()}>Print</button>`; },
};
