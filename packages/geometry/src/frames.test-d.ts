import { apply, compose, direction, distance, noRotation, type Point3, point, reflection, transform } from './index.ts';

const femurFromBase = transform('femur', 'base', noRotation, [0, 0, 0]);
const baseFromSlot = transform('base', 'slot', noRotation, [0, 0, 0]);
const tip = point('slot', [1, 2, 3]);
const knee = point('femur', [0, 0, 0]);
const ankle = point('tibia', [0, 0, 0]);

apply(compose(femurFromBase, baseFromSlot), tip) satisfies Point3<'femur'>;
distance(apply(compose(femurFromBase, baseFromSlot), tip), knee) satisfies number;

// @ts-expect-error the middle names must match
compose(baseFromSlot, femurFromBase);
// @ts-expect-error two frames, no distance
distance(knee, ankle);
// @ts-expect-error a point of another frame cannot be moved by this transform
apply(femurFromBase, tip);
// @ts-expect-error a direction is not a place
apply(femurFromBase, direction('base', [0, 0, 1]));
// @ts-expect-error a mirror is not a rigid transform
compose(femurFromBase, reflection('base', 'slot', [1, 0, 0]));
