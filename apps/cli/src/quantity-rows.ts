import type { Q, QuantityDefinition } from '@kerfline/knee';
import { said } from './said.ts';

/** One row for each quantity that was found, in the order of the definitions. */
export const quantityRows = (
  found: Readonly<Record<string, Q>>,
  definitions: readonly Pick<QuantityDefinition, 'name' | 'label'>[],
): readonly (readonly string[])[] =>
  definitions.flatMap((definition) => {
    const q = found[definition.name];
    if (!q) return [];
    // HKA is an angle of its own, 180 when straight: a word would be that of its difference from 180.
    const { positive, ...plain } = q;
    const s = said(definition.name.endsWith('HKA') || !positive ? plain : q);
    return [[definition.name, s.value, s.spread, s.word, q.value === null ? '' : q.unit, definition.label]];
  });
