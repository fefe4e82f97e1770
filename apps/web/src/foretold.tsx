import { type Q, saidQuantity } from '@kerfline/knee';

/** A computed number: leaning, blue, with its give or take. Not known is said, never left empty. */
export function Foretold({
  q,
  digits = 1,
  unit = true,
}: {
  readonly q: Q;
  readonly digits?: number;
  readonly unit?: boolean;
}) {
  const said = saidQuantity(q, digits);
  if (q.value === null) return <b className="unknown">not known</b>;
  return (
    <span className="f">
      {said.value} {said.word} {said.spread !== '' && <span className="pm">± {said.spread}</span>}
      {unit && <span className="pm">{q.unit === 'deg' ? '°' : ' mm'}</span>}
    </span>
  );
}

/** M in a square, L in a round, everywhere. */
export const SideLetter = ({ letter }: { readonly letter: 'M' | 'L' }) => (
  <span className={letter === 'M' ? 'm' : 'l'}>{letter}</span>
);
