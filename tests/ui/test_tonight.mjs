// SPDX-License-Identifier: GPL-3.0-or-later
// The night's page on the demo farm, as a reader has it before them, and in every state: the house's own answer, changed on its
// way to the browser in what makes the state. What is looked for: the promise of the strip (its dark area is the chance that she
// farrows into danger, reckoned anew here from the answer), one scale, words before drawings, names that stay names, buttons a
// glove can press, no scrolling sideways, and what axe finds (WCAG 2.2 A and AA).
import { axe, openBrowser, openFarm } from './browser.mjs';

let checks = 0, failed = 0;
const check = (ok, what, more = '') => { checks++; if (!ok) { failed++; console.log(`FAILED: ${what} ${more}`); } };
const house = await openFarm();
process.on('exit', () => house.process?.kill());
const browser = await openBrowser();
const context = await browser.newContext({ locale: 'en-GB' });
const said = [];
async function open({ width = 390, height = 844, colorScheme = 'light', change, path = 'tonight', number } = {}) {
  const page = await context.newPage();
  page.on('console', (m) => said.push(`${m.type()} ${m.text()}`));
  page.on('pageerror', (e) => said.push(String(e)));
  page.on('dialog', (d) => { said.push(`dialog ${d.message()}`); void d.dismiss(); });
  await page.setViewportSize({ width, height });
  await page.emulateMedia({ colorScheme });
  if (change) await page.route('**/api/tonight*', (r) => { const t = structuredClone(base); change(t); return r.fulfill({ json: t }); });
  if (number) await page.route('**/api/number*', async (r) => { const x = await r.fetch(); await r.fulfill({ json: { ...await x.json(), ...number } }); });
  await page.goto(`${house.origin}/${path}`);
  await page.waitForSelector('.board, .sheet', { timeout: 60000 });
  await page.waitForFunction(() => !document.querySelector('.reckoning'), null, { timeout: 60000 }); // a kept answer is shown until the new one is here
  await page.waitForTimeout(150); // the drawings find their width
  return page;
}
const text = (page, where = 'main') => page.locator(where).innerText();

const first = await context.newPage();
await first.goto(house.address);
await first.waitForSelector('main h1', { timeout: 60000 });
await first.goto(`${house.origin}/tonight`);
await first.waitForSelector('.board', { timeout: 60000 });
const base = await first.evaluate(async () => (await fetch('/api/tonight')).json());
await first.close();
const iso = (ms) => new Date(ms).toISOString().replace('.000', '');
const at = Date.parse(base.at), H = 3600e3, near = base.sows.filter((s) => s.hours);

/* ---- what stands there */
let page = await open();
{
  const t = await text(page), lead = await text(page, '.lead >> nth=0');
  check(await page.locator('h1').count() === 1, 'one h1');
  check(/^\w+day night/.test(await text(page, 'h1')), 'the night is named by its evening');
  const best = [...near].sort((a, b) => b.p_before_dawn - a.p_before_dawn)[0];
  check(lead.includes(best.name), 'the lead names the sow that matters');
  check(t.includes('Go and look. This page cannot see her.'), 'go and look');
  check(!/\b(die|dies|dead piglets|mortality)\b/i.test(t), 'no death is foretold');
  for (const j of base.jobs) check(t.toLowerCase().includes(j.place.toLowerCase()), `job at ${j.place}`);
  for (const s of near) check(await page.getByRole('heading', { level: 3, name: s.name, exact: true }).count() === 1, `h3 of ${s.name}`);
  const h2 = await page.locator('h2').allInnerTexts();
  check(h2.some((x) => x.startsWith('To do')) && h2.some((x) => x.startsWith('Only to look at')), 'parts of the page', h2.join());
  const box = await page.locator('.todo').boundingBox();
  check(box && box.y + 60 < 844 - 76, 'the first job is on the first screen of a phone', JSON.stringify(box));
  const small = await page.locator('.acts button:visible, .acts .btn:visible, .thumb button, .thumb .btn').evaluateAll((all) => all.map((b) => [b.textContent.trim(), b.getBoundingClientRect().height]).filter(([, h]) => h < 55.5));
  check(small.length === 0, 'buttons are 56 px', JSON.stringify(small.slice(0, 4)));
  const drawings = await page.locator('svg[role=img]').evaluateAll((all) => all.filter((s) => !s.getAttribute('aria-label')).length);
  check(drawings === 0, 'every drawing says what it shows');
}
/* ---- the promise: area filled from danger on = chance that she farrows into danger, over the hours drawn */
for (const width of [390, 1280]) {
  const p = width === 390 ? page : await open({ width, height: 800 });
  const span = width === 390 ? 42 : 72, px = [];
  for (const s of near) {
    const m = await p.locator(`section[id="sow-${s.name}"] .pic svg`).first().evaluate((svg) => {
      const area = (d) => { const q = d.match(/-?[\d.]+ -?[\d.]+/g).map((x) => x.split(' ').map(Number)); let a = 0; for (let i = 0; i < q.length; i++) { const [x1, y1] = q[i], [x2, y2] = q[(i + 1) % q.length]; a += x1 * y2 - x2 * y1; } return a / 2; };
      const box = svg.viewBox.baseVal, ridge = Number(svg.querySelector('line.w3').getAttribute('y1'));
      const side = (cls, up) => [...svg.querySelectorAll(`path.${cls}`)].filter((e) => (Number(e.getAttribute('d').match(/M[\d.]+ ([\d.]+)/)[1]) < ridge) === up).reduce((n, e) => n + Math.abs(area(e.getAttribute('d'))), 0);
      return { w: box.width, shown: svg.getBoundingClientRect().width, now: [side('g0', true), side('g2', true)], after: [side('g0', false), side('g2', false)] };
    });
    check(Math.abs(m.w - m.shown) < 1.5, `${s.name}: drawn at the width it has (${width})`, `${m.w} ${m.shown}`);
    const hours = s.hours, k = Math.min(span, hours.chance.length), sum = (f) => Array.from({ length: k }, (_, h) => f(h)).reduce((a, b) => a + b, 0);
    const whole = sum((h) => hours.chance[h]), danger = sum((h) => hours.chance[h] * (hours.share2_now[h] + hours.share3_now[h]));
    if (whole < 0.05) continue; // a hairline, and its area a rounding
    check(Math.abs(m.now[1] / m.now[0] - danger / whole) < 0.04, `${s.name}: dark area is her chance of danger (${width})`, `${(m.now[1] / m.now[0]).toFixed(3)} ${(danger / whole).toFixed(3)}`);
    px.push(m.now[0] / whole);
    if (m.after[0] > 0) {
      const then = sum((h) => hours.chance[h] * (hours.share2_after[h] + hours.share3_after[h]));
      check(Math.abs(m.after[1] / m.after[0] - then / whole) < 0.04, `${s.name}: and after the work (${width})`, `${(m.after[1] / m.after[0]).toFixed(3)} ${(then / whole).toFixed(3)}`);
    }
  }
  check(px.length > 1 && Math.max(...px) / Math.min(...px) < 1.08, `one scale for all (${width})`, px.map(Math.round).join());
  if (p !== page) await p.close();
}
/* ---- figures, keys, hours in a table */
{
  const s = near[0], row = page.locator(`section[id="sow-${s.name}"]`);
  await row.getByText('The hours in figures').focus();
  await page.keyboard.press('Enter');
  check(await row.locator('table').isVisible(), 'the hours open with the keyboard');
  await row.getByText('Why, and how sure').click();
  check((await row.innerText()).includes(s.how_sure.slice(0, 12)), 'how sure is said');
  await page.keyboard.press('Tab');
  check(await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle !== 'none'), 'what has the focus shows it');
}
/* ---- recording: a sign, what it changed, and back */
{
  const s = [...near].sort((a, b) => b.p_within_72h - a.p_within_72h).find((x) => x.p_use < 0.99 && x.p_before_dawn < 0.3) ?? near[0], row = page.locator(`section[id="sow-${s.name}"]`);
  await row.getByRole('button', { name: 'Saw a sign' }).click();
  const tall = await row.locator('.signs .pad button').first().boundingBox();
  check(tall && tall.height >= 64, 'signs are buttons of 64 px', JSON.stringify(tall));
  await row.getByRole('button', { name: 'Milk comes in streams' }).click();
  await row.getByText(/was \d|figures stay|waits on/).waitFor({ timeout: 60000 });
  const kept = await row.locator('.kept').innerText();
  check(/before dawn [\w ]+ was/.test(kept.replace(/\s+/g, ' ')), `a sign changes her chance and says so`, kept);
  const changed = await page.evaluate(async () => (await fetch('/api/tonight')).json());
  check(changed.sows.find((x) => x.name === s.name).p_before_dawn > s.p_before_dawn, 'and the house has it');
  await row.getByRole('button', { name: 'Undo' }).click();
  await row.locator('.kept').waitFor({ state: 'detached', timeout: 60000 });
  const back = await page.evaluate(async () => (await fetch('/api/tonight')).json());
  check(Math.abs(back.sows.find((x) => x.name === s.name).p_before_dawn - s.p_before_dawn) < 1e-6, 'Undo takes it back');
  // work that is done: her lee side becomes her weather side, and the job is gone from the house's answer
  const j = base.jobs.find((x) => x.lay && x.lay.placed && !x.lay.turned && !x.lay.walled && x.sows.length), hers = page.locator(`section[id="sow-${j.sows[0]}"]`);
  await hers.locator('.acts button.do').click();
  await hers.locator('.kept .undo').waitFor({ timeout: 60000 });
  const done = await page.evaluate(async () => (await fetch('/api/tonight')).json());
  check(!done.jobs.some((x) => x.place === j.place && x.do === j.do), 'the job is done in the house too', JSON.stringify(done.jobs.map((x) => [x.place, x.do])));
  check(await hers.locator('.job').count() === 0 || !(await hers.locator('.job').first().innerText()).includes(j.do), 'and no longer asked for');
  await hers.getByRole('button', { name: 'Undo' }).click();
  await hers.locator('.kept').waitFor({ state: 'detached', timeout: 60000 });
  const looked = page.locator(`section[id="sow-${s.name}"]`);
  await looked.getByRole('button', { name: /^Looked/ }).click();
  await looked.locator('.kept .undo').waitFor({ timeout: 60000 });
  check(/Looked/.test(await looked.locator('.kept').innerText()), 'to have seen nothing is recorded as easily');
  await looked.getByRole('button', { name: 'Undo' }).click();
  await looked.locator('.kept').waitFor({ state: 'detached', timeout: 60000 });
}
await page.close();

/* ---- states */
const zero = (s) => { for (const k of Object.keys(s.hours)) if (/share|lane|grade|danger/.test(k)) s.hours[k] = s.hours[k].map(() => 0); s.now.danger = s.after.danger = s.after.unfit = 0; s.serves = null; s.do = 'Nothing to do tonight.'; };
const states = {
  'farrowing under way': [(t) => { t.farrowing_now = [{ sow: near[0].name, uid: 'u', started: iso(at - 112 * 60e3), born_so_far: 6, last_birth: iso(at - 22 * 60e3), place: 'Hut 2', since_min: 22, look_at: iso(at + 8 * 60e3), ring_vet_at: iso(at + 23 * 60e3), long_at: iso(at + 188 * 60e3), says: '', source: 'A procedure.' }]; }, [/22.minutes since the last. That is usual/, /ring the vet/, /One more born/, /All out/]],
  'farrowing, too long': [(t) => { t.farrowing_now = [{ sow: near[0].name, uid: 'u', started: iso(at - 112 * 60e3), place: null, since_min: 50, look_at: iso(at - 20 * 60e3), ring_vet_at: iso(at - 5 * 60e3), long_at: iso(at + 188 * 60e3), says: '', source: 'A procedure.' }]; }, [/Longer than usual/, /Go to her now and ring the vet/]],
  'no forecast': [(t) => { Object.assign(t.weather, { forecast: null, made: undefined, age_h: undefined }); }, [/There is no forecast/, /past years/, /Fetch again/]],
  'stale forecast': [(t) => { t.weather.age_h = 31; t.weather.made = iso(at - 31 * H); }, [/31 h old/, /Look at the sky/]],
  'everything bearable': [(t) => { t.jobs = []; t.short_of = null; near.forEach((n) => zero(t.sows.find((s) => s.name === n.name))); }, [/Nothing to do tonight/]],
  'nothing recorded yet': [(t) => { Object.assign(t, { sows: [], others: [], jobs: [], young_litters: [], looks_worth_taking: [], record: [], short_of: null, rounds: { says: 'No visits planned.' }, in_short: 'Nobody is waited for.' }); }, [/No sows are written down yet/, /Write a sow/]],
  'no shelter good enough': [(t) => { for (const s of t.sows) if (s.hours && s.p_within_24h >= 0.1) { s.after.unfit = s.p_within_72h * 0.9; s.hours.lane_after = s.hours.lane_after.map(() => 3); } }, [/Do not let .* farrow out here tonight/, /Ring the vet for advice/]],
  heat: [(t) => { t.jobs = []; t.sows = [t.sows.find((s) => s.name === near[0].name)]; const s = t.sows[0], n = s.hours.chance.length; zero(s); for (const w of ['now', 'after']) { for (const [g, v] of [[1, 0.2], [2, 0.2], [3, 0.6], [4, 0]]) s.hours[`heat${g}_${w}`] = Array(n).fill(v); s.hours[`heat_lane_${w}`] = Array(n).fill(3); s.hours[`hut_${w}_c`] = Array(n).fill(29); } t.heat = [{ sow: s.name, place: 'Hut 2', from: iso(at + 20 * H), hours: 5, grade: 3, do: 'Open the vents. Shade and a wallow with room, water topped up.' }]; }, [/Open the vents/, /too hot/, /Shade and water are there/]],
  'a litter that needs straw': [(t) => { const l = t.young_litters[0]; l.do = 'Hang the flap on Hut 1.'; l.hours.danger_now = l.hours.danger_now.map((_, h) => (h > 30 ? 0.7 : 0)); }, [/Hang the flap on Hut 1/, /has farrowed/]],
  'more sows than the screen': [(t) => { for (let n = 0; n < 16; n++) t.sows.push({ ...structuredClone(t.sows.find((s) => s.name === near.at(-1).name)), name: `Gilt ${n}`, deadline: null }); }, [/more sows with little chance/]],
};
for (const [name, [change, wanted]] of Object.entries(states)) for (const width of [390, 1280]) {
  const p = await open({ change, width, height: width === 390 ? 844 : 800, colorScheme: width === 390 ? 'light' : 'dark' });
  const t = await text(p);
  if (width === 390) for (const w of wanted) check(w.test(t), `${name}: ${w}`);
  check(await p.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${name}: nothing runs sideways at ${width}`);
  if (width === 390 || /farrowing under|heat/.test(name)) {
    const found = await axe(p);
    check(found.length === 0, `${name}: axe at ${width}`, found.join(' | '));
  }
  await p.close();
}
/* ---- names of every kind; narrow; text twice as large; US units; dark */
const odd = ['<img src=x onerror=alert(1)>', 'Prinzessin-Wilhelmina-von-der-Obermühlenbachtalwiesen the Second', 'نعناع البرية'];
const rename = (t) => odd.forEach((x, i) => { const was = near[i].name; t.sows.find((s) => s.name === was).name = x; for (const j of t.jobs) j.sows = j.sows.map((y) => (y === was ? x : y)); });
for (const [what, how] of Object.entries({ 'a phone of 320 px': { width: 320, height: 700 }, 'a phone': {}, 'a tablet': { width: 768, height: 1024 }, 'a laptop, dark': { width: 1280, height: 800, colorScheme: 'dark' }, 'twice as large': { width: 640, height: 400 } })) {
  const p = await open({ change: rename, ...how });
  check((await text(p)).includes(odd[0]), `${what}: a name stays a name`);
  check(await p.locator('main img').count() === 0, `${what}: and is no picture`);
  check(await p.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${what}: nothing runs sideways`, String(await p.evaluate(() => document.documentElement.scrollWidth)));
  const found = await axe(p);
  check(found.length === 0, `${what}: axe`, found.join(' | '));
  await p.close();
}
{
  const p = await open({ number: { us_units: true } }), t = await text(p);
  check(/°F/.test(t) && !/\d\u202f°C as she/.test(t), 'Fahrenheit where the farm wants it');
  check(/mph/.test(t), 'and mph');
  await p.close();
}
check(said.length === 0, 'the console is silent', said.slice(0, 4).join(' | '));
await browser.close();
await house.close();
console.log(`tonight: ${checks} checks, ${failed} failed`);
process.exit(failed ? 1 : 0);
