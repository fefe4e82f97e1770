import { expect, it } from 'vitest';
import { decodeJpegLs } from './jpeg-ls.ts';

it('[FP1] the worked example of ITU-T T.87 H.3 gives its picture', () => {
  // Typed from memory of the standard; the picture below comes out only if every byte is right.
  const hex =
    'ffd8 fff7000b080004000401011100 ffda0008010100000000' +
    'c000006c80208e01c0000057400000 6ee6000001bc18000005d800009160 ffd9';
  const stream = Uint8Array.from(hex.replaceAll(' ', '').match(/../g)!, (byte) => Number.parseInt(byte, 16));
  const decoded = decodeJpegLs(stream, { rows: 4, columns: 4, components: 1, mostBits: 8 });
  expect(decoded.ok && [...decoded.value.samples]).toEqual([
    ...[0, 0, 90, 74],
    ...[68, 50, 43, 205],
    ...[64, 145, 145, 145],
    ...[100, 145, 145, 145],
  ]);
});
