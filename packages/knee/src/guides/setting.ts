/** What one link is set to: a number in its own unit (mm or degrees), and a choice where it has one. */
export interface Setting {
  readonly value: number;
  /** Feeler: the site its tip is put on. */
  readonly site?: string | undefined;
  /** Turn: what it pivots on. */
  readonly pivot?: 'middle' | 'medial' | 'lateral' | undefined;
  /** Size: what stays in place when the size changes. */
  readonly keeps?: 'rear' | 'front' | undefined;
  /** Pins: the row of holes. */
  readonly row?: string | undefined;
  /** Seat: which one the block hangs on. */
  readonly seat?: string | undefined;
  /** A ring that flips: the wrong face is up. Never called; what would follow is run forward. */
  readonly flipped?: true | undefined;
  /** Rest: shims under its contacts, mm. */
  readonly shimsMm?: Readonly<Record<string, number>> | undefined;
}

/** Settings of one guide by link. */
export type Settings = Readonly<Record<string, Setting>>;

/** Settings of every guide that is to be used, by guide. */
export type GuideSettings = Readonly<Record<string, Settings>>;

/** Small differences between what was called and what is: by link, or by link and direction. mm and degrees. */
export type Errors = Readonly<Record<string, number>>;
export const noErrors: Errors = {};
