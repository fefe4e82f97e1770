#!/usr/bin/env node
// The command as it is linked by an installation, before anything is built.
import { existsSync } from 'node:fs';

const built = new URL('../dist/main.js', import.meta.url);
if (existsSync(built)) {
  await import(built.href);
} else {
  process.stderr.write('kerfline has not been built yet: npm run build\n');
  process.exitCode = 2;
}
