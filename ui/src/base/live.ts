// SPDX-License-Identifier: GPL-3.0-or-later
// Live: whether the house answers, what waits on this device, how fresh the page is. One state; whoever shows it reads live().

/** How it stands with the house and this device. Moments are milliseconds of this device's clock. */
export interface Live {
  reach: 'asking' | 'in' | 'out'; // asking: not known yet, right after the page was opened
  out_since: number | undefined; // when the house stopped answering
  tried: number | undefined; // when it was last asked
  signed: boolean; // false: the house answered that this device has no session
  reckoning: boolean; // an answer is on its way: a thin line under the header
  drawn: number | undefined; // when the house gave what the page shows
  kept: boolean; // what the page shows is a kept answer, from `drawn`
  newer: boolean; // a newer answer waits for a tap, because the reader has scrolled or is writing
  number: number | undefined; // of the last change in the farm file, as the house said last
  forecast_age_h: number | undefined; // undefined: no forecast
  held: number; // records the house holds, refused
  flags: number; // odd ones, kept
  read_only: boolean;
  waiting: number; // records on this device that the house does not have yet
  waiting_since: number | undefined; // when the oldest of them was made
  handed: number; // how many were just handed over; back to 0 ten seconds later
  refused: readonly { uid: string; called: string; sentence: string; where: 'held' | 'here' }[]; // not taken, and not yet read
  clock_off_s: number; // how far this device's clock is ahead of the house's; 0 when under a minute
  safe: boolean; // the page opens out of reach too: a service worker holds it
  renewed: boolean; // the house has another build of the page than the one that runs here
  moved: boolean; // came by a new address: records may wait under the old one
}

const state: Live = {
  reach: 'asking', out_since: undefined, tried: undefined, signed: true, reckoning: false, drawn: undefined, kept: false, newer: false,
  number: undefined, forecast_age_h: undefined, held: 0, flags: 0, read_only: false, waiting: 0, waiting_since: undefined, handed: 0,
  refused: [], clock_off_s: 0, safe: false, renewed: false, moved: false,
};
export function live(): Readonly<Live> { return state; }
