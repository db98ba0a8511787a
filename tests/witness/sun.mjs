// SPDX-License-Identifier: GPL-3.0-or-later
// Where the sun stands, when it rises and sets, by astronomy-engine: a table for tests/witness/test_libraries.c.
import * as Astronomy from 'astronomy-engine';

let state = 20260101n;                       // the same cases every time
const draw = (low, high) => {
  state = (state * 6364136223846793005n + 1442695040888963407n) & 0xffffffffffffffffn;
  return low + (high - low) * Number(state >> 11n) / 2 ** 53;
};
const at = (s) => new Date(s * 1000);
const place = (date, observer) => {
  const q = Astronomy.Equator(Astronomy.Body.Sun, date, observer, true, true);
  return Astronomy.Horizon(date, observer, q.ra, q.dec, null);
};

console.log('what,utc_s,lat,lon,a,b,c,d,e');
for (let i = 0; i < 4000; i++) {
  const utc = Math.round(draw(631152000, 2871763200)), lat = draw(-90, 90), lon = draw(-180, 180);
  const h = place(at(utc), new Astronomy.Observer(lat, lon, 0));
  console.log(`position,${utc},${lat},${lon},${h.azimuth},${h.altitude},,,`);
}
for (let i = 0; i < 300; i++) {
  const utc = Math.round(draw(631152000, 2871763200)), lat = draw(-64, 64), lon = draw(-180, 180);
  const observer = new Astronomy.Observer(lat, lon, 0);
  const midnight = Math.floor((utc + 240 * lon) / 86400) * 86400 - 240 * lon;
  const noon = Astronomy.SearchHourAngle(Astronomy.Body.Sun, observer, 0, at(midnight + 6 * 3600)).time;
  const noonS = noon.date.getTime() / 1000;
  const rise = Astronomy.SearchRiseSet(Astronomy.Body.Sun, observer, +1, at(noonS - 43200), 0.5);
  const set = Astronomy.SearchRiseSet(Astronomy.Body.Sun, observer, -1, at(noonS), 0.5);
  if (!rise || !set) continue;
  const where = (t) => place(t.date, observer).azimuth;
  console.log(`day,${utc},${lat},${lon},${rise.date.getTime() / 1000},${noonS},${set.date.getTime() / 1000},${where(rise)},${where(set)}`);
}
