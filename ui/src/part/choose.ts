// SPDX-License-Identifier: GPL-3.0-or-later
// Big buttons of which one, or some, hold. Nothing is chosen beforehand.
import { html, nothing, type TemplateResult } from 'lit-html';

export type Option = [value: string, words: string | TemplateResult];

export function chooseOne(id: string, legend: string | TemplateResult, options: readonly Option[], value: string | undefined, set: (value: string) => void,
  how: { help?: string | TemplateResult; error?: string | undefined; wide?: boolean } = {}): TemplateResult {
  return html`<fieldset class="choice" id=${id} tabindex="-1" aria-describedby=${how.error ? `${id}-e` : nothing}><legend>${legend}</legend>${how.help ? html`<p class="hint">${how.help}</p>` : nothing}
<div class="opts ${how.wide ? 'two' : ''}">${options.map(([v, words]) => html`<label class=${v === '' ? 'opt unsaid' : 'opt'}><input type="radio" name=${id} value=${v} .checked=${value === v} @change=${() => set(v)}><span>${words}</span></label>`)}</div>${fault(id, how.error)}</fieldset>`;
}
export function chooseSome(id: string, legend: string | TemplateResult, options: readonly Option[], values: ReadonlySet<string>, set: (values: Set<string>) => void,
  how: { help?: string | TemplateResult; error?: string | undefined; wide?: boolean } = {}): TemplateResult {
  const turn = (v: string): void => { const s = new Set(values); if (!s.delete(v)) s.add(v); set(s); };
  return html`<fieldset class="choice" id=${id} tabindex="-1" aria-describedby=${how.error ? `${id}-e` : nothing}><legend>${legend}</legend>${how.help ? html`<p class="hint">${how.help}</p>` : nothing}
<div class="opts ${how.wide ? 'two' : ''}">${options.map(([v, words]) => html`<label class="opt"><input type="checkbox" value=${v} .checked=${values.has(v)} @change=${() => turn(v)}><span>${words}</span></label>`)}</div>${fault(id, how.error)}</fieldset>`;
}
/** What is wrong with a field, under it, in ink with the triangle. */
export function fault(id: string, error: string | undefined): TemplateResult | typeof nothing {
  return error ? html`<p class="fault" id=${`${id}-e`}><svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${error}</span></p>` : nothing;
}
