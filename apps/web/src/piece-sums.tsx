import type { CutProof, Piece } from '@kerfline/knee';
import { SideLetter } from './foretold.tsx';

const mm = (piece: Piece, name: string): string =>
  Math.abs(piece.terms.find((term) => term.name === name)?.mm ?? 0).toFixed(2);

/** intact - wear - kerf = piece, medial and lateral. */
export function PieceSums({ pieces }: { readonly pieces: NonNullable<CutProof['pieces']> }) {
  return (
    <table className="sum">
      <thead>
        <tr>
          <th />
          <th>intact</th>
          <th />
          <th>wear</th>
          <th />
          <th>kerf</th>
          <th />
          <th>piece</th>
          <th />
        </tr>
      </thead>
      <tbody>
        {(
          [
            ['M', pieces.medial],
            ['L', pieces.lateral],
          ] as const
        ).map(([letter, piece]) => (
          <tr key={letter}>
            <th scope="row">
              <SideLetter letter={letter} />
            </th>
            <td>{mm(piece, 'intact')}</td>
            <td className="op">−</td>
            <td>{mm(piece, 'wear')}</td>
            <td className="op">−</td>
            <td>{mm(piece, 'kerf')}</td>
            <td className="op">=</td>
            <td className="f res">{piece.pieceMm.toFixed(2)}</td>
            <td className="f">± {piece.sd.toFixed(1)} mm</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
