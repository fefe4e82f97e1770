import { appended, type CaseFile, type Ledger, type Stamp, type Statement, sha256Of } from '@kerfline/cases';
import { writePly } from '@kerfline/imaging';
import { type KneeParameters, phantomBones, typicalKnee } from '@kerfline/phantom';
import { randomStream } from '@kerfline/uncertainty';

/** The invented patient whose case the first visit opens: a left knee in varus, worn on the medial side. */
const inventedKnee: KneeParameters = {
  ...typicalKnee,
  side: 'left',
  femur: { ...typicalKnee.femur, ldfaDeg: 88.4, shaftMechanicalDeg: 5.6 },
  tibia: { ...typicalKnee.tibia, mptaDeg: 87.4, ankleOffsetMm: 2.6 },
  pose: { ...typicalKnee.pose, jlcaDeg: 2.5 },
};

export const demoCaseId = 'demo';

/** The demo case: bones of a virtual knee as a scan would show them, the demo kit, and an aim. */
export function demoCase(
  kitBytes: Uint8Array,
  kit: { readonly name: string; readonly version: string },
  stamp: Stamp,
): CaseFile {
  const blobs = new Map<string, Uint8Array>();
  const keep = (bytes: Uint8Array): string => {
    const name = sha256Of(bytes);
    blobs.set(name, bytes);
    return name;
  };
  const bones = phantomBones(inventedKnee, {
    cellMm: 1.6,
    noise: { sdMm: 0.25, correlationMm: 5, random: randomStream(1, 'demo case') },
  });
  const statements: Statement[] = [
    { kind: 'created', body: { side: 'left', label: 'invented, K 0081' } },
    ...(['femur', 'tibia', 'fibula', 'patella'] as const).map(
      (role): Statement => ({
        kind: 'bone',
        body: {
          role,
          blob: keep(writePly(bones[role], ['virtual knee, mm'])),
          fileName: `${role}.ply`,
        },
      }),
    ),
    { kind: 'kit', body: { name: kit.name, version: kit.version, blob: keep(kitBytes) } },
    { kind: 'typed', body: { name: 'wearDistalMedial', value: 2.3, unit: 'mm', sd: 0.5, sdFrom: 'stated' } },
    { kind: 'typed', body: { name: 'wearPlateauMedial', value: 2.5, unit: 'mm', sd: 0.7, sdFrom: 'stated' } },
    { kind: 'typed', body: { name: 'wearDistalLateral', value: 0, unit: 'mm', sd: 0.3, sdFrom: 'stated' } },
    { kind: 'typed', body: { name: 'wearPlateauLateral', value: 0, unit: 'mm', sd: 0.3, sdFrom: 'stated' } },
    { kind: 'typed', body: { name: 'wearPosteriorMedial', value: 0, unit: 'mm', sd: 0.3, sdFrom: 'stated' } },
    { kind: 'typed', body: { name: 'wearPosteriorLateral', value: 0, unit: 'mm', sd: 0.3, sdFrom: 'stated' } },
    { kind: 'aim', body: { philosophy: 'restricted-kinematic' } },
  ];
  const empty: Ledger = { case: demoCaseId, entries: [] };
  return { ledger: statements.reduce((ledger, s) => appended(ledger, s, stamp), empty), blobs };
}
