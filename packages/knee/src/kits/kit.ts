import type { Guide } from '../guides/guide.ts';

export interface FemurSize {
  readonly size: number;
  readonly widthMm: number;
  readonly distalMm: number;
  readonly rearMm: number;
  readonly flangeHeightMm: number;
}
export interface TraySize {
  readonly size: number;
  readonly depthMm: number;
  readonly thicknessMm: number;
  readonly keelMm: number;
  readonly drillMm: number;
}
export interface ButtonSize {
  readonly size: number;
  readonly thicknessMm: number;
}

/** The components that fill the space; every size is named by its millimetres. */
export interface ComponentFamily {
  readonly femur: readonly FemurSize[];
  readonly tray: readonly TraySize[];
  readonly insert: readonly { readonly size: number }[];
  readonly button: readonly ButtonSize[];
  readonly allowedPairs: readonly { readonly femur: number; readonly tray: number }[];
}

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
