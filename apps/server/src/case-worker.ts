import { parentPort } from 'node:worker_threads';
import { fittedCase } from './fitted-case.ts';
import type { CaseAnswer, CaseTask } from './in-worker.ts';
import { keptLeg } from './kept-leg.ts';
import { measuredCase } from './measured-case.ts';

const leg = keptLeg();
parentPort?.on('message', ({ number, file, wants }: CaseTask) => {
  let said: CaseAnswer;
  try {
    said = { number, answer: wants === 'leg' ? measuredCase(file, leg) : fittedCase(file, leg) };
  } catch (e) {
    said = { number, failed: e instanceof Error ? (e.stack ?? e.message) : String(e) };
  }
  parentPort!.postMessage(said);
});
