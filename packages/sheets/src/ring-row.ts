import { type Drawing, line, type Mark, text } from './drawing.ts';

/** Exchangeable rings in a row, the one to take lifted out, with the face that must be up. */
export interface RingRow {
  readonly values: readonly number[];
  readonly taken: number;
  /** Word beside a number where both directions are engraved. */
  readonly word: ((value: number) => string) | undefined;
  /** Engraved on the face that must be up; none where both faces are alike. */
  readonly face: string | undefined;
  /** mm between neighbours on paper. */
  readonly apartMm: number;
}

export function ringRow(row: RingRow): Drawing {
  const radius = Math.min(5, row.apartMm * 0.4);
  const large = 7.2;
  const base = 12.6;
  const marks: Mark[] = [];
  row.values.forEach((value, k) => {
    const x = k * row.apartMm;
    if (value === row.taken) {
      marks.push(
        line(
          [
            [x - radius, base + radius],
            [x + radius, base + radius],
          ],
          { tone: 'hair', weight: 'outline' },
        ),
        { kind: 'circle', at: [x, base - 4], radius: large, fill: 'paper', weight: 'edge' },
        { kind: 'circle', at: [x, base - 4], radius: large - 1.1, weight: 'hair' },
        text([x, base - 1.4], String(Math.abs(value)), 7.2, 'metal', { anchor: 'middle', bold: true }),
      );
      if (row.word) marks.push(text([x, base - 7.4], row.word(value), 2.1, 'metal', { anchor: 'middle', bold: true }));
      if (row.face) {
        marks.push(
          text([x, base - 7.4], row.face, 2.1, 'metal', { anchor: 'middle', bold: true }),
          text([x, base + 1.2], 'up', 2, 'caption', { anchor: 'middle' }),
        );
      }
      return;
    }
    marks.push(
      { kind: 'circle', at: [x, base], radius, tone: 'line', weight: 'outline', fill: 'paper' },
      { kind: 'circle', at: [x, base], radius: radius - 1, tone: 'line', weight: 'hair' },
      text([x, base + 1.2], String(Math.abs(value)), 3.4, 'caption', { anchor: 'middle' }),
    );
  });
  const width = (row.values.length - 1) * row.apartMm;
  return {
    label: `ring ${Math.abs(row.taken)}${row.word ? ` ${row.word(row.taken)}` : ''}${row.face ? `, face ${row.face} up` : ''}, of ${row.values.map((v) => (row.word ? `${Math.abs(v)} ${row.word(v)}` : v)).join(', ')}`,
    box: [-large, 0.6, width + 2 * large, base + radius + 0.6],
    marks,
  };
}
