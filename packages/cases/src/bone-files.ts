import { type Finding, inFrame, type Mesh, ok, type Result } from '@kerfline/geometry';
import { likelyUnit, meshFileErrorText, readMesh } from '@kerfline/imaging';
import { type LegMeshes, type Refusal, refusal, wholeLengthMm } from '@kerfline/knee';

export type BoneRole = keyof typeof wholeLengthMm;

export interface BoneFile {
  readonly bytes: Uint8Array;
  readonly fileName: string;
}

export type BoneFiles = Readonly<Partial<Record<BoneRole, BoneFile>>>;

const unitWords = { m: 'metres', cm: 'centimetres', inch: 'inches' } as const;

function readBone(
  role: BoneRole,
  file: BoneFile,
): Result<{ mesh: Mesh<'scan'>; findings: readonly Finding[] }, Refusal> {
  const read = readMesh(file.bytes, file.fileName);
  if (!read.ok) {
    return { ok: false, error: refusal('bad-file', `${file.fileName} (${role}): ${meshFileErrorText(read.error)}`) };
  }
  const { positions } = read.value.mesh;
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  positions.forEach((v, i) => {
    low[i % 3] = Math.min(low[i % 3]!, v);
    high[i % 3] = Math.max(high[i % 3]!, v);
  });
  // Between the longest side of the box and its diagonal lies the length of a bone in any pose.
  const size = Math.hypot(...high.map((v, k) => v - low[k]!));
  const unit = likelyUnit(size, wholeLengthMm[role]);
  if (unit !== undefined && unit !== 'mm') {
    return {
      ok: false,
      error: refusal(
        'wrong-unit',
        `${file.fileName} (${role}) is ${size.toPrecision(3)} long from corner to corner; a ${role} has ${wholeLengthMm[role].join(' to ')} mm. ` +
          `The file is probably in ${unitWords[unit]}; save it in millimetres.`,
      ),
    };
  }
  return ok({
    mesh: inFrame('scan', read.value.mesh),
    findings: read.value.findings.map((f) => ({ ...f, message: `${role}: ${f.message}` })),
  });
}

/** Reads the files of a leg's bones; every fault is named with its file. */
export function readBoneFiles(
  files: BoneFiles & { readonly femur: BoneFile; readonly tibia: BoneFile },
): Result<{ readonly meshes: LegMeshes; readonly findings: readonly Finding[] }, readonly Refusal[]> {
  const read = (['femur', 'tibia', 'fibula', 'patella'] as const).flatMap((role) => {
    const file = files[role];
    return file ? [{ role, result: readBone(role, file) }] : [];
  });
  const refusals = read.flatMap(({ result }) => (result.ok ? [] : [result.error]));
  if (refusals.length > 0) return { ok: false, error: refusals };
  const mesh = (role: BoneRole): Mesh<'scan'> | undefined => {
    const found = read.find((r) => r.role === role);
    return found?.result.ok ? found.result.value.mesh : undefined;
  };
  return ok({
    meshes: { femur: mesh('femur')!, tibia: mesh('tibia')!, fibula: mesh('fibula'), patella: mesh('patella') },
    findings: read.flatMap(({ result }) => (result.ok ? result.value.findings : [])),
  });
}
