import { afterOperation, componentAngles, type FilmReading, type Side } from '@kerfline/knee';
import { useMemo } from 'react';
import { Foretold } from '../foretold.tsx';

/** What films after the operation say of the components against the axes. */
export function AfterResults({ side, readings }: { readonly side: Side; readonly readings: readonly FilmReading[] }) {
  const found = useMemo(() => afterOperation(side, readings), [side, readings]);
  const told = found.ok
    ? componentAngles.flatMap(({ name, label }) => {
        const q = found.value[name];
        if (!q) return [];
        // HKA is an angle of its own: a word would be that of its difference from 180.
        const { positive: _, ...plain } = q;
        return [{ name, label, q: name.endsWith('HKA') ? plain : q }];
      })
    : [];
  return (
    <section className="says" aria-label="Components on this film">
      <h2>Components</h2>
      {!found.ok &&
        found.error.map(({ message }) => (
          <p key={message} className="words">
            {message}
          </p>
        ))}
      {told.length === 0 ? (
        <p className="words">
          Nothing is said of components yet: mark both ends of one of them, and the axis it is held against.
        </p>
      ) : (
        <table className="q">
          <tbody>
            {told.map(({ name, label, q }) => (
              <tr key={name}>
                <th scope="row">{label}</th>
                <td className="value">
                  <Foretold q={q} />
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <p className="note">As drawn on the film: turn and bend of the limb are not taken out.</p>
    </section>
  );
}
