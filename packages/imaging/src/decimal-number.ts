/** Powers of ten that a 64-bit number holds exactly. */
const exactPowers = [
  1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20,
  1e21, 1e22,
];
/** Any whole number of so many digits is exact in 64 bits. */
const exactDigits = 15;
/** No writer prints a number this long; a longer word is not one. */
const longestNumber = 400;
/** The ways programs print infinity and what is no number. */
const infinite = /^[+-]?(inf(inity)?|1\.#INF0*)$/i;
const notNumber = /^[+-]?(nan(\(\w*\))?|1\.#[A-Z]+0*)$/i;

/**
 * The value of a decimal number written in bytes `start` to `end`, rounded as the language itself would round it.
 *
 * Digits with an optional sign, point and exponent are accepted; blanks, commas, hexadecimal and digit groups are not.
 * @returns NaN and infinity for their usual spellings, infinity for what exceeds 64 bits, `undefined` for anything else
 */
export function decimalNumber(bytes: Uint8Array, start: number, end: number): number | undefined {
  let at = start;
  const negative = bytes[at] === 0x2d;
  if (negative || bytes[at] === 0x2b) at += 1;
  let mantissa = 0;
  let significant = 0;
  let digits = 0;
  let power = 0;
  let point = false;
  for (; at < end; at += 1) {
    const digit = bytes[at]! - 0x30;
    if (digit >= 0 && digit <= 9) {
      digits += 1;
      if (significant > 0 || digit > 0) significant += 1;
      if (significant <= exactDigits) mantissa = 10 * mantissa + digit;
      if (point) power -= 1;
    } else if (digit === -2 && !point) point = true;
    else break;
  }
  if (digits > 0 && at < end && (bytes[at]! | 0x20) === 0x65) {
    at += 1;
    const down = bytes[at] === 0x2d;
    if (down || bytes[at] === 0x2b) at += 1;
    let exponent = 0;
    const first = at;
    while (at < end && bytes[at]! >= 0x30 && bytes[at]! <= 0x39) {
      exponent = Math.min(10 * exponent + bytes[at]! - 0x30, 1e6);
      at += 1;
    }
    if (at === first) return undefined;
    power += down ? -exponent : exponent;
  }
  if (digits === 0 || at < end) return unusualNumber(wordIn(bytes, start, end));
  // One exact number times or over another is rounded once, so it is the nearest to what was written.
  if (significant <= exactDigits && power >= -22 && power <= 22) {
    const size = power < 0 ? mantissa / exactPowers[-power]! : mantissa * exactPowers[power]!;
    return negative ? -size : size;
  }
  return end - start > longestNumber ? undefined : Number(wordIn(bytes, start, end));
}

function unusualNumber(word: string): number | undefined {
  if (infinite.test(word)) return word.startsWith('-') ? Number.NEGATIVE_INFINITY : Number.POSITIVE_INFINITY;
  return notNumber.test(word) ? Number.NaN : undefined;
}

/** The bytes as text, at most as long as a number can be. */
function wordIn(bytes: Uint8Array, start: number, end: number): string {
  let text = '';
  for (let at = start; at < end && at < start + longestNumber; at += 1) text += String.fromCharCode(bytes[at]!);
  return text;
}
