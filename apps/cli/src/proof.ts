import {
  type BoneOnSide,
  type BoneUnderCut,
  type CutName,
  fitBones,
  fitsOf,
  outputWords,
  type Piece,
  proofOnBones,
} from '@kerfline/knee';
import { caution } from '@kerfline/sheets';
import { findingsText } from './findings-text.ts';
import { fitsJson, fitsText } from './fits.ts';
import { workedCase } from './plan.ts';
import { said } from './said.ts';
import { table } from './table.ts';

const sum = (letter: string, piece: Piece): readonly string[] => {
  const mm = (name: string): string => Math.abs(piece.terms.find((t) => t.name === name)?.mm ?? 0).toFixed(2);
  return [
    `  ${letter}`,
    `${mm('intact')} - ${mm('wear')} - ${mm('kerf')} =`,
    piece.pieceMm.toFixed(2),
    `+/- ${piece.sd.toFixed(1)}`,
    'mm',
  ];
};

const onBoneText = ({ medial, lateral, volumeMm3 }: BoneUnderCut): string => {
  const side = (letter: string, { bySectionMm, fromSitesMm }: BoneOnSide): string =>
    `${letter} ${bySectionMm?.toFixed(2) ?? 'none'} (${fromSitesMm.toFixed(2)} from sites)`;
  const volume = volumeMm3 === undefined ? '' : `; ${(volumeMm3 / 1000).toFixed(1)} cm3`;
  return `  bone and kerf read on a section, mm: ${side('M', medial)}, ${side('L', lateral)}${volume}`;
};

/** What the settings of a case will do: pieces, planes, rods, limb. Settings are as read back, else as called. */
export async function proofCommand(path: string, options: { readonly json?: boolean }): Promise<string> {
  const { worked, heading } = await workedCase(path);
  const { proof } = worked;
  const { bones } = worked;
  const fits = fitsOf(
    worked.leg,
    worked.kit,
    worked.plan,
    worked.set,
    proof,
    bones && fitBones(worked.leg, bones.measured, bones.meshes),
  );
  const findings = [...worked.leg.findings, ...proof.findings, ...fits.findings];
  const onBones: Readonly<Partial<Record<CutName, BoneUnderCut>>> = bones
    ? proofOnBones(worked.leg, proof, bones.measured, bones.meshes)
    : {};
  if (options.json) {
    const cuts = Object.fromEntries(
      Object.entries(proof.cuts).map(([cut, told]) => [
        cut,
        {
          ...(told.pieces ? { pieces: told.pieces } : {}),
          planes: told.planes,
          ...(onBones[cut as CutName] ? { onBone: onBones[cut as CutName] } : {}),
        },
      ]),
    );
    return JSON.stringify(
      { cuts, rods: proof.rods, rungs: proof.rungs, limb: proof.limb, fits: fitsJson(fits), findings },
      null,
      2,
    );
  }
  const cuts = Object.entries(proof.cuts).flatMap(([cut, told]) => {
    const lines = [
      ...Object.entries(told.planes).map(([name, q]) => {
        const s = said(q);
        return `  ${outputWords[name as keyof typeof outputWords].label}: ${s.value} ${s.spread} ${q.unit} ${s.word}`.trimEnd();
      }),
      ...(told.pieces
        ? [
            table([
              ['  ', 'intact - wear - kerf =', 'piece', 'give or take', ''],
              sum('M', told.pieces.medial),
              sum('L', told.pieces.lateral),
            ]),
          ]
        : []),
      ...(onBones[cut as CutName] ? [onBoneText(onBones[cut as CutName]!)] : []),
    ];
    return lines.length > 0 ? [cut, ...lines] : [];
  });
  const limb = said(proof.limb);
  const rods = Object.entries(proof.rods).map(([where, q]) => {
    const s = said(q);
    return `rod at the ${where}: ${s.value} ${s.spread} mm ${s.word} of its centre`;
  });
  return [
    `Proof, ${heading}`,
    '',
    ...cuts,
    '',
    ...rods,
    `limb: ${limb.value} ${limb.spread} deg ${limb.word}`,
    '',
    ...fitsText(fits),
    findingsText(findings),
    '',
    caution,
  ].join('\n');
}
