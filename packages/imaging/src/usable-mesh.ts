import {
  dot,
  doubleAreaNormals,
  doubt,
  err,
  type Finding,
  info,
  type Mesh,
  type MeshQuality,
  meshQuality,
  ok,
  pieceOfTriangle,
  type Result,
  rewound,
  type Surface,
  submesh,
  subtract,
  triangleCount,
  vertex,
  vertexCount,
  welded,
} from '@kerfline/geometry';
import type { MeshFileError } from './mesh-file-error.ts';
import { middleOfOpenEdges } from './open-edges.ts';

/** What is kept of a surface, what it is like, and what was done to it or must be known about it. */
export interface UsableMesh<F extends string> {
  readonly mesh: Mesh<F>;
  /** Of `mesh`, not of the surface it was taken from. */
  readonly quality: MeshQuality;
  readonly findings: readonly Finding[];
}

/**
 * An open surface that encloses less than this share of area^1.5 is flat and has no inside to face away from.
 * A ball encloses 0.094, a rod thirteen times as long as wide 0.04.
 */
const flatShare = 1e-4;
/** Sizes of pieces that a message lists one by one. */
const listedPieces = 5;

/** Fewest triangles that can enclose anything: those of a tetrahedron. */
const fewestTriangles = 4;

/**
 * The part of a surface to go on with: its largest piece, facing outward, without what carries no surface.
 *
 * Triangles with two corners at one vertex and vertices without a triangle are left out. If edges are open, vertices at
 * the same place become one where that leaves fewer of them open. A surface that faces inward is turned over.
 * Everything else stays as it was and is only reported.
 *
 * @param surface indices in range and coordinates finite
 * @returns `too-few-triangles` if fewer than four are left
 */
export function usableMesh<F extends string>(surface: Mesh<F>): Result<UsableMesh<F>, MeshFileError> {
  const findings: Finding[] = [];
  let { mesh, collapsed, unused } = tidied(surface);
  let quality = meshQuality(mesh);
  if (quality.openEdges > 0) {
    const joined = tidied(welded(mesh));
    const better = vertexCount(joined.mesh) < vertexCount(mesh) ? meshQuality(joined.mesh) : quality;
    if (better.openEdges < quality.openEdges) {
      const gone = vertexCount(mesh) - vertexCount(joined.mesh);
      findings.push(info('vertices-joined', `${gone} vertices at the place of another one were joined with it.`));
      mesh = joined.mesh;
      quality = better;
      collapsed += joined.collapsed;
    }
  }
  if (collapsed > 0) {
    const message = `${collapsed} triangles have two corners at one vertex; they were left out.`;
    findings.push(info('collapsed-triangles', message));
  }
  if (unused > 0) {
    findings.push(info('unused-vertices', `${unused} vertices belong to no triangle; they were left out.`));
  }
  if (quality.pieces.length > 1) {
    findings.push(doubt('several-pieces', piecesText(quality.pieces)));
    mesh = firstPieceOf(mesh, quality.pieces[0]!);
    quality = meshQuality(mesh);
  }
  if (quality.triangles < fewestTriangles) {
    return err({ kind: 'too-few-triangles', found: quality.triangles, needed: fewestTriangles });
  }
  if (facesInward(mesh, quality)) {
    const how = quality.closed ? '' : ', as far as that can be told of one that is not closed';
    findings.push(doubt('inside-out', `The surface faced inward${how}; all its triangles were turned over.`));
    mesh = rewound(mesh);
    quality = { ...quality, volumeMm3: -quality.volumeMm3 };
  }
  return ok({ mesh, quality, findings: [...findings, ...qualityFindings(quality)] });
}

function qualityFindings(quality: MeshQuality): readonly Finding[] {
  const { openEdges, branchingEdges, windingConflicts, degenerateTriangles } = quality;
  const findings: Finding[] = [];
  if (openEdges > 0) findings.push(doubt('open-edges', `${openEdges} edges have a triangle on one side only.`));
  if (branchingEdges > 0) {
    findings.push(doubt('branching-edges', `${branchingEdges} edges are shared by three or more triangles.`));
  }
  if (windingConflicts > 0) {
    const message = `At ${windingConflicts} edges the two triangles disagree which side is outside.`;
    findings.push(doubt('winding-conflicts', message));
  }
  if (degenerateTriangles > 0) {
    findings.push(info('degenerate-triangles', `${degenerateTriangles} triangles have no area.`));
  }
  return findings;
}

/** The surface without triangles that have two corners at one vertex and without vertices that no triangle uses. */
function tidied<F extends string>(
  surface: Mesh<F>,
): { readonly mesh: Mesh<F>; readonly collapsed: number; readonly unused: number } {
  const { triangles: t } = surface;
  const inUse = new Uint8Array(vertexCount(surface));
  let used = 0;
  for (const v of t) {
    if (inUse[v] === 0) used += 1;
    inUse[v] = 1;
  }
  const isCollapsed = (triangle: number): boolean => {
    const [a, b, c] = [t[3 * triangle]!, t[3 * triangle + 1]!, t[3 * triangle + 2]!];
    return a === b || b === c || c === a;
  };
  let collapsed = 0;
  for (let triangle = 0; triangle < triangleCount(surface); triangle += 1) if (isCollapsed(triangle)) collapsed += 1;
  const unused = inUse.length - used;
  const mesh = collapsed + unused > 0 ? submesh(surface, (triangle) => !isCollapsed(triangle)) : surface;
  return { mesh, collapsed, unused };
}

/** The first connected piece with just so many triangles. */
function firstPieceOf<F extends string>(mesh: Mesh<F>, triangles: number): Mesh<F> {
  const pieces = pieceOfTriangle(mesh);
  const sizes: number[] = [];
  for (const piece of pieces) sizes[piece] = (sizes[piece] ?? 0) + 1;
  const kept = sizes.indexOf(triangles);
  return submesh(mesh, (triangle) => pieces[triangle] === kept);
}

function piecesText([kept, ...rest]: readonly number[]): string {
  const listed = rest.slice(0, listedPieces).join(', ');
  const more = rest.length > listedPieces ? ` and ${rest.length - listedPieces} smaller ones` : '';
  return `The surface has ${rest.length + 1} pieces; the one of ${kept} triangles was kept, left out were those of ${listed}${more}.`;
}

/**
 * Whether the surface faces the space it encloses.
 *
 * An open surface is judged as if every open edge had a triangle to the middle of all of them: exact with one hole
 * whatever the shape, and sound with several that lie around what is enclosed.
 */
function facesInward(mesh: Surface, quality: MeshQuality): boolean {
  if (quality.closed) return quality.volumeMm3 < 0;
  const first = vertex(mesh, mesh.triangles[0]!);
  const fromFirst = subtract(middleOfOpenEdges(mesh) ?? first, first);
  const normals = doubleAreaNormals(mesh);
  const twice: [number, number, number] = [0, 0, 0];
  for (let i = 0; i < normals.length; i += 3) for (const axis of [0, 1, 2] as const) twice[axis] += normals[i + axis]!;
  // `volumeMm3` sums cones from the first vertex; moving their tip by d changes the sum by -d . area vector / 3.
  const enclosed = quality.volumeMm3 - dot(fromFirst, twice) / 6;
  return enclosed < -flatShare * quality.areaMm2 ** 1.5;
}
