// SPDX-License-Identifier: GPL-3.0-or-later
// What the rose and the sun's way on the plan are drawn from, in figures.
import { html, nothing, type TemplateResult } from 'lit-html';
import { bearing, in100 } from './words.ts';
import type { SunAt } from './windrose.ts';

export function windsTable(rose: readonly number[], calm: number, sun: readonly SunAt[], night: string | undefined): TemplateResult | typeof nothing {
  if (rose.length === 0 && sun.length === 0) return nothing;
  const step = 360 / (rose.length || 1);
  return html`<details class="winds screen"><summary>Winds and sun in figures</summary>${night ? html`<p class="small">The night to come: ${night}.</p>` : nothing}
${rose.length ? html`<table><caption class="unseen">How often the winter wind comes from each side</caption><thead><tr><th scope="col">Winter wind from</th><th scope="col" class="n">in 100 hours</th></tr></thead><tbody>${rose.map((share, i) => html`<tr><th scope="row">${bearing(i * step)}</th><td class="n">${share > 0 ? in100(share) : '0'}</td></tr>`)}<tr><th scope="row">calm</th><td class="n">${calm > 0 ? in100(calm) : '0'}</td></tr></tbody></table>` : nothing}
${sun.length ? html`<table><caption class="unseen">Where the sun stands today, by the hour</caption><thead><tr><th scope="col">Hour</th><th scope="col" class="n">the sun stands at</th></tr></thead><tbody>${sun.filter((s) => s.hour).map((s) => html`<tr><th scope="row">${s.hour}:00</th><td class="n">${bearing(s.bearing_deg)}</td></tr>`)}</tbody></table>` : nothing}</details>`;
}
