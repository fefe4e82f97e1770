import type { Finding } from '@kerfline/geometry';

/** What the reader should know, doubts first; said by words, not by colour. */
export function Findings({ findings }: { readonly findings: readonly Finding[] }) {
  const doubts = findings.filter((f) => f.severity !== 'info');
  const notes = findings.filter((f) => f.severity === 'info');
  if (findings.length === 0) return null;
  return (
    <section className="findings" aria-label="Findings">
      {doubts.length > 0 && (
        <>
          <h2>In doubt</h2>
          <ul>
            {doubts.map((f) => (
              <li key={f.code + f.message}>{f.message}</li>
            ))}
          </ul>
        </>
      )}
      {notes.length > 0 && (
        <details>
          <summary>
            {notes.length} {notes.length === 1 ? 'note' : 'notes'}
          </summary>
          <ul>
            {notes.map((f) => (
              <li key={f.code + f.message}>{f.message}</li>
            ))}
          </ul>
        </details>
      )}
    </section>
  );
}
