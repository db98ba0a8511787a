// SPDX-License-Identifier: GPL-3.0-or-later
// The frame: header with the places and how fresh all is, the page, the thumb bar, and the patterns and marks that drawings use.
import { html, nothing, type TemplateResult } from 'lit-html';
import type { Page, Place } from '../base/page.ts';
import { pages } from '../pages/index.ts';
import { marks } from './marks.ts';

export interface Framed { page: Page | undefined; place: Place; body: TemplateResult; thumb: TemplateResult | undefined }

const dialog = (): HTMLDialogElement | null => document.querySelector('dialog.allpages');
const links = (here: string, cls = ''): TemplateResult[] => pages.filter((p) => p.menu).map((p) => html`<a class=${cls || nothing} href="/${p.path}" aria-current=${p.path === here ? 'page' : nothing}>${p.title}</a>`);

export function frame(f: Framed): TemplateResult {
  return html`${marks}
<a class="skip" href="#main">Skip to the page</a>
<header class="top"><a class="mark" href="/"><svg aria-hidden="true"><use href="#house"/></svg>leenest</a>
<nav class="places" aria-label="Pages">${links(f.place.path)}</nav></header>
<main id="main" tabindex="-1">${f.body}</main>
<nav class="thumb" aria-label="At the thumb"><button @click=${() => dialog()?.showModal()}>Pages</button>${f.thumb ?? html`<a class="btn do" href="/dawn">Record</a><a class="btn" href="/tonight">Tonight</a>`}</nav>
<dialog class="allpages" aria-labelledby="allpages-h" @click=${(e: Event) => { if ((e.target as Element).closest('a')) dialog()?.close(); }}><h2 id="allpages-h">Pages</h2><nav aria-label="All pages"><ul>${links(f.place.path, 'btn').map((a) => html`<li>${a}</li>`)}</ul></nav><button @click=${() => dialog()?.close()}>Stay here</button></dialog>`;
}
