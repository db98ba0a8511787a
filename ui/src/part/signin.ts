// SPDX-License-Identifier: GPL-3.0-or-later
// The page when this device has no session: a password, or the key of a square code. What waits here stays.
import { html, nothing, type TemplateResult } from 'lit-html';
import { live } from '../base/live.ts';
import { redraw, reload } from '../base/page.ts';
import { calledHere, coming, withPairing, withPassword } from '../base/session.ts';
import { plural } from './words.ts';

let was = false;
/** This device had a session when the page was opened, and has it no more. */
export function hadSession(): void { was = true; }

async function tryIt(e: SubmitEvent): Promise<void> {
  e.preventDefault();
  const f = e.target as HTMLFormElement, data = new FormData(f), called = String(data.get('called') ?? '').trim() || calledHere();
  const password = String(data.get('password') ?? ''), key = String(data.get('pair') ?? '').trim();
  if (coming.busy || (!password && !key)) return;
  const done = key ? withPairing(key.replace(/^.*#pair=/, ''), called, redraw) : withPassword(password, called);
  redraw();
  if (await done) { f.reset(); reload(); } else { redraw(); document.getElementById('signin-trouble')?.focus(); }
}
export function signInPage(): TemplateResult {
  const l = live(), d = coming.door, waits = l.waiting > 0 ? html` ${plural(l.waiting, 'record')} ${l.waiting === 1 ? 'waits' : 'wait'} here and ${l.waiting === 1 ? 'goes' : 'go'} over afterwards.` : nothing;
  if (coming.pair) return html`<div class="lead"><div><h1>Wait for the yes</h1><p>The machine at the house now shows that this device asks to be let in. Somebody there says yes; this page goes on by itself.</p><p>It is asked as <b>${calledHere()}</b>.${waits}</p></div></div>`;
  return html`<div class="lead"><div><h1>Sign in</h1><p>${was ? 'This device was signed out, at the machine or because the password was changed. Nothing that was written here is lost.' : 'The house does not know this device.'}${waits}</p></div></div>
<section class="sec signin"><form class="form" novalidate @submit=${(e: SubmitEvent) => void tryIt(e)}>
<p class="fault" id="signin-trouble" tabindex="-1" role="alert">${coming.trouble ? html`<svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${coming.trouble}</span>` : nothing}</p>
<div class="field"><label for="signin-called">What this device is called</label><p class="hint" id="signin-called-h">The house shows it in its list of devices</p><div class="entry"><input id="signin-called" name="called" type="text" dir="auto" autocomplete="off" maxlength="60" aria-describedby="signin-called-h" .value=${calledHere()}></div></div>
${d && !d.password_set ? html`<p class="hint">No password is set on this farm. On its machine: leenest password</p>` : html`<div class="field"><label for="signin-password">The farm’s password</label><div class="entry"><input id="signin-password" name="password" type="password" autocomplete="current-password"></div></div>`}
${d && !d.lan ? nothing : html`<details class="restfields"><summary>I have a key from the machine instead</summary><div class="field"><label for="signin-pair">Key from the square code</label><p class="hint" id="signin-pair-h">What stands after #pair= in the address, good for five minutes</p><div class="entry"><input id="signin-pair" name="pair" type="text" autocomplete="off" autocapitalize="off" spellcheck="false" aria-describedby="signin-pair-h"></div></div></details>`}
<div class="acts"><button class="do" type="submit" ?disabled=${coming.busy}>Sign in</button></div></form>
<p class="small">At the machine itself: open the address that the program printed when it started; it carries a key.</p></section>`;
}
