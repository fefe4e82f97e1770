// One changed setting to every closed-form number of the page: plan and proof of a whole case, made anew.
import { readFileSync } from 'node:fs';
import { readCaseFile, replay, workCase, workLeg } from '@kerfline/cases';
import { inTurns, median, shown, tell, within } from './timing.mjs';

const text = readFileSync(new URL('../examples/reference-left-knee.kerf.json', import.meta.url), 'utf8');
const read = readCaseFile(text);
if (!read.ok) throw new Error(JSON.stringify(read.error));
const view = replay(read.value.ledger);
const first = workCase(view, read.value.blobs);
if (!first.ok) throw new Error(JSON.stringify(first.error));
const { leg, bones, kit } = first.value;
let turn = 0;
const change = () => {
  turn += 1;
  const collar = { guide: 'canal-core', link: 'collar', value: 3 + (turn % 7), unit: 'deg' };
  const made = workLeg({ ...view, settings: [collar] }, { leg, bones }, kit);
  if (!made.ok) throw new Error(JSON.stringify(made.error));
};
const [times] = inTurns([change], { warm: 400, runs: 600 });
tell([
  { name: 'one changed setting to every closed-form number, median', ours: shown(median(times)), unit: 'ms' },
  {
    name: 'one changed setting to every closed-form number, p95',
    ours: shown(within(times, 0.95)),
    unit: 'ms',
    mark: 8,
  },
]);
