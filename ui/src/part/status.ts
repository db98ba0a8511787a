// SPDX-License-Identifier: GPL-3.0-or-later
// Status: the bars under the header that say how it stands with the house and with what waits here. main.ts puts them at the top of the page.
import { html, type TemplateResult } from 'lit-html';

export function bars(): TemplateResult { return html``; }
