// SPDX-License-Identifier: GPL-3.0-or-later
// Births: a farrowing under way as a line of minutes: each birth, now, when to look, when to ring.
import { html, svg, type TemplateResult } from 'lit-html';
import { r1, textScale, textWidth } from './axis.ts';
import type { Farrowing } from './answer.ts';
import { clock } from './words.ts';

export interface Born { at: string; dead: boolean }

export function births(w: number, f: Farrowing, born: readonly Born[], at: string): TemplateResult {
  const k = textScale(), ms = (t: string): number => Date.parse(t), t0 = ms(f.started), now = ms(at), vet = ms(f.ring_vet_at), look = ms(f.look_at);
  const t1 = Math.max(now, vet) + 20 * 60e3, pad = 8, x = (t: number): number => r1(pad + ((t - t0) / (t1 - t0)) * (w - 2 * pad));
  const y0 = 20 * k, y1 = r1(y0 + 28 * k), height = r1(y1 + 38 * k), row1 = r1(y1 + 16 * k), row2 = r1(y1 + 33 * k);
  const ends = (t: number, text: string, bold: boolean): string => {
    const half = textWidth(text, 13 * k, bold) / 2;
    return `${bold ? 'tb ' : ''}${x(t) - half < 2 ? '' : x(t) + half > w - 2 ? 'end' : 'mid'}`;
  };
  const put = (t: number, y: number, text: string, bold = false) => svg`<text class=${ends(t, text, bold)} x=${ends(t, text, bold).includes('end') ? w - 2 : ends(t, text, bold).includes('mid') ? x(t) : 2} y=${y}>${text}</text>`;
  let lastNumber = -99, alive = 0;
  const marks = born.map((b, i) => {
    if (!b.dead) alive++;
    const text = String(alive), free = x(ms(b.at)) - lastNumber > 16 * k || i === born.length - 1;
    if (free) lastNumber = x(ms(b.at));
    return svg`<line class=${b.dead ? 'l-ink w3 dash' : 'l-ink w4'} x1=${x(ms(b.at))} x2=${x(ms(b.at))} y1=${r1(y0 + 5)} y2=${y1}/>${free ? svg`<text class="tb mid" x=${x(ms(b.at))} y=${r1(y0 - 4)}>${b.dead ? 'dead' : text}</text>` : ''}`;
  });
  const label = `${born.length ? `${alive} born alive, at ${born.filter((b) => !b.dead).map((b) => clock(b.at)).join(', ')}.` : `Began at ${clock(f.started)}.`} Now ${clock(at)}, ${Math.floor(f.since_min)} minutes since the last. Look again at ${clock(f.look_at)}; ring the vet at ${clock(f.ring_vet_at)} if none more has come.`;
  return html`<svg class="full" viewBox="0 0 ${w} ${height}" role="img" aria-label=${label}><rect class="f-panel" x=${x(t0)} y=${y0} width=${r1(x(t1) - x(t0))} height=${r1(y1 - y0)}/><rect class="f-night" x=${x(look)} y=${y0} width=${r1(x(vet) - x(look))} height=${r1(y1 - y0)}/><rect class="emb" x=${x(vet)} y=${y0} width=${r1(x(t1) - x(vet))} height=${r1(y1 - y0)}/><line class="l-ink w2" x1=${x(t0)} x2=${x(t1)} y1=${y1} y2=${y1}/>${marks}<line class="l-ink w6" x1=${x(now)} x2=${x(now)} y1=${r1(y0 - 6)} y2=${r1(y1 + 4)}/><line class="l-straw w3" x1=${x(now)} x2=${x(now)} y1=${r1(y0 - 5)} y2=${r1(y1 + 3)}/>${put(now, row1, 'now', true)}${put(vet, row2, `ring the vet ${clock(f.ring_vet_at)}`, true)}${x(now) > textWidth(`began ${clock(f.started)}`, 13 * k) + 24 * k ? put(t0, row1, `began ${clock(f.started)}`) : ''}</svg>`;
}
