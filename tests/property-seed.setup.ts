import { env } from 'node:process';
import fc from 'fast-check';

// `npm test` looks at the same random cases every time, so that a change is judged by what it changed; `npm run verify` at new ones.
if (env.KERFLINE_FULL !== '1') fc.configureGlobal({ seed: 1 });
