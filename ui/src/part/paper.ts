// SPDX-License-Identifier: GPL-3.0-or-later
// Paper: A4 or US Letter, by the farm's units until the reader says otherwise; the buttons above a sheet.
import { html, type TemplateResult } from 'lit-html';
import { redraw } from '../base/page.ts';
import { usUnits } from './words.ts';

export type Paper = 'a4' | 'letter';
let chosen: Paper | undefined;
export const paperSize = (): Paper => chosen ?? (usUnits() ? 'letter' : 'a4');
const take = (p: Paper): void => { chosen = p; redraw(); };

export function paperButtons(more: TemplateResult): TemplateResult {
  const size = paperSize();
  return html`<div class="acts"><button class="do" @click=${() => print()}>Print</button><button aria-pressed=${size === 'a4' ? 'true' : 'false'} @click=${() => take('a4')}>A4</button><button aria-pressed=${size === 'letter' ? 'true' : 'false'} @click=${() => take('letter')}>US Letter</button>${more}</div>`;
}
export const tickBox = html`<span class="box" role="img" aria-label="box to tick"></span>`;
export const fillIn = (label: string, given = ''): TemplateResult => html`<p class="fill"><span>${label}</span><span class="fillin">${given}</span></p>`;
