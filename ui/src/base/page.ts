// SPDX-License-Identifier: GPL-3.0-or-later
// Page: what the frame needs to know of each page. A page asks (load), then draws what it got (view); the frame calls load
// again when something was recorded anywhere, and view after every redraw().
import type { TemplateResult } from 'lit-html';

export interface Place {
  path: string; // "sow"
  rest: string; // "Bramble" of /sow/Bramble
  query: URLSearchParams;
}

export interface Page<Data = unknown> {
  path: string; // first part of the address
  title: string; // in the menu and in the window's title
  menu: boolean; // stands in the menu
  load(place: Place): Promise<Data>;
  view(data: Data, place: Place): TemplateResult;
  thumb?(data: Data, place: Place): TemplateResult; // the two buttons beside Pages on a phone
  leave?(): void;
}

// Pages are fetched when they are first opened.
export interface PageRow { path: string; title: string; menu: boolean; open(): Promise<{ page: Page<any> }> }

let draw: () => void = () => {};
let again: () => void = () => {};
export function frameIs(how: { draw: () => void; again: () => void }): void { draw = how.draw; again = how.again; }
/** Draw the page again from what it has. */
export function redraw(): void { draw(); }
/** Ask again, then draw. */
export function reload(): void { again(); }
/** Go to another page of this house: "/sow/Bramble". */
export function go(address: string): void {
  history.pushState(null, '', address);
  dispatchEvent(new PopStateEvent('popstate'));
}
