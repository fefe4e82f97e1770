import { err, ok, type Result } from '@kerfline/geometry';

/** One number as people write it: decimal point or comma, any minus, a unit or none. Thousands are not grouped. */
export function parseNumber(text: string): Result<number, string> {
  const plain = text
    .trim()
    .replace(/[\u2212\u2013]/g, '-')
    .replace(/\s*(mm|deg|°)$/i, '');
  if (!/^[-+]?(\d+([.,]\d*)?|[.,]\d+)$/.test(plain)) return err(`a number such as 6.02 or 6,02; "${text}" is none`);
  return ok(Number(plain.replace(',', '.')));
}

/** Numbers separated by spaces or semicolons; a comma with a space after it separates too. */
export function parseNumbers(text: string): Result<readonly number[], string> {
  const words = text
    .trim()
    .replace(/\s+(mm|deg|°)(?=[\s,;]|$)/gi, '')
    .split(/[;\s]+/)
    .map((word) => word.replace(/,$/, ''))
    .filter((word) => word !== '');
  const numbers: number[] = [];
  for (const word of words) {
    const number = parseNumber(word);
    if (!number.ok) return number;
    numbers.push(number.value);
  }
  return numbers.length > 0 ? ok(numbers) : err('numbers separated by spaces');
}
