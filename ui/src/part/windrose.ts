// SPDX-License-Identifier: GPL-3.0-or-later
// Wind rose and sun path, as they lie on the plan and in the dial: blades point to where the wind comes from, dots are
// where the sun stands.
import { svg, type SVGTemplateResult } from 'lit-html';
import { path, pol, r1, turn } from './polar.ts';

export interface SunAt { bearing_deg: number; hour: string; label: boolean }

/** Blades of `rose` (any count per sector, north first, clockwise), the longest `r` long. */
export function blades(cx: number, cy: number, r: number, rose: number[]): SVGTemplateResult {
  const most = Math.max(...rose, 1e-9), step = 360 / rose.length;
  return svg`${rose.map((n, i) => {
    const k = (n / most) * r, a = pol(cx, cy, k, i * step - step * 0.36), b = pol(cx, cy, k, i * step + step * 0.36);
    return k < 0.5 ? '' : svg`<path class="f-rule l-ink2 w1" d=${`M${r1(cx)} ${r1(cy)}L${r1(a[0])} ${r1(a[1])}L${r1(b[0])} ${r1(b[1])}z`}/>`;
  })}`;
}

/** The sun's way by day on a circle of radius r, with its hours outside it. */
export function sunPath(cx: number, cy: number, r: number, sun: SunAt[], dot = 5, text = true): SVGTemplateResult {
  const way: [number, number][] = [];
  sun.forEach((s, i) => {
    const before = sun[i - 1];
    if (before) {
      const t = turn(before.bearing_deg, s.bearing_deg), n = Math.max(1, Math.ceil(Math.abs(t) / 5));
      for (let j = 1; j < n; j++) way.push(pol(cx, cy, r, before.bearing_deg + (t * j) / n));
    }
    way.push(pol(cx, cy, r, s.bearing_deg));
  });
  return svg`${way.length > 1 ? svg`<path class="f-none l-ink w2 dots" d=${path(way)}/>` : ''}
${sun.filter((s) => s.label).map((s) => {
    const [x, y] = pol(cx, cy, r, s.bearing_deg), [tx, ty] = pol(cx, cy, r + dot + 9, s.bearing_deg);
    return svg`<circle class="f-straw l-ink w15" cx=${r1(x)} cy=${r1(y)} r=${dot}/>${text ? svg`<text class="mid ts" x=${r1(tx)} y=${r1(ty + 4)}>${s.hour}</text>` : ''}`;
  })}`;
}
