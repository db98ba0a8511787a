// SPDX-License-Identifier: GPL-3.0-or-later
// The frame: header with the places, the page, the thumb bar, and the patterns and marks that drawings use.
import { html, nothing, type TemplateResult } from 'lit-html';
import type { Page, Place } from '../base/page.ts';
import { pages } from '../pages/index.ts';
import { marks } from './marks.ts';

export interface Framed { page: Page | undefined; place: Place; body: TemplateResult; thumb: TemplateResult | undefined }

export function frame(f: Framed): TemplateResult {
  return html`${marks}
<a class="skip" href="#main">Skip to the page</a>
<header class="top"><a class="mark" href="/"><svg aria-hidden="true"><use href="#house"/></svg>leenest</a>
<nav class="places" aria-label="Pages">${pages.filter((p) => p.menu).map((p) => html`<a href="/${p.path}" aria-current=${p.path === f.place.path ? 'page' : nothing}>${p.title}</a>`)}</nav></header>
<main id="main" tabindex="-1">${f.body}</main>
<nav class="thumb" aria-label="At the thumb">${f.thumb ?? nothing}</nav>`;
}
