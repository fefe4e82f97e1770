import type { Q } from '@kerfline/knee';
import { smudgeRule } from '@kerfline/sheets';
import { Foretold } from './foretold.tsx';
import { Picture } from './picture.tsx';
import type { QuantityRow } from './quantity-rules.ts';

const ticks = ({ range, tick }: QuantityRow): readonly number[] =>
  Array.from({ length: Math.floor((range[1] - range[0]) / tick) + 1 }, (_, k) => range[0] + k * tick);

/** A quantity on its rule and in words: the last two cells of its row. The limb is said by its varus. */
export function QuantityCells({ row, q }: { readonly row: QuantityRow; readonly q: Q }) {
  return (
    <>
      <td>
        <Picture
          drawing={smudgeRule({
            label: row.title,
            range: row.range,
            ticks: ticks(row),
            numerals: row.numerals,
            value: q.value ?? undefined,
            sd: q.sd ?? 0,
          })}
        />
      </td>
      <td className="value">
        {row.name === 'clinicalHKA' && q.value !== null ? (
          <Foretold q={{ ...q, value: 180 - q.value, positive: 'varus' }} />
        ) : (
          <Foretold q={q} />
        )}
      </td>
    </>
  );
}
