import { parentPort } from 'node:worker_threads';
import { takenFilm } from '@kerfline/cases';
import { fittedCase } from './fitted-case.ts';
import type { CaseAnswer, CaseTask } from './in-worker.ts';
import { keptLeg } from './kept-leg.ts';
import { measuredCase } from './measured-case.ts';
import { schematicPictures } from './schematic-pictures.ts';

const leg = keptLeg();
const pictures = schematicPictures();
const answerTo = (task: CaseTask): Extract<CaseAnswer, { readonly answer: unknown }>['answer'] => {
  switch (task.wants) {
    case 'leg':
      return measuredCase(task.file, task.facts, leg, pictures);
    case 'fits':
      return fittedCase(task.file, task.facts, leg);
    case 'film':
      return takenFilm(task.bytes, task.fileName, task.salt);
  }
};
parentPort?.on('message', (task: CaseTask) => {
  const { number } = task;
  try {
    const answer = answerTo(task);
    const said: CaseAnswer = { number, answer };
    const moved = 'ok' in answer && answer.ok ? [answer.value.bytes.buffer as ArrayBuffer] : [];
    parentPort!.postMessage(said, moved);
  } catch (e) {
    const said: CaseAnswer = { number, failed: e instanceof Error ? (e.stack ?? e.message) : String(e) };
    parentPort!.postMessage(said);
  }
});
