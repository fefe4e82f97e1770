/** Readings that no statistic can be taken from, with what was found and what was needed. */
export type ReadingsFault =
  | {
      readonly kind: 'too-few';
      readonly of: 'pairs' | 'subjects' | 'repeats' | 'judges';
      readonly found: number;
      readonly needed: number;
    }
  | { readonly kind: 'lengths-differ'; readonly found: number; readonly needed: number }
  | { readonly kind: 'not-a-number'; readonly row: number; readonly found: number }
  | { readonly kind: 'no-variation'; readonly found: number };

/** As the `Result` of the other packages, which this one does not know. */
export type FromReadings<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly error: ReadingsFault };

/** The fault in a sentence. */
export function readingsFaultText(fault: ReadingsFault): string {
  switch (fault.kind) {
    case 'too-few':
      return `There are ${fault.found} ${fault.of}; at least ${fault.needed} are needed.`;
    case 'lengths-differ':
      return `A row has ${fault.found} readings; ${fault.needed} are needed, as many as the others have.`;
    case 'not-a-number':
      return `Row ${fault.row + 1} holds ${fault.found}, which is no finite number.`;
    case 'no-variation':
      return `All readings are ${fault.found}; without any variation there is nothing to compare.`;
  }
}

/** The first reading that is no finite number. */
export function notANumber(rows: readonly (readonly number[])[]): ReadingsFault | undefined {
  for (const [row, readings] of rows.entries()) {
    const found = readings.find((v) => !Number.isFinite(v));
    if (found !== undefined) return { kind: 'not-a-number', row, found };
  }
  return undefined;
}
