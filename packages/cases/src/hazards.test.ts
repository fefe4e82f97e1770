import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { ledgerOf, stamp, typed } from './case.fixture.ts';
import type { CaseFile } from './case-file.ts';
import { replay } from './case-view.ts';
import { checkStatement } from './check-statement.ts';
import { readStatement, type Statement } from './entry.ts';
import { appended } from './ledger.ts';
import { sha256Of } from './sha256.ts';
import { workCase } from './worked-case.ts';

/** Source: hazards 15, 16, 28 and 30 of the trade notes, section 7. */

interface RawLink {
  readonly id: string;
  values?: readonly number[];
  shimsMm?: readonly number[];
}
interface RawKit {
  readonly guides: { readonly id: string; side?: string; readonly links: readonly RawLink[] }[];
  readonly components: {
    readonly femur: readonly { size: number }[];
    readonly tray: readonly { readonly size: number }[];
    readonly allowedPairs: readonly { femur: number; readonly tray: number }[];
  };
}
const kitText = readFileSync(new URL('../../../kits/demo/kit.json', import.meta.url), 'utf8');

/** The demo kit with fewer rings and no shims, so that a case is worked out sooner; and with a change of the test's own. */
function shortKit(change: (kit: RawKit) => void = () => {}): string {
  const kit = JSON.parse(kitText) as RawKit;
  for (const link of kit.guides.flatMap((g) => g.links)) {
    if (link.id === 'collar') link.values = link.values!.slice(2, 4);
    if (link.id === 'head') link.values = link.values!.slice(0, 2);
    if (link.shimsMm) link.shimsMm = [];
  }
  change(kit);
  return JSON.stringify(kit);
}

const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);
const kitEntry = (text: string): Statement => ({
  kind: 'kit',
  body: { name: 'demo', version: '1', blob: sha256Of(bytesOf(text)) },
});
const enclosed = (...texts: readonly string[]): CaseFile['blobs'] =>
  new Map(texts.map((text) => [sha256Of(bytesOf(text)), bytesOf(text)]));

/** A case whose bones are wide enough known that plan and sizes follow from them. */
const caseOf = (
  text: string,
  side: 'left' | 'right',
  cortexDepth: number,
  more: readonly Statement[] = [],
): CaseFile => ({
  ledger: ledgerOf('k', [
    { kind: 'created', body: { side, label: 'invented' } },
    kitEntry(text),
    typed('LDFA', 88),
    typed('MPTA', 87),
    typed('slope', 6),
    typed('tibiaSpan', 330, 'mm', 2),
    typed('cortexDepth', cortexDepth, 'mm', 1),
    typed('tibiaWidth', 72, 'mm', 1),
    typed('tibiaDepth', 48, 'mm', 1),
    { kind: 'aim', body: { philosophy: 'mechanical' } },
    ...more,
  ]),
  blobs: enclosed(text),
});

const kinds = ['setting', 'readBack'] as const;
type Kind = (typeof kinds)[number];
const said = (
  kind: Kind,
  guide: string,
  link: string,
  value: number,
  unit: 'mm' | 'deg',
  more: object = {},
): Statement => ({
  kind,
  body: { guide, link, value, unit, ...more },
});
const verdict = (file: CaseFile, statement: Statement): string => {
  const checked = checkStatement(file.ledger, file.blobs, statement);
  return checked.ok ? 'taken' : checked.error.kind;
};
/** The case with a statement more, which must be one that is taken. */
function taken(file: CaseFile, statement: Statement): CaseFile {
  expect(verdict(file, statement)).toBe('taken');
  return { ...file, ledger: appended(file.ledger, statement, stamp) };
}
const femurSize = (kind: Kind, size: number): Statement =>
  said(kind, 'heel-frame', 'size', size, 'mm', { keeps: 'rear' });
const traySize = (kind: Kind, size: number): Statement => said(kind, 'tray-trial', 'tray', size, 'mm');

describe('sizes that may not be used together', () => {
  const text = shortKit();
  const { femur, tray, allowedPairs } = (JSON.parse(text) as RawKit).components;
  const sizes = (list: readonly { readonly size: number }[]): readonly number[] => list.map((item) => item.size);
  const allowed = (f: number, t: number): boolean => allowedPairs.some((pair) => pair.femur === f && pair.tray === t);

  it('are among 49 pairs of the demo kit, of which 19 are allowed', () => {
    expect([femur.length * tray.length, allowedPairs.length]).toEqual([49, 19]);
  });

  it.each(kinds)('are refused when the tray comes after the femur as a %s, and every allowed pair is taken', (kind) => {
    for (const f of sizes(femur)) {
      const set = taken(caseOf(text, 'left', f), femurSize(kind, f));
      for (const t of sizes(tray)) {
        expect(verdict(set, traySize(kind, t)), `${f} and ${t}`).toBe(allowed(f, t) ? 'taken' : 'pair-not-allowed');
      }
    }
  });

  it.each(kinds)('are refused when the femur comes after the tray as a %s, and every allowed pair is taken', (kind) => {
    for (const t of sizes(tray)) {
      // The bone asks for a femur that goes with the tray, until another is said.
      const asked = allowedPairs.find((pair) => pair.tray === t)!.femur;
      const set = taken(caseOf(text, 'left', asked), traySize(kind, t));
      for (const f of sizes(femur)) {
        expect(verdict(set, femurSize(kind, f)), `${t} and ${f}`).toBe(allowed(f, t) ? 'taken' : 'pair-not-allowed');
      }
    }
  });

  it.each([
    ['slit-block', 'block', femurSize('setting', 63), [60, 63, 66], 63],
    ['keel-tool', 'tool', traySize('setting', 71), [68, 71, 74], 71],
  ] as const)('are refused on the %s, whose size follows what was set before', (guide, link, before, tried, goes) => {
    const set = taken(caseOf(text, 'left', 63), before);
    for (const size of tried) {
      expect(verdict(set, said('readBack', guide, link, size, 'mm')), `${size}`).toBe(
        size === goes ? 'taken' : 'size-mismatch',
      );
      expect(verdict(set, said('setting', guide, link, size, 'mm')), `${size} chosen`).toBe('follows');
    }
  });
});

describe('a part of the other side', () => {
  const sides = ['left', 'right'] as const;
  const other = { left: 'right', right: 'left' } as const;

  it.each(kinds.flatMap((kind) => sides.map((side) => [kind, side] as const)))(
    'is refused as a %s on a %s knee: a guide, a seat, a face',
    (kind, side) => {
      const wrong = other[side];
      const own = caseOf(shortKit(), side, 60);
      const seat = (word: string): Statement =>
        said(kind, 'shin-mast', 'seat', 15, 'mm', { sense: 'lateral', seat: word });
      expect(verdict(own, seat(wrong))).toBe('wrong-side');
      expect(verdict(own, seat(side))).toBe('taken');
      const face = (word: string): Statement =>
        said(kind, 'canal-core', 'collar', 5, 'deg', { face: word.toUpperCase() });
      expect(verdict(own, face(wrong))).toBe('wrong-face');
      expect(verdict(own, face(side))).toBe('taken');
      // The whole core is made for one side.
      const coreFor = (made: string): CaseFile =>
        caseOf(
          shortKit((kit) => {
            kit.guides.find((g) => g.id === 'canal-core')!.side = made;
          }),
          side,
          60,
        );
      expect(verdict(coreFor(wrong), said(kind, 'canal-core', 'dial', 9, 'mm'))).toBe('wrong-side');
      expect(verdict(coreFor(side), said(kind, 'canal-core', 'dial', 9, 'mm'))).toBe('taken');
    },
  );

  it('has nowhere to give a reason with: an entry with one more field is no entry', () => {
    for (const kind of kinds) {
      const body = { guide: 'canal-core', link: 'collar', value: 5, unit: 'deg', face: 'RIGHT' };
      expect(readStatement({ kind, body }).ok).toBe(true);
      for (const field of ['why', 'reason', 'override', 'force', 'confirmedBy']) {
        expect(readStatement({ kind, body: { ...body, [field]: 'the surgeon wants it' } }), field).toMatchObject({
          ok: false,
          error: { kind: 'bad-body' },
        });
      }
    }
  });
});

describe('a second kit', () => {
  const first = shortKit();
  // The same name and version, the same labels, and one femoral size that is 1 mm deeper.
  const second = shortKit((kit) => {
    kit.components.femur[3]!.size += 1;
    for (const pair of kit.components.allowedPairs) if (pair.femur === 63) pair.femur = 64;
  });
  const begunCase = caseOf(first, 'left', 60);
  const both = (file: CaseFile): CaseFile => ({ ...file, blobs: enclosed(first, second) });

  it('of the same name and version but with other millimetres has another hash, which the case holds', () => {
    expect(kitEntry(second)).not.toEqual(kitEntry(first));
    expect(replay(begunCase.ledger).kit!.blob).toBe(sha256Of(bytesOf(first)));
  });

  it.each(kinds)('is refused while a %s of the first stands, and taken once that is taken back', (kind) => {
    const set = taken(both(begunCase), said(kind, 'canal-core', 'dial', 9, 'mm'));
    expect(verdict(set, kitEntry(second))).toBe('mixed-kits');
    expect(verdict(set, kitEntry(first))).toBe('taken');
    const id = set.ledger.entries.at(-1)!.id;
    const back = taken(set, { kind: 'retract', body: { entry: id, why: 'another kit' } });
    expect(verdict(back, kitEntry(second))).toBe('taken');
  });

  it('is taken while nothing of the first was set', () => {
    expect(verdict(both(begunCase), kitEntry(second))).toBe('taken');
  });

  it('knows its sizes by millimetres: what only the other has is refused', () => {
    expect(verdict(begunCase, femurSize('readBack', 64))).toBe('off-detent');
    const switched = taken(both(begunCase), kitEntry(second));
    expect(verdict(switched, femurSize('readBack', 63))).toBe('off-detent');
  });
});

/** By hand: on the shin mast the feeler hangs under yoke, both slides, mast and head, so each of them moves its depth. */
describe('an angle that is set after a depth was touched', () => {
  const text = shortKit();
  const set = {
    ankleSlide: said('readBack', 'shin-mast', 'ankleSlide', 7, 'mm', { sense: 'lateral' }),
    feeler: said('readBack', 'shin-mast', 'feeler', 10, 'mm', { site: 'plateauLateral' }),
    head: said('readBack', 'shin-mast', 'head', 3, 'deg', { sense: 'posteriorSlope' }),
  };
  type Link = keyof typeof set;
  const again = (order: readonly Link[]): readonly string[] => {
    const file = order.reduce((so, link) => taken(so, set[link]), caseOf(text, 'left', 60));
    const worked = workCase(replay(file.ledger), file.blobs);
    if (!worked.ok) throw new Error(worked.error[0]!.message);
    return worked.value.plan.findings.filter((f) => f.code === 'touch-again').map((f) => f.message);
  };

  it.each([
    { order: ['ankleSlide', 'head', 'feeler'], named: [] },
    { order: ['head', 'ankleSlide', 'feeler'], named: [] },
    { order: ['ankleSlide', 'feeler', 'head'], named: ['Head'] },
    { order: ['head', 'feeler', 'ankleSlide'], named: ['Ankle slide'] },
    { order: ['feeler', 'ankleSlide', 'head'], named: ['Ankle slide', 'Head'] },
    { order: ['feeler', 'head', 'ankleSlide'], named: ['Ankle slide', 'Head'] },
    { order: ['ankleSlide', 'head'], named: [] },
    { order: ['feeler', 'head', 'feeler'], named: [] },
    { order: ['feeler', 'head', 'feeler', 'ankleSlide'], named: ['Ankle slide'] },
  ] as const)('in the order $order asks for $named', ({ order, named }) => {
    const found = again(order);
    expect(found).toHaveLength(named.length > 0 ? 1 : 0);
    for (const name of ['Ankle slide', 'Head']) {
      expect(
        found.some((message) => message.includes(name)),
        name,
      ).toBe((named as readonly string[]).includes(name));
    }
  });
});
