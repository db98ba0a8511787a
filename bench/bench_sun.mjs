// SPDX-License-Identifier: GPL-3.0-or-later
// Sun positions a second by astronomy-engine: the same place and hours as bench_sun.c.
import { createRequire } from 'node:module';
const need = createRequire(new URL('../tests/witness/package.json', import.meta.url));
const Astronomy = need('astronomy-engine');

const observer = new Astronomy.Observer(45, -93, 0), n = 20000;
const run = (from, count) => {
  let sum = 0;
  for (let i = from; i < from + count; i++) {
    const date = new Date((631152000 + 3600 * i) * 1000);
    const q = Astronomy.Equator(Astronomy.Body.Sun, date, observer, true, true);
    sum += Astronomy.Horizon(date, observer, q.ra, q.dec, null).altitude;
  }
  return sum;
};
run(n, 5000); // let the compiler warm to it
const start = performance.now();
const sum = run(0, n);
const seconds = (performance.now() - start) / 1000;
console.log(`${'astronomy-engine, one core'.padEnd(44)} ${(n / seconds / 1e6).toFixed(3).padStart(9)} M/s   (sum of elevations ${sum.toPrecision(6)})`);
