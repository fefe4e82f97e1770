import type { Field, Vec3 } from '@kerfline/geometry';

export function sphere(centre: Vec3, radius: number): Field {
  const [cx, cy, cz] = centre;
  return (x, y, z) => Math.sqrt((x - cx) ** 2 + (y - cy) ** 2 + (z - cz) ** 2) - radius;
}

/** An ellipsoid along the frame's axes; the value is a distance near its surface and for nearly round ones. */
export function ellipsoid(centre: Vec3, halfAxes: Vec3): Field {
  const [cx, cy, cz] = centre;
  const [ax, ay, az] = halfAxes;
  const least = Math.min(ax, ay, az);
  return (x, y, z) => {
    const u = (x - cx) / ax;
    const v = (y - cy) / ay;
    const w = (z - cz) / az;
    const reach = Math.sqrt(u * u + v * v + w * w);
    const steepness = Math.sqrt((u / ax) ** 2 + (v / ay) ** 2 + (w / az) ** 2);
    return steepness > 1e-9 ? (reach * (reach - 1)) / steepness : -least;
  };
}

/**
 * Everything within a sphere that rolls from one end to the other while its radius changes evenly; a true distance.
 *
 * @param from the ends lie farther apart than their radii differ
 */
export function taperedRod(from: Vec3, to: Vec3, radiusFrom: number, radiusTo: number): Field {
  const [fx, fy, fz] = from;
  const long = Math.hypot(to[0] - fx, to[1] - fy, to[2] - fz);
  const dx = (to[0] - fx) / long;
  const dy = (to[1] - fy) / long;
  const dz = (to[2] - fz) / long;
  const taper = (radiusFrom - radiusTo) / long;
  const lean = taper / Math.sqrt(1 - taper * taper);
  return (x, y, z) => {
    const along = (x - fx) * dx + (y - fy) * dy + (z - fz) * dz;
    const away = Math.sqrt((x - fx - along * dx) ** 2 + (y - fy - along * dy) ** 2 + (z - fz - along * dz) ** 2);
    // The sphere that comes nearest stands where its distance less its radius is least.
    const at = Math.min(long, Math.max(0, along - away * lean));
    return Math.sqrt((along - at) ** 2 + away * away) - radiusFrom + taper * at;
  };
}
