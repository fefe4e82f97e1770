import type { FilmFacts } from '@kerfline/cases';
import type { FilmView, Side } from '@kerfline/knee';

/**
 * A film this much taller than wide, or this high in the file's millimetres, shows a whole leg.
 *
 * @numerical
 */
const [longShare, longMm] = [1.9, 650];

/** How a film was probably taken, and why; to be confirmed, never taken by itself. */
export function likelyView(
  facts: Pick<FilmFacts, 'columns' | 'rows' | 'length'>,
): { readonly view: FilmView; readonly because: string } | undefined {
  const { spacing } = facts.length;
  const highMm = spacing && facts.rows * spacing.rowMm;
  if (highMm && highMm > longMm) return { view: 'long-leg', because: `its height of ${Math.round(highMm)} mm` };
  if (facts.rows / facts.columns > longShare) {
    return { view: 'long-leg', because: `its shape, ${(facts.rows / facts.columns).toFixed(1)} times as high as wide` };
  }
  return undefined;
}

const letterOf = (side: Side): 'R' | 'L' => (side === 'right' ? 'R' : 'L');

/** Why a film cannot belong to this knee as it was said to lie, in a sentence; `undefined` when nothing speaks against it. */
export function sideConflict(
  side: Side,
  facts: Pick<FilmFacts, 'sideTag'>,
  said: { readonly letter?: 'R' | 'L' | 'none' | 'notAsked' | undefined; readonly mirrored: boolean },
): string | undefined {
  const knee = `${side.toUpperCase()} knee`;
  if (facts.sideTag !== 'none' && facts.sideTag !== 'both' && facts.sideTag !== side) {
    return `The file says ${facts.sideTag.toUpperCase()}, the case is of the ${knee}. It is not added; begin a case of the other side, or have the file put right.`;
  }
  if (said.letter === 'R' || said.letter === 'L') {
    if (said.letter !== letterOf(side)) {
      return `The film shows the letter ${said.letter}, the case is of the ${knee}. It is not added: look at the letter again, or begin a case of the other side.`;
    }
  }
  return undefined;
}

/** What a millimetre of the file is, in a sentence. */
export function lengthText({ length, columns, rows }: Pick<FilmFacts, 'length' | 'columns' | 'rows'>): string {
  const { spacing, state, description } = length;
  const size = `${columns} by ${rows} pixels`;
  const mm = spacing ? ` of ${spacing.columnMm.toFixed(3)} mm` : '';
  const by = description ? `: ${description}` : '';
  switch (state) {
    case 'FIDUCIAL':
      return `${size}${mm}, calibrated on an object that was in the picture${by}.`;
    case 'GEOMETRY':
      return `${size}${mm}, corrected for a magnification that was assumed${by}.`;
    case 'CORRECTED_UNKNOWN':
      return `${size}${mm}, corrected by something that the file does not tell.`;
    case 'DETECTOR':
      return `${size}${mm} at the detector: the bone is smaller than it looks.`;
    case 'UNKNOWN':
      return `${size}; the file knows no millimetres of the bone.`;
  }
}
