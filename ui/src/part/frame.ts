// SPDX-License-Identifier: GPL-3.0-or-later
// The frame: header with the places and how fresh all is, the page, the thumb bar, and the patterns and marks that drawings use.
import { html, nothing, type TemplateResult } from 'lit-html';
import { live, type Live } from '../base/live.ts';
import type { Page, Place } from '../base/page.ts';
import { pages } from '../pages/index.ts';
import { marks } from './marks.ts';
import { bars } from './status.ts';
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
export function frame(f: Framed): TemplateResult {
  const l = live();
  return html`${marks}
<a class="skip" href="#main">Skip to the page</a>
<header class="top"><a class="mark" href="/"><svg aria-hidden="true"><use href="#house"/></svg>leenest</a>
<nav class="places" aria-label="Pages">${links(f.place.path)}</nav>${age(l)}${l.reckoning ? html`<span class="reckoning" role="img" aria-label="A new answer is being reckoned"></span>` : nothing}</header>
${bars(l)}
<main id="main" tabindex="-1" data-place=${[f.place.path, f.place.rest].filter(Boolean).join('/')}>${f.body}</main>
<nav class="thumb" aria-label="At the thumb"><button @click=${() => dialog()?.showModal()}>Pages</button>${f.thumb ?? html`<a class="btn do" href="/dawn">Record</a><a class="btn" href="/tonight">Tonight</a>`}</nav>
<dialog class="allpages" aria-labelledby="allpages-h" @click=${(e: Event) => { if ((e.target as Element).closest('a')) dialog()?.close(); }}><h2 id="allpages-h">Pages</h2><nav aria-label="All pages"><ul>${links(f.place.path, 'btn').map((a) => html`<li>${a}</li>`)}</ul></nav><button @click=${() => dialog()?.close()}>Stay here</button></dialog>`;
}
