// SPDX-License-Identifier: GPL-3.0-or-later
// Kin: what the pages of the herd share: a share as a percentage, eight squares of 1/32, what an answer rests on.
import { html, nothing, svg, type TemplateResult } from 'lit-html';
import { name, plural, tidy } from './words.ts';

export interface RestsOn { animals: number; generations: number | null; generations_least: number | null; least_known: string | null; depth: number | null; says: string }
export interface Finding { line: number | null; id: string | null; kind: string; weight: string; says: string }

const thin = '\u202f';
/** Inbreeding with one decimal. */
export const percent = (f: number | null): string => (f === null ? 'not known' : `${(f * 100).toFixed(1)}${thin}%`);
export const share = (f: number): string => (f > 0 && f < 0.005 ? `under 1${thin}%` : `${Math.round(f * 100)}${thin}%`);
/** Eight squares, each 1/32: it shows kinship without colour. */
export const squares = (n: number | null): TemplateResult | typeof nothing => (n === null ? nothing : html`<svg class="kin" viewBox="0 0 80 10" aria-hidden="true">${Array.from({ length: 8 }, (_, i) => svg`<rect class=${i < n ? 'f-ink l-ink w1' : 'f-none l-ink w1'} x=${1 + i * 10} y="1" width="7" height="8"/>`)}</svg>`);

export const restsOn = (r: RestsOn, findings: readonly Finding[], record: readonly string[]): TemplateResult => html`<details><summary>What it rests on, and how sure</summary><p>${tidy(r.says)}</p>
${record.length ? html`<ul>${record.map((x) => html`<li>${tidy(x)}</li>`)}</ul>` : nothing}
${findings.length ? html`<p><b>${plural(findings.length, 'thing')} to look at in the pedigree</b></p><ul>${findings.slice(0, 40).map((f) => html`<li><bdi>${f.says}</bdi></li>`)}</ul>${findings.length > 40 ? html`<p>${findings.length - 40} more stand in <code>leenest herd --json</code>.</p>` : nothing}` : nothing}</details>`;

const rightToLeft = /[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]/;
/** A sentence of the house: names that run right to left stand apart in it, so that figures beside them keep their place. */
export function saidOf(text: string, names: readonly string[]): TemplateResult {
  const turn = names.filter((n) => rightToLeft.test(n)).sort((a, b) => b.length - a.length).map((n) => n.replace(/[.*+?^${}()|[\]\\]/g, '\\$&'));
  if (turn.length === 0) return html`${tidy(text)}`;
  return html`${tidy(text).split(new RegExp(`(${turn.join('|')})`)).map((part, i) => (i % 2 ? name(part) : part))}`;
}
