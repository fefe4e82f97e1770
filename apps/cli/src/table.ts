/** Rows as aligned columns; the first row is the heading. */
export function table(rows: readonly (readonly string[])[]): string {
  const widths = rows[0]!.map((_, c) => Math.max(...rows.map((row) => [...(row[c] ?? '')].length)));
  return rows
    .map((row) =>
      row
        .map((cell, c) => (c === row.length - 1 ? cell : cell + ' '.repeat(widths[c]! - [...cell].length)))
        .join('  ')
        .trimEnd(),
    )
    .join('\n');
}
