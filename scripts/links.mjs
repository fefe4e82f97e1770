// Every link between pages of this checkout leads to a file that is there, and to a heading that is there.
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { root } from './machine.mjs';

function* pages(folder) {
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    if (['node_modules', 'dist', '.git', '.browser', '.node24', '.kerfline'].includes(entry.name)) continue;
    const path = join(folder, entry.name);
    if (entry.isDirectory()) yield* pages(path);
    else if (entry.name.endsWith('.md')) yield path;
  }
}

const anchor = (heading) =>
  heading
    .toLowerCase()
    .replace(/[^\p{L}\p{N}\s-]/gu, '')
    .trim()
    .replace(/\s+/g, '-');

const faults = [];
let links = 0;
for (const page of pages(root)) {
  const text = readFileSync(page, 'utf8').replace(/```[\s\S]*?```/g, '');
  for (const [, target] of text.matchAll(/\]\(([^)\s]+)\)/g)) {
    if (/^[a-z]+:/.test(target)) continue;
    links += 1;
    const [file, hash] = target.split('#');
    const path = file === '' ? page : resolve(dirname(page), decodeURIComponent(file));
    if (!existsSync(path)) faults.push(`${page.slice(root.length + 1)}: ${target} is not there`);
    else if (hash && path.endsWith('.md')) {
      const headings = [...readFileSync(path, 'utf8').matchAll(/^#+\s+(.*)$/gm)].map(([, h]) => anchor(h));
      if (!headings.includes(hash)) faults.push(`${page.slice(root.length + 1)}: ${target} names no heading`);
    }
  }
}
for (const fault of faults) process.stderr.write(`links: ${fault}\n`);
process.stdout.write(`links: ${links} links, ${faults.length} faults\n`);
process.exit(faults.length > 0 ? 1 : 0);
