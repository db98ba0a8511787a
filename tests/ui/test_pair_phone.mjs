// SPDX-License-Identifier: GPL-3.0-or-later
// A phone let in by the square code, over TLS under the farm's own authority: a worker is installed, the house is killed, the page
// opens with its last answer and its age, a record written meanwhile arrives once with the time it was made.
// In a network of its own (unshare), where this machine has a private address. The authority is trusted the way its owner does it,
// by loading it (openBrowser's `trust`), not by a flag that switches the check off: a flag would pass a wrong certificate too.
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { openFarm, sizes } from './browser.mjs';
import { bars, notes, queued, until, writeNote } from './away_kit.mjs';
import { anew, checks, looks, open, openBrowser, signIn } from './checks.mjs';

const has = (tool, ...args) => spawnSync(tool, args).status === 0;
if (process.argv[2] !== 'inside') {
  for (const [tool, ...args] of [['unshare', '--version'], ['ip', '-V'], ['certutil', '-H']]) if (spawnSync(tool, args).error) { console.log(`skipped: no ${tool} here`); process.exit(77); }
  const net = process.getuid?.() === 0 ? '-n' : '-rn';
  if (!has('unshare', net, 'ip', 'link', 'set', 'lo', 'up')) { console.log('skipped: no network of its own to be had'); process.exit(77); }
  process.exit(spawnSync('unshare', [net, process.execPath, process.argv[1], 'inside'], { stdio: 'inherit' }).status ?? 1);
}
for (const args of [['link', 'set', 'lo', 'up'], ['address', 'add', '192.168.7.20/24', 'dev', 'lo']]) if (!has('ip', ...args)) { console.log('skipped: no address of its own to be had'); process.exit(77); }

const c = checks('pair phone');
// the farm, its password, the house open to phones
const house = await openFarm(), word = spawnSync(house.program, ['--farm', house.path, 'password'], { input: 'clean straw tonight\n', encoding: 'utf8' });
if (word.status !== 0) throw new Error(word.stderr);
await house.stop();
const port = new URL(house.origin).port, lan = ['--lan', '--names', 'barn.home.arpa', '--port', port];
await house.start(lan);
const authority = join(house.path.replace(/\.leenest$/, '.leenest.door'), 'authority.crt');
const rules = '--host-resolver-rules=MAP barn.home.arpa 192.168.7.20';
let laptop, trusting, stranger;
try {
  c.ok(existsSync(authority), 'the farm has an authority of its own');
  laptop = await openBrowser();
  const here = await signIn(laptop, house, { viewport: sizes.laptop });
  await open(here.page, house, 'phone');
  let made;
  here.page.on('response', async (r) => { if (r.url().endsWith('/api/pair') && r.request().method() === 'POST') made = await r.json(); });
  await here.page.getByRole('button', { name: 'Make a code' }).click();
  await here.page.locator('figure.square').waitFor();
  await until(() => made);
  c.ok(/^https:\/\/barn\.home\.arpa:\d+\/#pair=/.test(made.address), `the code leads to the house's name over TLS: ${made.address.replace(/=.*/, '')}`);
  c.ok((await here.page.locator('figure.square').innerText()).includes(made.key), 'its key stands beside it, to be typed');
  await looks(c, here.page, house, 'phone');

  // who has not loaded the authority is warned by the browser, and never gets so far as a page
  stranger = await openBrowser([rules]);
  const foreign = await (await stranger.newContext()).newPage();
  c.ok(await foreign.goto(made.address).then(() => false, (e) => /ERR_CERT_AUTHORITY_INVALID/.test(String(e))), 'without the authority the browser refuses the certificate');

  // the phone
  trusting = await openBrowser([rules], { trust: authority });
  const phone = await trusting.newContext({ viewport: sizes.phone, timezoneId: 'Europe/London', locale: 'en-GB' }), asked = [], said = [];
  phone.setDefaultTimeout(40000);
  phone.on('request', (r) => asked.push(`${r.url()} ${r.postData() ?? ''}`));
  phone.on('page', (p) => p.on('pageerror', (e) => said.push(String(e))));
  const page = await phone.newPage(), origin = new URL(made.address).origin;
  await page.goto(made.address);
  await page.getByRole('heading', { name: 'Wait for the yes' }).waitFor();
  c.ok(!page.url().includes('pair='), 'the key does not stay in the address');
  c.ok(!asked.some((a) => a.split(' ')[0].includes(made.key)), 'nor was it in any address asked for');
  c.equal(await page.evaluate(() => [isSecureContext, location.protocol]), [true, 'https:'], 'the page is trusted by the browser');
  await here.page.getByText('asks to come in').waitFor(); // the laptop looks by itself
  await here.page.getByRole('button', { name: 'Let it in' }).click();
  await here.page.locator('.saidline', { hasText: 'Let in' }).waitFor();
  await page.getByRole('heading', { name: 'Wait for the yes' }).waitFor({ state: 'detached' });
  await page.locator('#main h1').waitFor();
  const kept = await phone.cookies();
  c.ok(kept.length === 1 && kept[0].secure && kept[0].httpOnly && kept[0].sameSite === 'Strict', 'its session is for TLS alone, and out of the reach of scripts');
  const second = await trusting.newContext(), other = await second.newPage();
  await other.goto(made.address);
  await other.getByText('has been used').first().waitFor();
  c.ok(true, 'the same code lets nobody else in');
  await second.close();

  // the worker, and what it keeps
  const farm = { origin };
  await anew(page, farm, 'records/note');
  c.ok(await until(() => page.evaluate(() => !!navigator.serviceWorker.controller), 60000), 'a worker holds the page, under the farm\u2019s own certificate');
  await anew(page, farm, 'tonight');
  const lead = await page.locator('.lead').first().innerText();
  await anew(page, farm, 'records/note');
  await page.waitForSelector('form.form textarea');
  const before = (await notes(page)).length;

  // the house is gone; the phone opens the page as from nothing
  await house.stop('SIGKILL');
  const gone = await phone.newPage();
  await page.close();
  await gone.goto(`${origin}/tonight`);
  await gone.locator('#main .board').waitFor(); // the answer, not the moment before it
  c.equal(await gone.locator('.lead').first().innerText(), lead, 'the page opens with the last answer');
  c.ok(await until(async () => /What you see is from \d\d:\d\d/.test(await bars(gone))), 'and says of when that is');
  await gone.goto(`${origin}/records/note`);
  await gone.waitForSelector('form.form textarea');
  const from = Date.now();
  await writeNote(gone, 'seen from the far gate');
  const to = Date.now();
  c.ok(await until(async () => /1.record waits on this device/.test(await bars(gone))), 'the record waits');
  c.ok(/safe here/.test(await bars(gone)), 'safe on this phone');
  c.equal((await queued(gone)).length, 1, 'in its own store');
  await gone.waitForTimeout(3000); // so that the time it arrives is not the time it was made

  // the house is back
  await house.start(lan);
  const back = Date.now();
  await gone.evaluate(() => dispatchEvent(new Event('online')));
  c.ok(await until(async () => (await queued(gone)).length === 0, 45000), 'handed over');
  const after = await notes(gone), mine = after.filter((n) => n.text === 'seen from the far gate');
  c.equal([after.length, mine.length], [before + 1, 1], 'it arrives once');
  const when = Date.parse(mine[0]?.recorded);
  c.ok(when >= from - 1000 && when <= to + 1000 && when < back, `with the time it was made (${mine[0]?.recorded}), not that of its arrival`);
  await gone.reload();
  await gone.waitForSelector('form.form textarea');
  c.ok(await until(async () => !/wait|reach/.test(await bars(gone))), 'nothing waits, the house is in reach');
  await gone.waitForTimeout(1000);
  c.equal((await notes(gone)).length, before + 1, 'loaded anew, nothing is handed over twice');
  c.equal(said, [], 'no error in the phone');
  c.equal(here.messages.filter((m) => !/ERR_|Failed to load/.test(m)), [], 'none on the machine');
} catch (e) { c.ok(false, String(e.stack ?? e).split('\n').slice(0, 6).join(' / ')); } finally { for (const b of [laptop, trusting, stranger]) await b?.close(); await house.close(); }
process.exit(c.end());
