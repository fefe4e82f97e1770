import { parentPort, workerData } from 'node:worker_threads';
import type { CaseFile } from '@kerfline/cases';
import { legAnswer } from './leg-answer.ts';

parentPort?.postMessage(legAnswer(workerData as CaseFile));
