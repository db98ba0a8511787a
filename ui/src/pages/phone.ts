// SPDX-License-Identifier: GPL-3.0-or-later
// A phone in three steps, each with its own tick: same network, trust, try it. At every step what already works is said.
import { html, nothing, type TemplateResult } from 'lit-html';
import { get, post } from '../base/api.ts';
import { redraw, reload, type Page } from '../base/page.ts';
import { chooseOne } from '../part/choose.ts';
import { house, type House } from '../part/house.ts';
import { saidLine, said, saidNothing } from '../part/said.ts';
import { squareCode } from '../part/square.ts';
import { clock, dayYear, name } from '../part/words.ts';

interface Session { signed_in: boolean; called: string; here: boolean; master: boolean; lan: boolean; password_set: boolean; secure: boolean }
interface Device { device: number; called: string; since: string; seen: string; this_one: boolean }
interface Data { house: House; session: Session; devices: Device[]; waiting: { device: number; called: string }[]; addresses: string[] }
let code: { key: string; address: string; svg: string; until: string } | undefined, trouble = '', system = '', busy = false;
let watch: ReturnType<typeof setInterval> | undefined;
const TICKS = 'leenest-phone-steps';
const ticks = (): Set<string> => { try { return new Set(JSON.parse(localStorage.getItem(TICKS) ?? '[]') as string[]); } catch { return new Set(); } };
function turnTick(step: string): void { const t = ticks(); if (!t.delete(step)) t.add(step); try { localStorage.setItem(TICKS, JSON.stringify([...t])); } catch { /* not kept by this browser */ } redraw(); }

async function load(): Promise<Data> {
  const [h, session] = await Promise.all([house(), get<Session>('/api/session')]);
  const [devices, waiting, addresses] = await Promise.all([
    get<{ devices: Device[] }>('/api/devices').then((r) => r.devices),
    session.master && session.lan ? get<{ waiting: Data['waiting'] }>('/api/pair').then((r) => r.waiting) : Promise.resolve([]),
    session.lan ? get<{ addresses: (string | { address: string })[] }>('/api/addresses').then((r) => r.addresses.map((a) => (typeof a === 'string' ? a : a.address))) : Promise.resolve([]),
  ]);
  return { house: h, session, devices, waiting, addresses };
}
async function act(what: () => Promise<void>): Promise<void> {
  if (busy) return;
  busy = true; trouble = ''; redraw();
  try { await what(); } catch (e) { trouble = e instanceof Error ? e.message : String(e); }
  busy = false; redraw();
}
const makeCode = (): Promise<void> => act(async () => {
  code = await post('/api/pair', {});
  watch ??= setInterval(() => { if (code && new Date(code.until) > new Date()) reload(); else { clearInterval(watch); watch = undefined; code = undefined; redraw(); } }, 4000);
});
const answer = (device: number, called: string, yes: boolean): Promise<void> => act(async () => {
  await post('/api/pair/yes', { device, yes });
  if (yes) { const t = ticks(); t.add('1'); try { localStorage.setItem(TICKS, JSON.stringify([...t])); } catch { /* not kept */ } code = undefined; }
  said(yes ? html`Let in: ${name(called)}` : html`Turned away: ${name(called)}`, []); reload();
});
const end = (device: number, called: string): Promise<void> => act(async () => { await post('/api/devices/end', { device }); said(html`Signed out: ${name(called)}`, []); reload(); });

const trust: Record<string, [string, string[]]> = {
  iphone: ['iPhone or iPad', ['Open the file in Safari and allow it to be loaded.', 'Settings, at the top: Profile loaded. Install it; the phone asks for its code.', 'Settings, General, About, Certificate trust: switch this house on.', 'In Safari: Share, then Add to Home Screen.']],
  android: ['Android', ['Load the file. Settings, Security, More, Install a certificate, CA certificate.', 'The phone warns in red and asks for its code: go on.', 'Choose the file from the downloads.', 'In the browser\u2019s menu: Add to Home screen, Install.']],
  computer: ['A computer', ['Load the file and open it, or open the browser\u2019s settings: Privacy, Certificates, Authorities, Import.', 'Tick that it may name web sites.', 'Load this page again.', 'In the browser\u2019s menu: Install this page.']],
};
function stepView(n: string, title: string, body: TemplateResult, works: string): TemplateResult {
  const on = ticks().has(n);
  return html`<section class="sec phonestep"><h2>${n}. ${title}</h2>${body}<p class="works"><b>You may stop here:</b> ${works}</p><label class="opt tickopt"><input type="checkbox" .checked=${on} @change=${() => turnTick(n)}><span>${on ? 'Done' : 'Not done yet'}<span class="unseen">: ${title}</span></span></label></section>`;
}
function view(d: Data): TemplateResult {
  const s = d.session;
  const one = !s.lan ? html`<p>This program answers this machine alone. To let a phone in, end it and start it so:</p><pre class="raw">leenest serve --lan</pre><p>It asks for a password the first time. Phone and machine must hang on the same network.</p>`
    : !s.master ? html`<p>Phones are let in at the machine itself, or by who gave the password there.</p>`
      : html`<p>Take the phone into the same network as this machine. Make a code, point the phone\u2019s camera at it, open the address.</p>
${code ? html`<figure class="square">${squareCode(code.svg, 'Square code with the address for the phone')}<figcaption><b class="address"><bdi>${code.address}</bdi></b><br>Key, when it is asked for: <b class="address">${code.key}</b><br>Good until ${clock(code.until)}.</figcaption></figure>` : nothing}
${d.addresses.length && !code ? html`<p class="small">This machine is reached as: ${d.addresses.map((a, i) => html`${i ? ', ' : ''}<bdi>${a}</bdi>`)}</p>` : nothing}
<div class="acts"><button type="button" class=${code ? '' : 'do'} ?disabled=${busy} @click=${() => void makeCode()}>${code ? 'Make a new code' : 'Make a code'}</button></div>
${d.waiting.map((w) => html`<div class="takeout" role="group" aria-label="A phone asks to come in"><p><b>${name(w.called)} asks to come in.</b> Is it the phone in your hand?</p><div class="acts"><button type="button" class="do" @click=${() => void answer(w.device, w.called, true)}>Let it in</button><button type="button" @click=${() => void answer(w.device, w.called, false)}>Turn it away</button></div></div>`)}`;
  const two = html`<p>Until it trusts this house, the phone warns at each visit and keeps no page for the field. The file below signs nothing but this house\u2019s own names; it cannot read along on other sites.</p>
${s.lan ? html`<div class="acts"><a class="btn do" href="/api/certificate" download="leenest-house.crt">Load the file</a></div>` : nothing}
${chooseOne('system', 'On what is it done?', Object.entries(trust).map(([k, [t]]) => [k, t]), system || undefined, (k) => { system = k; redraw(); })}${system ? html`<ol class="plainlist">${trust[system]?.[1].map((t) => html`<li>${t}</li>`)}</ol><p class="small">Words differ a little from phone to phone.</p>` : nothing}`;
  const three = html`<p>Walk out of reach with the phone, record a look on the <a href="/dawn">dawn round</a>, come back. The bar at the top says that one record waits; in reach of the house it says that all are in the farm file.</p>`;
  return html`<div class="lead"><div><h1>A phone</h1><p>In three steps. Recording in the field works from the first one on.</p></div></div>${saidLine()}
${trouble ? html`<p class="fault" role="alert"><svg aria-hidden="true" viewBox="0 0 28 28"><use href="#warn"/></svg><span>${trouble}</span></p>` : nothing}
${stepView('1', 'Same network', one, 'recording works while the page stays open on the phone, also out of reach.')}
${stepView('2', 'Trust', two, 'the page opens out of reach too, with the last answer, and records are safe on the phone.')}
${stepView('3', 'Try it', three, 'the phone is ready for the night.')}
<section class="sec"><h2>Who is signed in</h2>${devicesView(d.devices, (x) => void end(x.device, x.called))}</section>`;
}
export function devicesView(devices: readonly Device[], endOne: (d: Device) => void): TemplateResult {
  return devices.length ? html`<ul class="list facts">${devices.map((x) => html`<li class="fact devrow"><p><b>${name(x.called)}</b>${x.this_one ? ' (this one)' : ''}</p><p class="small">since ${clockDay(x.since)}, last seen ${clockDay(x.seen)}</p><button type="button" class="plainbtn" @click=${() => endOne(x)}>Sign it out<span class="unseen">: ${x.called}</span></button></li>`)}</ul>` : html`<p>Nobody else is signed in.</p>`;
}
const clockDay = (t: string): string => `${dayYear(t)}, ${clock(t)}`;
export const page: Page<Data> = {
  path: 'phone', title: 'Phone', menu: false, load, view,
  thumb: () => html`<a class="btn" href="/round">To the round</a><a class="btn" href="/settings">Settings</a>`,
  leave() { clearInterval(watch); watch = undefined; code = undefined; trouble = ''; saidNothing(); },
};
