// SPDX-License-Identifier: GPL-3.0-or-later
// Tree: the ancestors of one animal with lines from each to sire and dam. One list in lists: beside each other on paper and wide
// screens, one below the other on a phone. An ancestor of sire and dam both has a double frame and a number, never a colour alone.
import { html, nothing, type TemplateResult } from 'lit-html';
import { name } from './words.ts';

export interface Member { position: string; generation: number; index: number; name: string; id: string; sex: string; born: string | null; breed: string | null; f: number | null; times: number; common: boolean }
export interface Family { name: string; generations: number; f: number | null; f_says: string; says: string; known: number; places: number; different: number; members: Member[]; common: { name: string; id: string; part: number }[] }

/** The same number is the same animal, for those on both sides. */
export function numbers(f: Family): Map<string, number> {
  const out = new Map<string, number>();
  for (const m of f.members) if (m.common && !out.has(m.id)) out.set(m.id, out.size + 1);
  return out;
}
export const numberOf = (n: number | undefined): TemplateResult | typeof nothing => (n === undefined ? nothing : html` <span class="tagno"><span class="unseen">on both sides, number </span>${n}</span>`);
/** Index 5 in words: "sire’s dam". */
export const roleOf = (k: number): string => (k === 1 ? 'the animal' : [...k.toString(2).slice(1)].map((b) => (b === '0' ? 'sire' : 'dam')).join('’s '));
export const generationNames = ['the animal', 'parents', 'grand\u00adparents', 'great-grand\u00adparents', 'great-great-grand\u00adparents'];

interface How { label: string; from: 'animal' | 'parents'; last?: string; detail(m: Member): TemplateResult | string | typeof nothing }

export function tree(f: Family, how: How): TemplateResult {
  const at = new Map(f.members.map((m) => [m.index, m])), number = numbers(f), first = how.from === 'animal' ? 0 : 1;
  const deepest = Math.min(f.generations, Math.max(first + 1, ...f.members.map((m) => m.generation + 1))); // the generation after the last known: where the lines end
  const bare = (k: number, says: string, g: number): TemplateResult => html`<li class=${`k${deepest - g + 1}`}><div class="anc bare"><span class="unseen">${k ? `${roleOf(k)}: ` : ''}</span>${says}</div></li>`;
  const parents = (k: number, g: number): TemplateResult | typeof nothing => {
    if (g >= deepest) return nothing;
    if (!at.has(2 * k) && !at.has(2 * k + 1)) return html`<ul>${bare(0, 'parents not known', g + 1)}</ul>`;
    return html`<ul>${node(2 * k, g + 1)}${node(2 * k + 1, g + 1)}</ul>`;
  };
  const node = (k: number, g: number): TemplateResult => {
    const m = at.get(k);
    if (!m) return bare(k, k % 2 ? 'dam not known' : 'sire not known', g);
    return html`<li class=${`k${deepest - g + 1}`}><div class=${m.common ? 'anc common' : 'anc'}><span class="unseen">${roleOf(k)}: </span><b><span class="sexmark" aria-hidden="true">${m.sex === 'm' ? '□' : '○'}</span> ${name(m.name)}</b>${numberOf(number.get(m.id))}<small>${how.detail(m)}</small></div>${parents(k, g)}</li>`;
  };
  const heads = generationNames.slice(first, deepest + 1);
  return html`<div class=${`famtree h${heads.length}`} role="group" aria-label=${how.label}><div class="famheads" aria-hidden="true">${heads.map((h) => html`<span>${how.last && h === generationNames[4] ? how.last : h}</span>`)}</div><ul class="famroot">${how.from === 'animal' ? node(1, 0) : html`${node(2, 1)}${node(3, 1)}`}</ul></div>`;
}
