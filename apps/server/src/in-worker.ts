import { Worker } from 'node:worker_threads';
import type { CaseFile } from '@kerfline/cases';
import type { MeasuredCase } from './measured-case.ts';

/** Measures a leg beside the server, which goes on answering meanwhile. */
export const measuredInWorker = (file: CaseFile): Promise<MeasuredCase> =>
  new Promise((done, failed) => {
    const worker = new Worker(new URL('./measuring-worker.js', import.meta.url), { workerData: file });
    worker.once('message', done);
    worker.once('error', failed);
    worker.once('messageerror', failed);
    // After an answer this changes nothing.
    worker.once('exit', (code) => failed(new Error(`measuring ended with ${code} and no answer`)));
  });
