import { describe, expect, it, test } from 'vitest';
import { textBytes } from './cube.fixture.ts';
import { nextWord, nextWordOnLine, skipLine, textCursor, wordIs, wordText } from './text-cursor.ts';

describe('a text read word by word', () => {
  test.each(['\n', '\r\n', '\r'])('[IM3] counts lines that end with %j', (end) => {
    const cursor = textCursor(textBytes(`one two${end}${end}  three${end}four`));
    const seen: string[] = [];
    while (nextWord(cursor)) seen.push(`${wordText(cursor)}:${cursor.line}`);
    expect(seen).toEqual(['one:1', 'two:1', 'three:3', 'four:4']);
    expect(wordText(cursor)).toBe('end of file');
  });

  it('[IM3] stays on the line when asked to, and says that it ended', () => {
    const cursor = textCursor(textBytes('one\ttwo \n three'));
    expect([nextWordOnLine(cursor), nextWordOnLine(cursor), nextWordOnLine(cursor)]).toEqual([true, true, false]);
    expect(wordText(cursor)).toBe('end of line');
    expect(nextWord(cursor) && wordText(cursor)).toBe('three');
  });

  test.each(['\n', '\r\n', '\r'])('[IM8] joins lines at a backslash before %j only when asked to', (end) => {
    const text = textBytes(`a\\${end}b \\${end} c${end}d`);
    const joined = textCursor(text);
    const words: string[] = [];
    while (nextWordOnLine(joined, true)) words.push(wordText(joined));
    expect(words).toEqual(['a', 'b', 'c']);
    expect(joined.line).toBe(3);
    const apart = textCursor(text);
    nextWordOnLine(apart);
    expect(wordText(apart)).toBe('a\\');
    expect(nextWordOnLine(apart)).toBe(false);
  });

  it('passes over the rest of a line and over a byte order mark', () => {
    const cursor = textCursor(textBytes('\ufeffone two\nthree'));
    expect(nextWord(cursor) && wordIs(cursor, 'one')).toBe(true);
    skipLine(cursor);
    expect(nextWord(cursor) && wordText(cursor)).toBe('three');
  });

  it('compares words whatever their capitals, and shows no control characters', () => {
    const cursor = textCursor(textBytes('EndSolid\u0007x'));
    nextWord(cursor);
    expect(wordText(cursor)).toBe('EndSolid.x');
    expect(wordIs(cursor, 'endsolid')).toBe(false);
    const plain = textCursor(textBytes('EndSolid'));
    nextWord(plain);
    expect(wordIs(plain, 'endsolid')).toBe(true);
  });
});
