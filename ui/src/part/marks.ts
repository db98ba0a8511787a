// SPDX-License-Identifier: GPL-3.0-or-later
// Patterns and marks, once a page. Visually hidden, not display:none: some browsers lose patterns then.
import { html } from 'lit-html';

export const marks = html`<svg width="0" height="0" class="unseen" aria-hidden="true" focusable="false"><defs>
<pattern id="p1" width="7" height="7" patternUnits="userSpaceOnUse"><rect class="p1b" width="7" height="7"/><circle class="p1m" cx="2" cy="2" r="1"/><circle class="p1m" cx="5.5" cy="5.5" r="1"/></pattern>
<pattern id="p2" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect class="p2b" width="6" height="6"/><line class="p2m" x1="1" y1="0" x2="1" y2="6"/></pattern>
<pattern id="q1" width="7" height="7" patternUnits="userSpaceOnUse"><rect class="q1b" width="7" height="7"/><circle class="q1m" cx="2" cy="2" r="1"/></pattern>
<pattern id="q2" width="6" height="6" patternUnits="userSpaceOnUse"><rect class="q2b" width="6" height="6"/><line class="q2m" x1="0" y1="2" x2="6" y2="2"/></pattern>
<pattern id="past" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)"><line class="l-rule w1" x1="1" y1="0" x2="1" y2="5"/></pattern>
<pattern id="wetp" width="16" height="10" patternUnits="userSpaceOnUse"><path class="l-wet w15 f-none" d="M1 4q3.5-4 7 0t7 0"/></pattern>
<symbol id="k0" viewBox="0 0 34 20"><circle class="f-none l-ink w2" cx="17" cy="10" r="7"/></symbol>
<symbol id="k1" viewBox="0 0 34 20"><path class="f-ink" d="M2 17h30v2H2zM12 17L17 4l5 13z"/></symbol>
<symbol id="k2" viewBox="0 0 34 20"><path class="f-ink" d="M2 17h30v2H2zM5 17L11 3l6 14zM17 17L23 3l6 14z"/></symbol>
<symbol id="k3" viewBox="0 0 34 20"><rect class="f-ink" width="34" height="20" rx="2"/><path class="f-panel" d="M3 16L8 4l5 12zM12 16L17 4l5 12zM21 16L26 4l5 12z"/></symbol>
<symbol id="w1" viewBox="0 0 34 20"><path class="f-ink" d="M2 17h30v2H2zM11 17a6 8 0 0 1 12 0z"/></symbol>
<symbol id="w2" viewBox="0 0 34 20"><path class="f-ink" d="M2 17h30v2H2zM5 17a6 9 0 0 1 11.4 0zM17.6 17a6 9 0 0 1 11.4 0z"/></symbol>
<symbol id="w3" viewBox="0 0 34 20"><rect class="f-ink" width="34" height="20" rx="2"/><path class="f-panel" d="M2.5 16a4.5 9 0 0 1 9 0zM12.5 16a4.5 9 0 0 1 9 0zM22.5 16a4.5 9 0 0 1 9 0z"/></symbol>
<symbol id="house" viewBox="0 0 30 24"><path class="f-straw l-ink w2" d="M3 22V15a12 12 0 0 1 24 0v7z"/><path class="f-ink" d="M11 22v-5a4 5 0 0 1 8 0v5z"/><path class="l-ink w2 f-none" d="M0 22h30"/></symbol>
<symbol id="warn" viewBox="0 0 28 28"><path class="f-none l-ink w2" d="M14 3L26 25H2z"/><path class="f-ink" d="M12.7 10h2.6l-.5 8h-1.6zM12.6 20h2.8v2.6h-2.8z"/></symbol>
<symbol id="phone" viewBox="0 0 22 22"><rect class="f-none l-ink w2" x="5" y="1.5" width="12" height="19" rx="2"/><path class="l-ink w2" d="M9 17.5h4"/></symbol>
<symbol id="tick" viewBox="0 0 22 22"><path class="f-none l-ink w3" d="M3 12l5 6L19 4"/></symbol>
<symbol id="fresh" viewBox="0 0 16 16"><circle class="f-ink" cx="8" cy="8" r="6"/></symbol>
<symbol id="stale" viewBox="0 0 16 16"><circle class="f-none l-ink w2" cx="8" cy="8" r="6"/><path class="l-ink w2" d="M8 4v4h3"/></symbol>
<symbol id="none" viewBox="0 0 16 16"><circle class="f-none l-ink w2" cx="8" cy="8" r="6"/><path class="l-ink w2" d="M4 12L12 4"/></symbol>
</defs></svg>`;
