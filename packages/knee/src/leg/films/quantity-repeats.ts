import { doubt, err, type Finding, ok, type Result } from '@kerfline/geometry';
import {
  type Agreement,
  agreement,
  type FromReadings,
  type Intraclass,
  intraclass,
  minimalDetectableChange,
  type Repeatability,
  readingsFaultText,
  repeatability,
} from '@kerfline/uncertainty';
import type { Unit } from '../../quantity.ts';
import { type Refusal, refusal } from '../../refusal.ts';

/** A quantity read repeatedly: one row a film, one column a marking. Values in mm or radians, or all in one other unit. */
export interface QuantityReadings {
  readonly name: string;
  readonly unit: Unit;
  readonly rows: readonly (readonly number[])[];
}

/** How a quantity repeats within one person, in the unit of the readings. */
export interface QuantityRepeats {
  readonly name: string;
  readonly unit: Unit;
  readonly repeatability: Repeatability;
  /** First minus second marking over two or more films; one film has no limits of its own. */
  readonly agreement?: Agreement;
  readonly findings: readonly Finding[];
}

const orRefused = <T>(name: string, found: FromReadings<T>): Result<T, Refusal> =>
  found.ok ? found : err(refusal(found.error.kind, `${name}: ${readingsFaultText(found.error)}`));

/** Whether the mean difference is more than its interval allows for chance. */
const shifted = ({ intervalOfMean: { low, high } }: Agreement): boolean => low > 0 || high < 0;

/** Standard error of measurement, smallest change that can be told, and limits between the first two markings. */
export function quantityRepeats({ name, unit, rows }: QuantityReadings): Result<QuantityRepeats, Refusal> {
  const spread = orRefused(name, repeatability(rows));
  if (!spread.ok) return spread;
  const pairs = rows.filter((row) => row.length > 1);
  if (pairs.length < 2) return ok({ name, unit, repeatability: spread.value, findings: [] });
  const limits = orRefused(
    name,
    agreement(
      pairs.map((row) => row[0]!),
      pairs.map((row) => row[1]!),
    ),
  );
  if (!limits.ok) return limits;
  return ok({
    name,
    unit,
    repeatability: spread.value,
    agreement: limits.value,
    findings: shifted(limits.value)
      ? [
          doubt(
            'repeats-drift',
            `${name}: first and second markings differ on average by more than chance explains; what changed between them counts as spread.`,
          ),
        ]
      : [],
  });
}

/** Two people on the same films: how far they agree, in the unit of the readings. */
export interface ReaderComparison {
  readonly name: string;
  readonly unit: Unit;
  /** First person minus second. */
  readonly agreement: Agreement;
  /** ICC(2,1) of Shrout and Fleiss: the two stand for people in general, their shift counts. */
  readonly icc: Intraclass;
  /** Standard error of measurement between people, their shift included. */
  readonly sem: number;
  readonly minimalDetectableChange: number;
  readonly findings: readonly Finding[];
}

/**
 * Compares two people who measured the same films once each.
 *
 * @param readings one row a film: first person, second person
 * @returns limits, ICC(2,1) and SEM; a refusal for fewer than 2 films, a missing reading, or readings that are all the same
 */
export function readerComparison({ name, unit, rows }: QuantityReadings): Result<ReaderComparison, Refusal> {
  const other = rows.find((row) => row.length !== 2);
  if (other) return err(refusal('lengths-differ', `${name}: a film has ${other.length} readings; 2 are needed.`));
  const limits = orRefused(
    name,
    agreement(
      rows.map((row) => row[0]!),
      rows.map((row) => row[1]!),
    ),
  );
  if (!limits.ok) return limits;
  const classes = orRefused(name, intraclass(rows));
  if (!classes.ok) return classes;
  const sem = Math.sqrt(classes.value.meanSquares.WMS);
  return ok({
    name,
    unit,
    agreement: limits.value,
    icc: classes.value.random.single,
    sem,
    minimalDetectableChange: minimalDetectableChange(sem),
    findings: shifted(limits.value)
      ? [doubt('readers-differ', `${name}: the two people differ on average by more than chance explains.`)]
      : [],
  });
}
