import { Worker } from 'node:worker_threads';
import type { CaseFile, FactsByBlob, TakenFilm } from '@kerfline/cases';
import type { Result } from '@kerfline/geometry';
import type { Refusal } from '@kerfline/knee';
import type { TakeFilm } from './film-routes.ts';
import type { FitsAnswer } from './fitted-case.ts';
import type { MeasuredCase } from './measured-case.ts';

/** What the worker is asked: of a case, or of a film before it is in one. */
export type CaseTask = { readonly number: number } & (
  | { readonly wants: 'leg' | 'fits'; readonly file: CaseFile; readonly facts: FactsByBlob }
  | { readonly wants: 'film'; readonly bytes: Uint8Array; readonly fileName: string; readonly salt: string }
);

/** What it answers, under the number of the task. */
export type CaseAnswer =
  | { readonly number: number; readonly answer: MeasuredCase | FitsAnswer | Result<TakenFilm, Refusal> }
  | { readonly number: number; readonly failed: string };

interface Waiting {
  readonly done: (answer: never) => void;
  readonly failed: (why: Error) => void;
}

/** Work on bones and films beside the server, which goes on answering meanwhile: one worker, one task after the other. */
export function caseWorker(): {
  readonly measure: (file: CaseFile, facts: FactsByBlob) => Promise<MeasuredCase>;
  readonly fit: (file: CaseFile, facts: FactsByBlob) => Promise<FitsAnswer>;
  readonly takeFilm: TakeFilm;
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
  type Asked = CaseTask extends infer T ? (T extends CaseTask ? Omit<T, 'number'> : never) : never;
  const ask = <T>(asked: Asked, moved: readonly ArrayBuffer[] = []): Promise<T> =>
    new Promise((done, failed) => {
      worker ??= started();
      last += 1;
      waiting.set(last, { done, failed });
      const task = { ...asked, number: last } as CaseTask;
      worker.postMessage(task, moved);
    });
  return {
    measure: (file, facts) => ask({ wants: 'leg', file, facts }),
    fit: (file, facts) => ask({ wants: 'fits', file, facts }),
    // The bytes go over whole: they are not needed here again, and come back without what identifies.
    takeFilm: (bytes, fileName, salt) => ask({ wants: 'film', bytes, fileName, salt }, [bytes.buffer as ArrayBuffer]),
  };
}
