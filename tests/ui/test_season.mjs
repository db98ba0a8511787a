// SPDX-License-Identifier: GPL-3.0-or-later
// When the boar goes in: the page says what the house says; another day tried by the keyboard; sliders that answer while they move, the
// last answer winning; the plan taken, undone and printed; with nothing asked one button to write it.
import { asked, checks, looks, open, openBrowser, signIn, tabTo } from './checks.mjs';
import { openFarm } from './browser.mjs';

const c = checks('season');
const browser = await openBrowser(), house = await openFarm();
try {
  const { page, messages } = await signIn(browser, house, { timezoneId: 'Europe/London' });
  await open(page, house, 'season');
  const s = await asked(page, '/api/season'), main = page.locator('#main');
  c.ok((await main.innerText()).includes('Boar in on'), 'the plan in a sentence');
  c.equal(await main.locator('.weeks tbody tr').count(), Math.ceil(s.by_week.length / 2), 'every second week of the year');
  c.equal(await main.locator('.diary li').count(), s.events.length, 'the diary');
  c.equal(await main.locator('.stairfig .screen svg[role=img]').count(), 1, 'the stair is one drawing with a label');
  c.ok(s.cold_weeks.length === 52 && s.asked.length > 0, 'the demo has winters and buyers');

  const day = new Date(Date.parse(s.plan.boar_in) - 21 * 864e5).toISOString().slice(0, 10);
  await page.getByLabel('Try another day for the boar').fill(day);
  await page.getByLabel('Try another day for the boar').press('Enter');
  await page.getByRole('button', { name: 'Back to the best' }).waitFor({ timeout: 60000 });
  const settledTry = () => page.waitForFunction(() => !/being reckoned/.test(document.querySelector('#main form [role=status]')?.textContent ?? ''), undefined, { timeout: 60000 });
  await page.waitForTimeout(100);
  await settledTry();
  const other = await asked(page, `/api/season?boar-in=${day}`);
  c.equal(other.plan.boar_in, day, 'the house reckons the day that was tried');
  c.ok((await main.innerText()).replace(/\s+/g, ' ').includes(other.says.slice(0, 30).replace(/\s+/g, ' ')), 'and the page says it');
  await page.getByLabel('Try another day for the boar').fill('2040-01-01');
  await page.getByRole('button', { name: 'Reckon that day' }).click();
  await page.getByRole('alert').waitFor({ timeout: 60000 });
  c.ok((await page.getByRole('alert').innerText()).includes('boar-in'), 'a day too far is refused in words', await page.getByRole('alert').innerText());

  // The sliders, by keyboard alone: each has a name, its value in words, and the page says what the house says to the same question.
  const says = async () => (await main.locator('.lead p').innerText()).replace(/\s+/g, ' ');
  const flat = (x) => x.replace(/\s+/g, ' ');
  const sliders = [
    ['The boar goes in on', 'day', 'ArrowRight', 3, () => `boar-in=${new Date(Date.parse(s.plan.boar_in) + 3 * 864e5).toISOString().slice(0, 10)}`],
    ['Pigs asked for', 'pigs', 'ArrowLeft', 4, () => `sell-from=${s.asked[0].from}&sell-to=${s.asked.map((a) => a.to).sort().at(-1)}&pigs=${s.asked.reduce((n, a) => n + a.pigs, 0) - 4}&price=${(s.asked.reduce((n, a) => n + a.pigs * a.price, 0) / s.asked.reduce((n, a) => n + a.pigs, 0)).toFixed(2)}`],
    ['Ready to go at', 'age', 'ArrowRight', 5, (now) => `age=${now}d`],
    ['A litter born into danger counts', 'cost', 'ArrowRight', 6, (now) => `danger-cost=${now}`],
  ];
  for (const [label, name, key, times, query] of sliders) {
    const knob = main.getByRole('slider', { name: label });
    c.equal(await knob.count(), 1, `${label}: a slider with that name`);
    c.ok(await tabTo(page, `input[name=${name}]`), `${label}: reached by the keyboard`);
    const was = await knob.getAttribute('aria-valuetext');
    for (let i = 0; i < times; i++) await page.keyboard.press(key);
    const words = await knob.getAttribute('aria-valuetext');
    c.ok(words !== was && /[a-z]/i.test(words), `${label}: its value in words: ${words}`);
    await page.getByRole('button', { name: 'Back to the best' }).waitFor();
    await page.waitForTimeout(100);
    await settledTry();
    const same = await asked(page, `/api/season?${query(/\d+/.exec(words)?.[0])}`);
    c.equal(await says(), flat(same.says), `${label}: the page says what the house says to the same question`);
    c.ok((await main.locator('.ways, table.stack').first().innerText()).includes('as tried'), `${label}: the row is named as tried`);
    await page.getByRole('button', { name: 'Back to the best' }).click();
    c.equal(await says(), flat(s.says), `${label}: and back to the best`);
  }
  // Dragged over a hundred days: few questions, the last answer stands, and the hand is kept up with.
  let questions = 0;
  page.on('request', (r) => { if (r.url().includes('/api/season?boar-in')) questions++; });
  const dragged = await main.getByRole('slider', { name: 'The boar goes in on' }).evaluate(async (e) => {
    const from = e.valueAsNumber;
    for (let i = 1; i <= 100; i++) { e.value = String(from > 200 ? from - i : from + i); e.dispatchEvent(new Event('input', { bubbles: true })); await new Promise((r) => setTimeout(r, 8)); }
    return e.getAttribute('aria-valuetext');
  });
  await page.waitForTimeout(100);
  await settledTry();
  const end = await asked(page, `/api/season?boar-in=${new Date(`${dragged} UTC`).toISOString().slice(0, 10)}`);
  c.equal(await says(), flat(end.says), 'after dragging, the last answer stands');
  c.ok(questions >= 1 && questions <= 30, `dragging asks few questions: ${questions}`);
  await page.getByRole('button', { name: 'Back to the best' }).click();

  await main.getByRole('button', { name: 'Take this plan' }).click();
  await page.getByText('the plan is taken').waitFor({ timeout: 60000 });
  const kept = await asked(page, '/api/list/season_plan');
  c.equal(kept.facts[0]?.fact.boar_in, s.plan.boar_in, 'the plan is written down');
  await main.getByRole('button', { name: 'Undo' }).click();
  await page.getByText('Taken back').waitFor({ timeout: 60000 });
  c.equal((await asked(page, '/api/list/season_plan')).facts.length, 0, 'and can be taken back');
  c.ok((await page.pdf({ format: 'A4' })).length > 5000 && (await page.pdf({ format: 'Letter' })).length > 5000, 'it prints on A4 and Letter');
  await looks(c, page, house, 'season');
  c.equal(messages.filter((m) => !/status of 400/.test(m)), [], 'no messages but the refusal that was asked for');
} finally { await browser.close(); await house.close(); }
process.exit(c.end());
