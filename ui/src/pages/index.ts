// SPDX-License-Identifier: GPL-3.0-or-later
// The pages, in the order of the menu.
import type { PageRow } from '../base/page.ts';

/** What the bare address opens: the everyday page, with the night on top of it in the farrowing weeks. */
export const first = 'round';
export const pages: PageRow[] = [
  { path: 'round', title: 'Round', menu: true, open: () => import('./round.ts') },
  { path: 'tonight', title: 'Tonight', menu: true, open: () => import('./tonight.ts') },
  { path: 'dawn', title: 'Dawn round', menu: true, open: () => import('./dawn.ts') },
  { path: 'due', title: 'Due', menu: true, open: () => import('./due.ts') },
  { path: 'season', title: 'Season', menu: true, open: () => import('./season.ts') },
  { path: 'herd', title: 'Herd', menu: true, open: () => import('./herd.ts') },
  { path: 'pairings', title: 'Pairings', menu: true, open: () => import('./pairings.ts') },
  { path: 'keep', title: 'Keep', menu: true, open: () => import('./keep.ts') },
  { path: 'field', title: 'Field', menu: true, open: () => import('./field.ts') },
  { path: 'weather', title: 'Weather', menu: true, open: () => import('./weather.ts') },
  { path: 'records', title: 'Records', menu: true, open: () => import('./records.ts') },
  { path: 'held', title: 'Held', menu: false, open: () => import('./held.ts') },
  { path: 'waiting', title: 'Waiting', menu: false, open: () => import('./waiting.ts') },
  { path: 'sow', title: 'Sow', menu: false, open: () => import('./sow.ts') },
  { path: 'certificate', title: 'Paper for a buyer', menu: false, open: () => import('./certificate.ts') },
  { path: 'pairing-list', title: 'Pairing list', menu: false, open: () => import('./pairing_list.ts') },
  { path: 'sheet', title: 'Night sheet', menu: false, open: () => import('./sheet.ts') },
  { path: 'begin', title: 'Begin', menu: false, open: () => import('./begin.ts') },
  { path: 'settings', title: 'Settings', menu: true, open: () => import('./settings.ts') },
  { path: 'phone', title: 'Phone', menu: false, open: () => import('./phone.ts') },
];
