// SPDX-License-Identifier: GPL-3.0-or-later
// The API document against the OpenAPI 3.1 schema (by @seriousme/openapi-schema-validator), and every answer and body
// against the document's own schemas (by Ajv, JSON Schema 2020-12). Both are general libraries.
import { Validator } from '@seriousme/openapi-schema-validator';
import Ajv from 'ajv/dist/2020.js';
import formats from 'ajv-formats';
import { check, farm, finish, leenest, same, serve } from '../doors/web.mjs';

const path = farm();
const s = await serve(path);
await s.enter();
const text = (await s.ask('/api/openapi.json')).text;
const written = leenest(path, 'openapi').stdout;
same(text, written, 'leenest openapi writes the same document');
const document = JSON.parse(text);
const found = await new Validator().validate(document);
check(found.valid, `the document is valid: ${JSON.stringify(found.errors)?.slice(0, 600)}`);
same(document.openapi, '3.1.0', 'its version');

const ajv = new Ajv({ strict: false, allErrors: false });
formats(ajv);
ajv.addSchema({ $id: 'doc', ...document });
const fits = (name, value, what) => {
  const validate = ajv.getSchema(`doc#/components/schemas/${name}`);
  if (!validate) { check(false, `there is a schema ${name}`); return; }
  const good = validate(value);
  check(good, `${what} fits ${name}: ${ajv.errorsText(validate.errors).slice(0, 300)}`);
};
const at = 'at=2026-01-22T15:40:00Z';
let answers = 0;
for (const [where, ops] of Object.entries(document.paths)) {
  const op = ops.get;
  if (!op) continue;
  const takes = (n) => op.parameters.some((p) => p.name === n);
  let query = takes('at') ? at : '';
  for (const p of op.parameters) if (p.required && p.in === 'query' && p.name.toUpperCase() === p.name) query += `&${p.name}=Bramble`;
  const to = where.replace('{name}', where.includes('/fact/') ? 'x' : 'animal');
  const r = await s.ask(`${to}?${query}`);
  const schema = op.responses['200'].content['application/json']?.schema.$ref?.split('/').pop();
  if (r.code === 200 && schema) { fits(schema, r.json, to); answers += 1; }
  if (r.code >= 400) fits('Refusal', r.json, to);
}
check(answers >= 15, `answers looked at: ${answers}`);
for (const [where, query] of [['reckon/sun', 'lat=54.6&lon=-2.4&at=2026-01-22T12:00'], ['reckon/due', 'service=2025-10-01&at=2026-01-22T12:00'],
  ['reckon/piglet', 'temp=-5'], ['reckon/nest', 'shelter=hut&temp=-6&wind=7&wind-from=90&facing=90&wall=steel'], ['reckon/wind-chill', 'temp=-10&wind=8']])
  fits(where.replace('/', '-'), (await s.ask(`/api/${where}?${query}`)).json, where);

// Every fact of the demo farm, as it is read back, fits the schema of its kind's body.
let facts = 0;
for (const name of Object.keys(document.components.schemas).filter((n) => n.startsWith('fact-'))) {
  const list = (await s.ask(`/api/list/${name.slice(5)}?most=200`)).json;
  for (const f of list?.facts ?? []) { fits(name, f.fact, `${name} ${f.called}`); facts += 1; }
}
check(facts > 100, `facts looked at: ${facts}`);
await s.stop();
finish(`${Object.keys(document.paths).length} paths, ${Object.keys(document.components.schemas).length} schemas, ${answers} answers, ${facts} facts`);
