import type { Polygon } from '@kerfline/geometry';
import type { Side, TrayReport } from '@kerfline/knee';
import { type Drawing, line, type Mark, type Point, text } from './drawing.ts';

/** Room round the bone for letters, mm. */
const margin = 8;

/** The cut top of the tibia with the tray on it, life size, as who faces the knee sees it from above: the front is below. */
export function trayPicture({ picture, size, choices }: TrayReport, side: Side): Drawing | undefined {
  if (!picture) return undefined;
  const across = side === 'left' ? 1 : -1;
  const laid = (polygon: Polygon): readonly Point[] => polygon.map(([l, a]) => [across * l, a]);
  const bone = laid(picture.bone);
  const tray = laid(picture.tray);
  const xs = [...bone, ...tray].map(([x]) => x);
  const ys = [...bone, ...tray].map(([, y]) => y);
  const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const middle = (top + bottom) / 2;
  const cover = choices.find((choice) => choice.tray.size === size)?.fit.cover;
  const marks: Mark[] = [
    line(bone, { closed: true, fill: 'hatch', weight: 'outline' }),
    line(tray, { closed: true, weight: 'edge', tone: 'foretold' }),
    { kind: 'letter', letter: across === 1 ? 'M' : 'L', at: [left - margin / 2, middle], size: 5 },
    { kind: 'letter', letter: across === 1 ? 'L' : 'M', at: [right + margin / 2, middle], size: 5 },
    text([(left + right) / 2, bottom + 4.5], 'front', 3.2, 'caption', { anchor: 'middle' }),
  ];
  return {
    label: `tray ${size} on the cut tibia${cover === undefined ? '' : `, covering ${Math.round(100 * cover)} %`}, seen from above with the front below`,
    box: [left - margin, top - 2, right - left + 2 * margin, bottom - top + 8],
    marks,
  };
}
