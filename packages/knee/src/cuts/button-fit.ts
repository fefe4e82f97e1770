import { distanceOutside, type Polygon } from '@kerfline/geometry';
import type { ButtonSize } from '../kits/kit.ts';
import { chordAt, extentOf } from './cut-outline.ts';
import { fitDefaults } from './fit-defaults.ts';
import { type KneecapCut, kneecapCut } from './kneecap.ts';

/** How far medial of the kneecap's middle a button may be put, mm. */
export interface ButtonLimits {
  readonly leastMm: number;
  readonly mostMm: number;
}

export const buttonLimits: ButtonLimits = {
  leastMm: fitDefaults.buttonMedialLeast.value,
  mostMm: fitDefaults.buttonMedialMost.value,
};

/** A button on the cut kneecap, as far medial as it stays on bone. */
export interface ButtonChoice {
  readonly button: ButtonSize;
  /** How far medial of the kneecap's middle it is put, mm. */
  readonly medialMm: number;
  /** How far its edge then stands out over the bone, mm; negative where bone is left all round. */
  readonly overhangMm: number;
  /** Whether it stays on bone. */
  readonly fits: boolean;
  /** What to keep of the kneecap and what it then measures; absent while its thickness is not known. */
  readonly cut?: KneecapCut;
}

/** @numerical Places are tried this far apart, mm: finer than a hand can put a button. */
const stepMm = 0.1;

/** Places from the most medial to the least. */
const places = ({ leastMm, mostMm }: ButtonLimits): readonly number[] => {
  const parts = Math.max(1, Math.ceil((mostMm - leastMm) / stepMm));
  return Array.from({ length: parts + 1 }, (_, k) => mostMm - (k / parts) * (mostMm - leastMm));
};

/** The most medial place at which a button stays on bone, or the one where it stands out least. */
function choice(
  button: ButtonSize,
  overhangAt: (medialMm: number) => number,
  nativeMm: number | undefined,
  limits: ButtonLimits,
): ButtonChoice {
  const tried = places(limits).map((medialMm) => ({ medialMm, overhangMm: overhangAt(medialMm) }));
  const best =
    tried.find(({ overhangMm }) => overhangMm <= 0) ?? tried.reduce((a, b) => (b.overhangMm < a.overhangMm ? b : a));
  return {
    button,
    ...best,
    fits: best.overhangMm <= 0,
    ...(nativeMm === undefined ? {} : { cut: kneecapCut(nativeMm, button.thicknessMm) }),
  };
}

/** The largest that stays on bone first; those that do not come last, the least overhang first. */
const bestFirst = (choices: readonly ButtonChoice[]): readonly ButtonChoice[] =>
  [...choices].sort((a, b) => {
    if (a.fits !== b.fits) return a.fits ? -1 : 1;
    return a.fits ? b.button.size - a.button.size : a.overhangMm - b.overhangMm;
  });

/**
 * Buttons of a family on the cut of a kneecap, best first. The middle is that of the outline side to side; up and down a
 * button is put half way between the edges above and below it.
 *
 * @param outline of the kneecap in its cut (`cutOutline`): L, P, mm
 * @param nativeMm thickness of the kneecap before the cut, if it is known
 */
export function buttonChoices(
  outline: Polygon,
  buttons: readonly ButtonSize[],
  nativeMm: number | undefined,
  limits: ButtonLimits = buttonLimits,
): readonly ButtonChoice[] {
  const [medial, lateral] = extentOf([outline], 0);
  const middleL = (medial + lateral) / 2;
  const overhang = (radiusMm: number, medialMm: number): number => {
    const chord = chordAt([outline], 1, middleL - medialMm);
    return chord ? radiusMm + distanceOutside(outline, [middleL - medialMm, (chord[0] + chord[1]) / 2]) : Infinity;
  };
  return bestFirst(
    buttons.map((button) => choice(button, (medialMm) => overhang(button.size / 2, medialMm), nativeMm, limits)),
  );
}

/** The same where only the kneecap's width is known: judged side to side alone. */
export const buttonChoicesByNumbers = (
  patellaWidthMm: number,
  buttons: readonly ButtonSize[],
  nativeMm: number | undefined,
  limits: ButtonLimits = buttonLimits,
): readonly ButtonChoice[] =>
  bestFirst(
    buttons.map((button) =>
      choice(button, (medialMm) => medialMm + button.size / 2 - patellaWidthMm / 2, nativeMm, limits),
    ),
  );
