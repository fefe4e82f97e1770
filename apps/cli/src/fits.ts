import { type Fits, outside, type Q, type RuleTurn } from '@kerfline/knee';

const turnQ = ({ turn, sd }: RuleTurn): Q => ({
  value: outside(turn, 'deg'),
  unit: 'deg',
  positive: 'external',
  sd: outside(sd, 'deg'),
  method: 'against the front of the tibia',
});

/** Fits as they leave the house: mm, degrees with their word. */
export const fitsJson = ({ by, tray, femur, button }: Fits): object => ({
  by,
  ...(tray
    ? {
        tray: {
          size: tray.size,
          choices: tray.choices.map(({ tray: { size }, fit, beyond }) => ({ size, ...fit, beyond })),
          turns: tray.turns.found.map((found) => ({ rule: found.rule, turn: turnQ(found) })),
          ...(tray.turns.between ? { rulesApartDeg: outside(tray.turns.between.apart, 'deg') } : {}),
          ...(tray.keelMm === undefined ? {} : { keelMm: tray.keelMm }),
          ...(tray.edgeSdMm === undefined ? {} : { edgeSdMm: tray.edgeSdMm }),
        },
      }
    : {}),
  ...(femur ? { femur } : {}),
  ...(button
    ? {
        button: {
          size: button.size,
          choices: button.choices.map(({ button: { size }, ...choice }) => ({ size, ...choice })),
          ...(button.pegMm === undefined ? {} : { pegMm: button.pegMm }),
          ...(button.edgeSdMm === undefined ? {} : { edgeSdMm: button.edgeSdMm }),
        },
      }
    : {}),
});

const sides = (of: Readonly<Record<string, number>>): string =>
  Object.entries(of)
    .filter(([, mm]) => mm >= 0.05)
    .map(([side, mm]) => `${side} ${mm.toFixed(1)}`)
    .join(', ') || 'none';

const edges = ({ edgeSdMm }: { readonly edgeSdMm?: number }): string =>
  edgeSdMm === undefined ? '' : `; edges of the bone +/- ${edgeSdMm.toFixed(1)} mm`;

/** How the sizes match this bone, for people. */
export function fitsText({ by, tray, femur, button }: Fits): readonly string[] {
  const taken = tray?.choices.find((choice) => choice.tray.size === tray.size);
  const put = button?.choices.find((choice) => choice.button.size === button.size);
  const lines = [
    ...(tray && taken
      ? [
          `  tray ${tray.size}: ${taken.fit.cover === undefined ? '' : `covers ${Math.round(100 * taken.fit.cover)} %; `}over the edge, mm: ${sides(taken.fit.overhangMm)}; bare, mm: ${sides(taken.fit.underCoverMm)}${edges(tray)}`,
        ]
      : []),
    ...(femur
      ? [`  femoral component ${femur.size}: over the edge, mm: ${sides({ ...femur.fit.overhangMm })}${edges(femur)}`]
      : []),
    ...(button && put
      ? [
          `  button ${button.size}: ${put.medialMm.toFixed(1)} mm medial of the middle, ${put.fits ? 'on bone all round' : `${put.overhangMm.toFixed(1)} mm out`}${edges(button)}`,
        ]
      : []),
  ];
  return lines.length === 0
    ? []
    : [`sizes on this bone, by ${by === 'outlines' ? 'the outlines of its cuts' : 'its widths'}`, ...lines, ''];
}
