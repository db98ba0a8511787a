// SPDX-License-Identifier: GPL-3.0-or-later
// Help at the hut, in three steps each; needs no signal, for it comes with the page. Common practice, and the vet comes first.
import { html, nothing, type TemplateResult } from 'lit-html';
import { caution } from './caution.ts';
import { name, temp, usUnits } from './words.ts';

export interface Phone { name: string; phone: string }
const step = (title: string, id: string, steps: (string | TemplateResult)[], vet: string): TemplateResult =>
  html`<section class="sec help" aria-labelledby=${id}><h2 id=${id}>${title}</h2><ol>${steps.map((s) => html`<li>${s}</li>`)}</ol><p class="ring"><b>Ring the vet:</b> ${vet}</p></section>`;

export function helpView(vets: readonly Phone[]): TemplateResult {
  const warm = usUnits() ? '93 to 95 °F' : `34 to ${temp(35)}`;
  return html`<div class="lead"><div><h1>Help at the hut</h1><p>Yourself first: a board between you and her, and a way out behind you.</p></div></div>
${vets.length ? html`<div class="acts start">${vets.map((v) => html`<a class="btn do" href=${`tel:${v.phone.replace(/[^+0-9]/g, '')}`}><span>Ring ${name(v.name)}: ${v.phone}</span></a>`)}</div>` : html`<p class="note">No vet's number is written down. <a href="/records/person">Write the vet</a></p>`}
${step('A cold or limp piglet', 'help-cold', [
    html`<b>Out of the wind, and dry it.</b> Rub it with straw or a towel until its skin is dry, ears and feet too.`,
    html`<b>Warm it before it gets milk.</b> In a box at ${warm}, or under your coat against the skin. A cold one cannot swallow safely and does not digest.`,
    html`<b>Warm again, mouth warm, sucks your finger: back to a teat.</b> See that it drinks. Put it in the straw between the others, away from the door.`],
  'for one that does not come round within half an hour or will not suck, or when several are limp.')}
${step('She strains and nothing comes', 'help-strain', [
    html`<b>Note the time and leave her quiet.</b> Press One more born at each birth: the clock is noted.`,
    html`<b>After 30 minutes without one, look.</b> Does she strain, or lie resting? Foul-smelling, or bloody and no piglet?`,
    html`<b>After 45 minutes do not wait on.</b> Do not reach into her unless you have been shown how, with clean hands and the vet on the line.`],
  '45 minutes of straining with none born, 45 minutes between two, a stuck piglet, or a sow that gives up, shakes or is cold.')}
${step('A fierce sow', 'help-fierce', [
    html`<b>Go back out.</b> Nobody steps in alone or without a board. Never get between her and the nest, and never kneel beside her.`,
    html`<b>Quiet and distance.</b> Dogs, strangers and torches away. Most settle when the last one is born and the afterbirth is out.`,
    html`<b>If she snaps at her young:</b> a second person holds the board; the first draws piglets out with a long crook or shovel into a warm dry box. Back when she is calm.`],
  'if she goes on attacking them, or if she has bitten anyone. A bite goes to a doctor the same day.')}
${caution(['This is common practice, not a diagnosis. The vet and local rules come first. No lamp or flame near straw.'], 'Go and look. This page cannot see her.')}
${nothing}<div class="acts end"><a class="btn do" href="/dawn">Back to the round</a></div>`;
}
