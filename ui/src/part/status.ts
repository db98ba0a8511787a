// SPDX-License-Identifier: GPL-3.0-or-later
// Status: the bars under the header, on every page: whether the house answers and of when the page is, what waits on this device,
// what was handed over or refused, a clock that is out, a newer answer.
import { html, nothing, type TemplateResult } from 'lit-html';
import type { Live } from '../base/live.ts';
import { reload } from '../base/page.ts';
import { clock, moment, plural, span } from './words.ts';

const bar = (mark: string, text: TemplateResult, cls = ''): TemplateResult => html`<div class=${`queue ${cls}`}><svg aria-hidden="true"><use href=${`#${mark}`}/></svg><p>${text}</p></div>`;
const wait = (n: number): string => `${plural(n, 'record')} ${n === 1 ? 'waits' : 'wait'}`;

function waitingBar(l: Readonly<Live>): TemplateResult {
  const where = l.reach === 'out' && l.out_since !== undefined ? `House out of reach since ${moment(l.out_since)}. ` : l.reach === 'in' ? 'They go over now. ' : '';
  return bar('phone', html`<b>${wait(l.waiting)} on this device.</b> ${l.waiting === 1 ? where.replace('They go', 'It goes') : where}${l.safe ? (l.waiting === 1 ? 'It is safe here.' : 'They are safe here.') : 'Leave this page open.'}${l.reach === 'out' && l.drawn !== undefined ? ` What you see is from ${moment(l.drawn)}.` : ''} <a href="/waiting">Show ${l.waiting === 1 ? 'it' : 'them'}</a>`);
}
function outBar(l: Readonly<Live>): TemplateResult {
  return bar('stale', html`<b>The house did not answer</b>${l.tried !== undefined ? ` (tried ${clock(l.tried)})` : ''}.${l.drawn !== undefined ? ` What you see is from ${moment(l.drawn)}.` : ''} Recording works. <button type="button" class="inlinebtn" @click=${() => reload()}>Try again</button>`);
}
function refusedBar(l: Readonly<Live>): TemplateResult {
  const n = l.refused.length;
  return bar('warn', html`<b>The house did not take ${plural(n, 'record')}:</b> <bdi>${l.refused[0]!.sentence}</bdi> <a href="/waiting">Look at ${n === 1 ? 'it' : 'them'}</a>`);
}
export function bars(l: Readonly<Live>): TemplateResult {
  const handed = l.handed > 0 && l.waiting === 0;
  return html`<div class="standing" role="status">${l.moved ? bar('warn', html`<b>You came by a new address.</b> Records may wait under the old one. Open the old address on this device, if it is still in its list of pages, and look at what waits there. <a href="/phone">The addresses of this house</a>`) : nothing}
${l.waiting > 0 ? waitingBar(l) : nothing}${handed ? bar('tick', html`<b>${l.handed === 1 ? 'The record is' : l.refused.length ? `${plural(l.handed, 'record')} are` : `All ${l.handed} are`} in the farm file.</b>`) : nothing}
${l.reach === 'out' && l.waiting === 0 ? outBar(l) : nothing}
${l.reach === 'in' && l.late && l.kept && l.drawn !== undefined ? bar('stale', html`What you see is from ${moment(l.drawn)}, until the house has answered.`) : nothing}
${l.refused.length > 0 ? refusedBar(l) : l.held > 0 ? bar('warn', html`<b>${plural(l.held, 'record')} ${l.held === 1 ? 'rests' : 'rest'} in the house, not taken.</b> <a href="/held">Look at ${l.held === 1 ? 'it' : 'them'}</a>`) : nothing}
${l.clock_off_s !== 0 ? bar('stale', html`<b>The clock of this device is ${span(Math.abs(l.clock_off_s) / 3600)} ${l.clock_off_s > 0 ? 'ahead of' : 'behind'} the house’s.</b> The hours written here are out by as much: put the clock right. The order of the records is kept all the same.`) : nothing}
</div>${l.newer || l.renewed ? html`<div class="queue newer" role="status"><button type="button" class="do" @click=${() => (l.renewed ? location.reload() : reload())}>${l.renewed ? 'Newer page: show' : 'Newer answer: show'}</button></div>` : nothing}`;
}
