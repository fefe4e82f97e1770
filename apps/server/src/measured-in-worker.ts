import { Worker } from 'node:worker_threads';
import type { CaseFile } from '@kerfline/cases';
import type { LegAnswer } from './leg-answer.ts';

/** Measures a leg beside the server, which goes on answering meanwhile. */
export const legInWorker = (file: CaseFile): Promise<LegAnswer> =>
  new Promise((done, failed) => {
    const worker = new Worker(new URL('./leg-worker.js', import.meta.url), { workerData: file });
    worker.once('message', done);
    worker.once('error', failed);
    worker.once('exit', (code) => {
      if (code !== 0) failed(new Error(`measuring ended with ${code}`));
    });
  });
