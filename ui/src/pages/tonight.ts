// SPDX-License-Identifier: GPL-3.0-or-later
import { html } from 'lit-html';
import { get } from '../base/api.ts';
import type { Page } from '../base/page.ts';

export const page: Page<unknown> = {
  path: 'tonight', title: 'Tonight', menu: true,
  load: () => get('/api/number'),
  view: () => html`<div class="lead"><h1>Tonight</h1></div>`,
};
