export { type Field, gradient } from './field.ts';
export { doubt, type Finding, fault, info } from './finding.ts';
export { type Circle, fitCircle, fitCircleLinear } from './fit-circle.ts';
export { distanceFromLine, type FittedLine, type FittedPlane, fitLine, fitPlane } from './fit-line-plane.ts';
export {
  fitSphereRobust,
  type NoSphere,
  type RobustSphereOptions,
  refineSphere,
  type Sphere,
  type SphereFit,
  sphereThrough,
} from './fit-sphere.ts';
export { type Direction3, direction, directionBetween, distance, type Plane, type Point3, point } from './frames.ts';
export { type LeastSquaresFit, type LeastSquaresOptions, leastSquares, type NotConverged } from './least-squares.ts';
export {
  type Box,
  boundingBox,
  inFrame,
  type Mesh,
  moved,
  type Surface,
  triangleCount,
  vertex,
  vertexCount,
} from './mesh.ts';
export { volumeBeyond } from './mesh-halves.ts';
export { largestPiece, rewound, submesh, welded } from './mesh-parts.ts';
export { area, doubleAreaNormals, type MeshQuality, meshQuality, pieceOfTriangle, volume } from './mesh-quality.ts';
export { type MeshQuery, meshQuery, type SurfaceHit } from './mesh-query.ts';
export {
  type Contour,
  flattenedOn,
  liftedFrom,
  type SectionPlane,
  section,
  sectionPlane,
} from './mesh-section.ts';
export { type PointsNearlyCollinear, planeAt, planeThrough, projectedOn, shifted, signedDistance } from './plane.ts';
export {
  clippedTo,
  convexHull,
  distanceOutside,
  extremePoint,
  insidePolygon,
  nearestOnEdge,
  type Polygon,
  polygonArea,
  polygonCentroid,
  polygonSecondMoments,
  refined,
} from './polygon.ts';
export { overlapArea } from './polygon-overlap.ts';
export { matrix4, type Reflection, reflectBack, reflection, reflectMesh, reflectPoint } from './reflection.ts';
export { type Registration, type RegistrationError, register } from './registration.ts';
export { err, expectOk, ok, type Result, unreachable } from './result.ts';
export {
  apply,
  applyToPlane,
  compose,
  identity,
  invert,
  noRotation,
  product,
  type Rotation,
  rotated,
  rotationAbout,
  rotationToAxes,
  type Transform,
  transform,
  transformToAxes,
  transposed,
  turn,
} from './rigid-transform.ts';
export { type Silhouette, silhouette, simplified } from './silhouette.ts';
export { surfaceBeyond } from './surface-beyond.ts';
export { type PrincipalAxes, principalAxes } from './symmetric-eigen.ts';
export { type Degrees, deg, type Millimetres, mm, type Radians, rad, toDegrees, toRadians } from './units.ts';
export {
  add,
  along,
  angleBetween,
  cross,
  dot,
  length,
  midpoint,
  scaled,
  subtract,
  unit,
  unitSquareTo,
  type Vec3,
} from './vec3.ts';
