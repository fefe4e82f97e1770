import type { Pixel, PixelSpacing } from '@kerfline/knee';
import { useCallback, useRef, useState } from 'react';
import type { Measured } from './film-messages.ts';
import type { HeldFilm } from './film-picture.ts';
import type { FilmTask } from './film-task.ts';

/** A helper that measures on the pixels: told points, it finds a circle, a middle or a touching point. */
export interface Helper {
  readonly point: (pixel: Pixel) => void;
  readonly forget: () => void;
  /** Where what was found puts the mark, once. */
  readonly taken: Pixel | undefined;
  readonly tookIt: () => void;
}

/** Where what was found puts a mark. */
export function foundAt(found: Measured | undefined): Pixel | undefined {
  switch (found?.measure) {
    case 'rim':
      return found.centre;
    case 'across':
      return found.middle;
    case 'tangent':
      return found.at;
    default:
      return undefined;
  }
}

/**
 * How far from what was shown an edge is looked for, and a surface followed: mm, and pixels where there are no millimetres.
 *
 * @numerical
 */
const reach = { rimMm: 3, rimPx: 20, surfaceMm: 14, surfacePx: 90 };

export function useHelper(
  held: HeldFilm,
  task: FilmTask | undefined,
  mm: PixelSpacing | undefined,
  marks: readonly PlacedMark[],
  setTask: (task: FilmTask | undefined) => void,
): Helper {
  const [taken, setTaken] = useState<Pixel>();
  const asked = useRef(0);
  const measure = (now: FilmTask, points: readonly Pixel[]): Promise<Measured> | undefined => {
    const how = now.kind === 'mark' ? now.how : now.kind;
    const px = (inMm: number, without: number): number => (mm ? inMm / mm.columnMm : without);
    if ((how === 'rim' || how === 'ball') && points.length >= 3) {
      return held.measure({ measure: how, points, reachPx: px(reach.rimMm, reach.rimPx) });
    }
    if (how === 'across' && points.length === 2) {
      return held.measure({ measure: 'across', from: points[0]!, to: points[1]! });
    }
    if (how === 'tangent' && points.length === 1 && now.kind === 'mark') {
      const direction = directionOf(now.name, marks);
      if (!direction) return undefined;
      return held.measure({
        measure: 'tangent',
        near: points[0]!,
        direction,
        reachPx: px(reach.surfaceMm, reach.surfacePx),
      });
    }
    return undefined;
  };
  return {
    taken,
    tookIt: useCallback(() => setTaken(undefined), []),
    forget: () => task && setTask({ ...task, points: [], found: undefined }),
    point: (pixel) => {
      if (!task) return;
      const most = task.kind === 'ruler' || (task.kind === 'mark' && task.how === 'across') ? 2 : 200;
      const single = task.kind === 'mark' && task.how === 'tangent';
      const points = single || task.points.length >= most ? [pixel] : [...task.points, pixel];
      setTask({ ...task, points, found: undefined });
      asked.current += 1;
      const mine = asked.current;
      measure(task, points)?.then((found) => {
        if (mine !== asked.current) return;
        setTask({ ...task, points, found });
        const at = foundAt(found);
        if (at) setTaken(at);
      });
    },
  };
}

interface PlacedMark {
  readonly name: string;
  readonly pixel: Pixel;
}

const frontMarks = ['patellaFront', 'anteriorCortex', 'tubercle', 'crestUpper', 'crestLower', 'medialRimFront'];
const middleMarks = ['femoralCanalHigh', 'femoralCanalLow', 'tibialCanalHigh', 'tibialCanalLow', 'medialRimRear'];

/** Which way the rear is on a side film, by the marks placed on it; `undefined` while they do not tell. */
function rearward(marks: readonly PlacedMark[]): Pixel | undefined {
  const mean = (names: readonly string[]): number => {
    const found = marks.filter(({ name }) => names.includes(name));
    return found.reduce((sum, { pixel }) => sum + pixel[0], 0) / found.length;
  };
  const way = Math.sign(mean(middleMarks) - mean(frontMarks));
  return way === 1 || way === -1 ? [way, 0] : undefined;
}

/**
 * Which way the surface of a contact faces on an upright film: femurs end downward, plateaus upward, rear condyles to the
 * rear, which marks of the front and the canal tell. `undefined` for what faces no one way.
 */
export function directionOf(name: string, marks: readonly PlacedMark[]): Pixel | undefined {
  if (name.startsWith('plateau')) return [0, -1];
  if (name.startsWith('distal')) return [0, 1];
  return name.startsWith('posterior') ? rearward(marks) : undefined;
}
