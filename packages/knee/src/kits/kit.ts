import type { z } from 'zod';
import type { Guide } from '../guides/guide.ts';
import type { componentsSchema } from './component-schema.ts';

/** The components that fill the space; every size is named by its millimetres. */
export type ComponentFamily = z.infer<typeof componentsSchema>;
export type FemurSize = ComponentFamily['femur'][number];
export type TraySize = ComponentFamily['tray'][number];
export type ButtonSize = ComponentFamily['button'][number];

/** Guides and component family together, as one file holds them. */
export interface Kit {
  /** Version of the file's form. */
  readonly kit: 1;
  readonly name: string;
  readonly says: string;
  readonly version: string;
  readonly guides: readonly Guide[];
  readonly components: ComponentFamily;
}

/** Thinnest tibial build: tray and thinnest insert, mm. */
export const thinnestTibia = (family: ComponentFamily): number =>
  Math.min(...family.tray.map((tray) => tray.thicknessMm)) + Math.min(...family.insert.map((insert) => insert.size));
