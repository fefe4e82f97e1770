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
  if (facts.sideTag && facts.sideTag !== 'both' && facts.sideTag !== side) {
    return `The file says ${facts.sideTag.toUpperCase()}, the case is of the ${knee}. It is not added; begin a case of the other side, or have the file put right.`;
  }
  if (said.letter === 'R' || said.letter === 'L') {
    if (said.letter !== letterOf(side)) {
      return `The film shows the letter ${said.letter}, the case is of the ${knee}. It is not added: look at the letter again, or begin a case of the other side.`;
    }
  }
  return undefined;
}
