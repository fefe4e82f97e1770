import { Worker } from 'node:worker_threads';
import type { CaseFile } from '@kerfline/cases';
import type { FitsAnswer } from './fitted-case.ts';
import type { MeasuredCase } from './measured-case.ts';

/** What the worker is asked of a case. */
export interface CaseTask {
  readonly number: number;
  readonly file: CaseFile;
  readonly wants: 'leg' | 'fits';
}

/** What it answers, under the number of the task. */
export type CaseAnswer =
  | { readonly number: number; readonly answer: MeasuredCase | FitsAnswer }
  | { readonly number: number; readonly failed: string };

interface Waiting {
  readonly done: (answer: never) => void;
  readonly failed: (why: Error) => void;
}

/** Work on bones beside the server, which goes on answering meanwhile: one worker, one task after the other. */
export function caseWorker(): {
  readonly measure: (file: CaseFile) => Promise<MeasuredCase>;
  readonly fit: (file: CaseFile) => Promise<FitsAnswer>;
} {
  let worker: Worker | undefined;
  let last = 0;
  const waiting = new Map<number, Waiting>();
  // A worker that has ended is started anew by the next task.
  const ended = (why: Error): void => {
    worker = undefined;
    for (const { failed } of waiting.values()) failed(why);
    waiting.clear();
  };
  const started = (): Worker => {
    const fresh = new Worker(new URL('./case-worker.js', import.meta.url));
    fresh.on('message', (said: CaseAnswer) => {
      const task = waiting.get(said.number);
      waiting.delete(said.number);
      if ('failed' in said) task?.failed(new Error(said.failed));
      else task?.done(said.answer as never);
    });
    fresh.once('error', ended);
    fresh.once('messageerror', ended);
    fresh.once('exit', (code) => {
      if (worker === fresh) ended(new Error(`the worker ended with ${code} and no answer`));
    });
    // It does not keep a server alive that has been told to stop.
    fresh.unref();
    return fresh;
  };
  const ask = <T>(file: CaseFile, wants: CaseTask['wants']): Promise<T> =>
    new Promise((done, failed) => {
      worker ??= started();
      last += 1;
      waiting.set(last, { done, failed });
      const task: CaseTask = { number: last, file, wants };
      worker.postMessage(task);
    });
  return { measure: (file) => ask(file, 'leg'), fit: (file) => ask(file, 'fits') };
}
