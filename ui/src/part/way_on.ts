// SPDX-License-Identifier: GPL-3.0-or-later
// Way on: a page that cannot be drawn says what is missing and gives the button to it. What is missing is told by the field that
// the house's refusal names.
import { html, nothing, type TemplateResult } from 'lit-html';
import { Refused } from '../base/api.ts';

interface Way { says: string; acts: readonly (readonly [href: string, words: string])[] }
const ways: Record<string, Way> = {
  farm: { says: 'The farm is not written down yet. Its name and where it lies are enough to begin; sows, huts and the weather follow in five steps.', acts: [['/begin', 'Begin a farm']] },
  weather: { says: 'No weather is known for the coming hours. Fetch a forecast, type what you heard, or read one from a file; then this page can say how cold each hour will be.', acts: [['/weather#bring', 'Bring weather in'], ['/due', 'Who is due']] },
  sow: { says: '', acts: [['/herd', 'All animals'], ['/records/animal', 'Write an animal']] },
};
const acts = (w: Way): TemplateResult => html`<div class="acts start">${w.acts.map(([href, words], i) => html`<a class=${i ? 'btn' : 'btn do'} href=${href}>${words}</a>`)}</div>`;
const wayOf = (e: unknown): Way | undefined => (e instanceof Refused && e.code === 404 ? ways[e.field] : undefined);
/** Nothing is in the house but the program: no page but the beginning has anything to show. */
export const noFarm = (e: unknown): boolean => e instanceof Refused && e.code === 404 && e.field === 'farm';
/** The hours to come are not known; everything else of the farm may be. */
export const noWeather = (e: unknown): boolean => e instanceof Refused && e.code === 404 && e.field === 'weather';

/** What is missing in words; undefined where the refusal's own sentence is the best there is. */
export const missing = (e: unknown): string | undefined => wayOf(e)?.says || undefined;
export function wayOn(e: unknown): TemplateResult | typeof nothing {
  const w = wayOf(e);
  return w ? acts(w) : nothing;
}
/** A page of a house that has no farm yet. */
export const beginPage = (title: string): TemplateResult => html`<div class="lead"><div><h1>${title}</h1><p>${ways['farm']!.says}</p></div></div>${acts(ways['farm']!)}`;
