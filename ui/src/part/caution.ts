// SPDX-License-Identifier: GPL-3.0-or-later
// Cautions: one ruled box a page, where the deed is done. On pages that grade it begins with "Go and look".
import { html, nothing, type TemplateResult } from 'lit-html';
import { tidy } from './words.ts';

export const goAndLook = 'Go and look. This page cannot see her.';

export function caution(lines: readonly string[], first?: string): TemplateResult | typeof nothing {
  if (lines.length === 0 && !first) return nothing;
  return html`<div class="caution" role="note" aria-label="Caution"><svg aria-hidden="true"><use href="#warn"/></svg><div>${first ? html`<p><b>${first}</b></p>` : nothing}${lines.map((l) => html`<p>${tidy(l)}</p>`)}</div></div>`;
}
