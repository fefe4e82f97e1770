import { readBoneFiles } from '@kerfline/cases';
import {
  legFromBones,
  type Measurement,
  measurement,
  quantityDefinitions,
  type Side,
  withStated,
} from '@kerfline/knee';
import { must } from './bad-input.ts';
import { boneFile } from './files.ts';
import { findingsText } from './findings-text.ts';
import { quantityRows } from './quantity-rows.ts';
import { table } from './table.ts';

export interface MeasureOptions {
  readonly femur: string;
  readonly tibia: string;
  readonly fibula?: string;
  readonly patella?: string;
  readonly side: Side;
  readonly rodLength?: number;
  readonly json?: boolean;
}

/** Measures a leg on its bone files. */
export async function measureFiles(options: MeasureOptions): Promise<Measurement> {
  const { meshes, findings } = must(
    readBoneFiles({
      femur: await boneFile(options.femur, 'femur'),
      tibia: await boneFile(options.tibia, 'tibia'),
      ...(options.fibula ? { fibula: await boneFile(options.fibula, 'fibula') } : {}),
      ...(options.patella ? { patella: await boneFile(options.patella, 'patella') } : {}),
    }),
  );
  const found = must(legFromBones(meshes, { side: options.side, rodLengthMm: options.rodLength }));
  const leg = withStated({ ...found.leg, findings: [...findings, ...found.leg.findings] }, []);
  return measurement({ ...found, leg });
}

export async function measureCommand(options: MeasureOptions): Promise<string> {
  const found = await measureFiles(options);
  if (options.json) return JSON.stringify(found, null, 2);
  return [
    `${found.side.toUpperCase()} leg, measured on bones`,
    '',
    table([
      ['quantity', 'value', 'give or take', '', 'unit', 'is'],
      ...quantityRows(found.quantities, quantityDefinitions),
    ]),
    '',
    findingsText(found.findings),
  ].join('\n');
}
