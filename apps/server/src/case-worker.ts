import { parentPort, workerData } from 'node:worker_threads';
import type { CaseFile } from '@kerfline/cases';
import { measuredCase } from './measured-case.ts';

parentPort?.postMessage(measuredCase(workerData as CaseFile));
