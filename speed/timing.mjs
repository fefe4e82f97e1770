// Times of one piece of work, or of two in turns, so that both meet the same machine.
const sorted = (times) => Float64Array.from(times).sort();
/** The time that this share of the runs kept to, ms. */
export const within = (times, share) => sorted(times)[Math.ceil(share * times.length) - 1];
export const median = (times) => within(times, 0.5);

const once = (work) => {
  const start = performance.now();
  work();
  return performance.now() - start;
};

/** Times of several works taken in turns, ms, after some that warm up. */
export function inTurns(works, { warm, runs }) {
  for (let k = 0; k < warm; k += 1) for (const work of works) work();
  const times = works.map(() => []);
  for (let k = 0; k < runs; k += 1) {
    for (const [w, work] of works.entries()) times[w].push(once(work));
  }
  return times;
}

/** Gives rows to the script that started this one. */
export const tell = (rows) => process.stdout.write(`${JSON.stringify(rows)}\n`);

/** A number with three digits that mean something. */
export const shown = (value) => Number(value.toPrecision(3));
