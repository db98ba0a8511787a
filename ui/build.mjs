// SPDX-License-Identifier: GPL-3.0-or-later
// The page, ready to be built into the program: `node build.mjs OUT [web_files.c]`. Bundles, compresses, and writes the C
// file that holds every byte as read-only data (.incbin: builds in milliseconds, keeps the stack non-executable).
import { build } from 'esbuild';
import { createHash } from 'node:crypto';
import { gzipSync } from 'node:zlib';
import { cpSync, mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync, existsSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const out = resolve(process.argv[2] ?? join(here, 'dist'));
const cFile = process.argv[3];
process.chdir(here);

rmSync(out, { recursive: true, force: true });
mkdirSync(out, { recursive: true });
const common = { bundle: true, minify: true, target: 'es2022', legalComments: 'none', logLevel: 'warning' };
const made = await build({ ...common, entryPoints: { app: 'src/main.ts' }, outdir: out, format: 'esm', splitting: true, chunkNames: 'part-[hash]', metafile: true });
await build({ ...common, entryPoints: { app: 'style/app.css' }, outdir: out });

// What the first page needs is named in index.html, so that it is all fetched at once and not one part after another.
const outputs = Object.entries(made.metafile.outputs), partOf = (entry) => {
  const found = outputs.find(([, o]) => o.entryPoint === entry);
  if (!found) throw new Error(`${entry} is no part of the page`);
  return found[0];
};
const needed = new Set();
function need(file) {
  if (needed.has(file)) return;
  needed.add(file);
  for (const i of made.metafile.outputs[file].imports) if (i.kind === 'import-statement') need(i.path);
}
const app = partOf('src/main.ts');
need(app);
need(partOf('src/pages/round.ts'));
const preload = [...needed].filter((f) => f !== app).map((f) => `<link rel="modulepreload" href="/${basename(f)}">`).join('\n');
const page = readFileSync('index.html', 'utf8'), before = '<script type="module"';
if (page.split(before).length !== 2) throw new Error('index.html: the first page has no one place to be named at');
writeFileSync(join(out, 'index.html'), page.replace(before, `${preload}\n${before}`));
for (const f of readdirSync('icons')) cpSync(join('icons', f), join(out, f));

// Licences of what is inside, for the page About.
const packages = JSON.parse(readFileSync('package-lock.json', 'utf8')).packages;
const inside = [];
for (const [where, p] of Object.entries(packages)) {
  if (!where || !/^node_modules\/(lit-html|@observablehq\/plot|d3(-.*)?|internmap|interval-tree-1d|binary-search-bounds|isoformat|delaunator|robust-predicates)$/.test(where)) continue;
  const folder = readdirSync(where);
  const file = folder.find((f) => /^licen[cs]e/i.test(f));
  if (!p.license) throw new Error(`${where}: no licence line`);
  inside.push(`${where.replace('node_modules/', '')} ${p.version}, ${p.license}\n\n${file ? readFileSync(join(where, file), 'utf8').trim() : ''}\n`);
}
writeFileSync(join(out, 'licences.txt'), inside.join('\n----\n\n'));

// The service worker knows what makes up the shell, and is itself new whenever any of it is.
const shell = readdirSync(out).filter((f) => f !== 'licences.txt').sort();
const version = createHash('sha256').update(shell.map((f) => f + createHash('sha256').update(readFileSync(join(out, f))).digest('hex')).join()).digest('hex').slice(0, 12);
if (existsSync('src/sw.ts')) {
  await build({ ...common, entryPoints: { sw: 'src/sw.ts' }, outdir: out, format: 'iife',
    define: { SHELL: JSON.stringify(['/', ...shell.filter((f) => f !== 'index.html').map((f) => '/' + f)]), VERSION: JSON.stringify(version) } });
}

if (cFile) {
  const types = { html: 'text/html; charset=utf-8', js: 'text/javascript; charset=utf-8', css: 'text/css; charset=utf-8', svg: 'image/svg+xml',
    txt: 'text/plain; charset=utf-8', webmanifest: 'application/manifest+json', png: 'image/png' };
  const blobs = [], rows = [];
  readdirSync(out).sort().forEach((f, n) => {
    const bytes = readFileSync(join(out, f));
    const zipped = gzipSync(bytes, { level: 9 });
    const gz = join(out, '..', 'page-gz', f + '.gz');
    mkdirSync(dirname(gz), { recursive: true });
    writeFileSync(gz, zipped);
    const blob = (name, path) => `__asm__(".section .rodata.page,\\"a\\",@progbits\\n.balign 16\\n.global ${name}\\n${name}:\\n.incbin \\"${path}\\"\\n"\n        ".global ${name}_end\\n${name}_end:\\n.byte 0\\n.previous\\n");\nextern const unsigned char ${name}[], ${name}_end[];`;
    blobs.push(blob(`page_${n}`, join(out, f)), blob(`page_gz_${n}`, gz));
    const type = types[f.split('.').pop()];
    if (!type) throw new Error(`${f}: of what type is it?`);
    const tag = createHash('sha256').update(bytes).digest('hex').slice(0, 16);
    rows.push(`    { "/${f}", "${type}", page_${n}, page_${n}_end, page_gz_${n}, page_gz_${n}_end, "\\"${tag}\\"" },`);
  });
  writeFileSync(cFile, `/* Made by ui/build.mjs. */\n#include "doors/web/files.h"\n${blobs.join('\n')}\nconst struct web_file web_files[] = {\n${rows.join('\n')}\n    { 0, 0, 0, 0, 0, 0, 0 },\n};\nconst char web_build[] = "${version}";\n`);
}
