// SPDX-License-Identifier: GPL-3.0-or-later
// The frame: header with the places and how fresh all is, the page, the thumb bar, and the patterns and marks that drawings use.
import { html, nothing, type TemplateResult } from 'lit-html';
import { live, type Live } from '../base/live.ts';
import { reload, type Page, type Place } from '../base/page.ts';
import { pages } from '../pages/index.ts';
import { marks } from './marks.ts';
import { clock, plural, span } from './words.ts';

export interface Framed { page: Page | undefined; place: Place; body: TemplateResult; thumb: TemplateResult | undefined }

const dialog = (): HTMLDialogElement | null => document.querySelector('dialog.allpages');
const links = (here: string, cls = ''): TemplateResult[] => pages.filter((p) => p.menu).map((p) => html`<a class=${cls || nothing} href="/${p.path}" aria-current=${p.path === here ? 'page' : nothing}>${p.title}</a>`);

/** How fresh: mark and words, never a colour alone. */
function age(l: Readonly<Live>): TemplateResult | typeof nothing {
  if (l.reach === 'asking' && l.number === undefined) return nothing;
  const [mark, first] = l.reach === 'out' ? ['stale', 'Out of reach'] : l.forecast_age_h === undefined ? ['none', 'No forecast'] : [l.forecast_age_h > 12 ? 'stale' : 'fresh', `Forecast ${span(l.forecast_age_h)} old`];
  const second = l.waiting > 0 ? `${plural(l.waiting, 'record')} to hand over` : l.reach === 'out' && l.drawn !== undefined ? `as of ${clock(l.drawn)}` : 'all records saved';
  return html`<p class="age"><svg aria-hidden="true"><use href=${`#${mark}`}/></svg><span>${first}<br>${second}</span></p>`;
}
const bar = (mark: string, text: TemplateResult, cls = ''): TemplateResult => html`<p class=${`queue ${cls}`}><svg aria-hidden="true"><use href=${`#${mark}`}/></svg><span>${text}</span></p>`;
/** What must be known on every page: records that wait, were handed over or refused; an address that has changed; a newer answer. */
function bars(l: Readonly<Live>): TemplateResult {
  return html`<div role="status" aria-live="polite">${l.waiting > 0 ? bar('phone', html`<b>${plural(l.waiting, 'record')} ${l.waiting === 1 ? 'waits' : 'wait'} on this device.</b> ${l.out_since !== undefined ? `House out of reach since ${clock(l.out_since)}. ` : ''}${l.safe ? 'They are safe here, and go over when the house is in reach.' : 'Leave this page open: they go over when the house is in reach.'}`) : nothing}
${l.handed > 0 && l.waiting === 0 ? bar('tick', html`<b>${l.handed === 1 ? 'The record is' : `All ${l.handed} are`} in the farm file.</b>`) : nothing}
${l.reach === 'out' && l.waiting === 0 ? bar('stale', html`<b>The house did not answer</b>${l.tried !== undefined ? ` (tried ${clock(l.tried)})` : ''}.${l.drawn !== undefined ? ` What you see is from ${clock(l.drawn)}.` : ''} Recording works all the same. <button class="inlinebtn" @click=${() => reload()}>Try again</button>`) : nothing}
${l.refused.length > 0 ? bar('warn', html`<b>The house did not take ${plural(l.refused.length, 'record')}:</b> ${l.refused[0]!.sentence} <a href="/held">Look at ${l.refused.length === 1 ? 'it' : 'them'}</a>`) : l.held > 0 ? bar('warn', html`<b>${plural(l.held, 'record')} ${l.held === 1 ? 'waits' : 'wait'} in the house to be settled.</b> <a href="/held">Look at ${l.held === 1 ? 'it' : 'them'}</a>`) : nothing}
${l.moved ? bar('warn', html`<b>You came by a new address.</b> Records may wait under the old one: open that address once more, in reach of the house.`) : nothing}
${Math.abs(l.clock_off_s) >= 60 ? bar('stale', html`<b>The clock of this device is ${span(Math.abs(l.clock_off_s) / 3600)} ${l.clock_off_s > 0 ? 'ahead of' : 'behind'} the house.</b> Times you record here will be out by as much.`) : nothing}
${l.newer || l.renewed ? html`<p class="queue newer"><button class="do" @click=${() => (l.renewed ? location.reload() : reload())}>${l.renewed ? 'This page was renewed: show' : 'Newer answer: show'}</button></p>` : nothing}</div>`;
}

export function frame(f: Framed): TemplateResult {
  const l = live();
  return html`${marks}
<a class="skip" href="#main">Skip to the page</a>
<header class="top"><a class="mark" href="/"><svg aria-hidden="true"><use href="#house"/></svg>leenest</a>
<nav class="places" aria-label="Pages">${links(f.place.path)}</nav>${age(l)}${l.reckoning ? html`<span class="reckoning" role="img" aria-label="A new answer is being reckoned"></span>` : nothing}</header>
${bars(l)}
<main id="main" tabindex="-1">${f.body}</main>
<nav class="thumb" aria-label="At the thumb"><button @click=${() => dialog()?.showModal()}>Pages</button>${f.thumb ?? html`<a class="btn do" href="/dawn">Record</a><a class="btn" href="/tonight">Tonight</a>`}</nav>
<dialog class="allpages" aria-labelledby="allpages-h" @click=${(e: Event) => { if ((e.target as Element).closest('a')) dialog()?.close(); }}><h2 id="allpages-h">Pages</h2><nav aria-label="All pages"><ul>${links(f.place.path, 'btn').map((a) => html`<li>${a}</li>`)}</ul></nav><button @click=${() => dialog()?.close()}>Stay here</button></dialog>`;
}
