import { err, ok, type Result } from '@kerfline/geometry';
import type { Unit } from '../quantity.ts';
import { type Refusal, refusal } from '../refusal.ts';
import { stateable, stateables } from './stateable.ts';

/** A value of the leg that a person stated, as it stands outside: mm or degrees. */
export interface StatedValue {
  readonly name: string;
  readonly value: number;
  readonly unit: Unit;
  readonly sd: number;
  /** Whether the spread was stated too or is the working default for this name. */
  readonly sdFrom: 'stated' | 'default';
}

const pattern =
  /^\s*([A-Za-z0-9]+)\s*=\s*([+-]?[0-9]+(?:[.,][0-9]+)?)\s*([a-z"°]*)\s*(?:(?:\+-|\+\/-|±)\s*([0-9]+(?:[.,][0-9]+)?)\s*([a-z"°]*))?\s*$/u;

const decimal = (text: string): number => Number(text.replace(',', '.'));

const nearest = (name: string): string => {
  const lower = name.toLowerCase();
  const alike = stateables.find((s) => s.name.toLowerCase() === lower || s.name.toLowerCase().startsWith(lower));
  return alike ? ` Did you mean ${alike.name}?` : ` Known names: ${stateables.map((s) => s.name).join(' ')}.`;
};

/**
 * Reads a value stated as text: `LDFA=88deg+-1`, `tibiaSpan=330mm`, with a decimal point or comma. The unit must be said.
 */
export function parseStated(text: string): Result<StatedValue, Refusal> {
  const match = pattern.exec(text);
  if (!match) {
    return err(refusal('not-a-value', `"${text}" is not NAME=VALUE with a unit; for example LDFA=88deg+-1.`));
  }
  const [, name, value, unitText, sd, sdUnit] = match as unknown as [string, string, string, string, string?, string?];
  if (unitText === '') {
    return err(
      refusal('no-unit', `"${text}" has no unit: write ${name}=${value}${stateable(name)?.unit ?? 'deg or mm'}.`),
    );
  }
  if (unitText !== 'mm' && unitText !== 'deg') {
    return err(refusal('unknown-unit', `"${unitText}" in "${text}" is not a unit here; only mm and deg are.`));
  }
  if (sdUnit !== undefined && sdUnit !== '' && sdUnit !== unitText) {
    return err(refusal('two-units', `"${text}" gives its spread in ${sdUnit} and its value in ${unitText}.`));
  }
  return checkStated({
    name,
    value: decimal(value),
    unit: unitText,
    ...(sd === undefined ? {} : { sd: decimal(sd) }),
  });
}

/** Checks a stated value's name, unit, range and spread; a missing spread becomes the working default for that name. */
export function checkStated(given: {
  readonly name: string;
  readonly value: number;
  readonly unit: Unit;
  readonly sd?: number;
}): Result<StatedValue, Refusal> {
  const { name, value, unit, sd } = given;
  const known = stateable(name);
  if (!known) return err(refusal('unknown-name', `${name} is nothing that can be stated of a leg.${nearest(name)}`));
  if (unit !== known.unit) {
    return err(
      refusal(
        'wrong-unit',
        `${name} is stated in ${unit === 'mm' ? 'millimetres' : 'degrees'} (${value} ${unit}); it is measured in ${known.unit}.`,
      ),
    );
  }
  if (!(value >= known.range[0] && value <= known.range[1])) {
    return err(
      refusal(
        'out-of-range',
        `${name} is stated as ${value} ${unit}; values from ${known.range[0]} to ${known.range[1]} ${unit} are taken.`,
      ),
    );
  }
  if (sd !== undefined && !(sd >= 0 && Number.isFinite(sd))) {
    return err(refusal('bad-spread', `${name} has a spread of ${sd} ${unit}; a spread is 0 or more.`));
  }
  return ok({ name, value, unit, sd: sd ?? known.defaultSd, sdFrom: sd === undefined ? 'default' : 'stated' });
}
