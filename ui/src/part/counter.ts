// SPDX-License-Identifier: GPL-3.0-or-later
// A counter for a thumb in a glove. It begins at a dash: what is not pressed is not recorded. One fewer from the dash is
// none; one fewer from none is the dash again.
import { html, type TemplateResult } from 'lit-html';

export function counter(label: string, small: string, value: number | undefined, set: (value: number | undefined) => void, most = 30): TemplateResult {
  const says = value === undefined ? '–' : String(value);
  return html`<div class="count" role="group" aria-label=${label}><span class="lab">${label}<small>${small}</small></span>
<button type="button" aria-label="${label}: one fewer" @click=${() => set(value === undefined ? 0 : value === 0 ? undefined : value - 1)}>−</button>
<output aria-live="polite" aria-label=${value === undefined ? `${label}: not counted` : `${label}: ${value}`}>${says}</output>
<button type="button" aria-label="${label}: one more" @click=${() => set(Math.min(most, (value ?? 0) + 1))}>+</button></div>`;
}
