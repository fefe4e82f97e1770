import { type CutName, outputWords, type Q, saidQuantity } from '@kerfline/knee';
import { cutPicture, smudgeRule } from '@kerfline/sheets';
import { lazy, Suspense, useState } from 'react';
import { Findings } from './findings.tsx';
import { Foretold } from './foretold.tsx';
import type { OpenCase } from './open-case.ts';
import { Picture } from './picture.tsx';
import { PieceSums } from './piece-sums.tsx';

const Solids = lazy(() => import('./three/solids.tsx').then((m) => ({ default: m.Solids })));

const cutTitles: Readonly<Partial<Record<CutName, string>>> = {
  distalFemur: 'Far end of the femur',
  posteriorFemur: 'Rear of the femur',
  anteriorFemur: 'Front of the femur',
  tibia: 'Top of the tibia',
};

const ruleOf = (label: string, q: Q, reach: number) =>
  smudgeRule({
    label,
    range: [-reach, reach],
    ticks: [-reach, -reach / 2, 0, reach / 2, reach],
    numerals: [-reach, 0, reach].map((at) => ({ at, says: String(Math.abs(at)) })),
    value: q.value ?? undefined,
    sd: q.sd ?? 0,
  });

/** A foretold number with its rule; a length that has no direction has no rule. */
function Line({ label, q, reach }: { readonly label: string; readonly q: Q; readonly reach: number }) {
  return (
    <div className="line">
      <p>
        {label}
        {q.positive && <small>to the right: {saidQuantity({ ...q, value: 1 }).word}</small>}
      </p>
      {q.positive ? <Picture drawing={ruleOf(label, q, reach)} /> : <span />}
      <p className="value">
        <Foretold q={q} />
      </p>
    </div>
  );
}

/** What the saw will take with the settings as they stand, before any cut. */
export function ProofPage({ open }: { readonly open: OpenCase }) {
  const [solid, setSolid] = useState(false);
  const { worked, answer, view } = open;
  if (!worked) {
    return (
      <main>
        {open.refusals.map((words) => (
          <p key={words} className="verdict" role="alert">
            {words}
          </p>
        ))}
      </main>
    );
  }
  const { proof } = worked;
  const kneecap = proof.cuts.kneecap?.planes.kneecapRemnant;
  const told = (Object.keys(proof.cuts) as CutName[]).filter((cut) => proof.cuts[cut]?.pieces);
  return (
    <main className="proof">
      <div className="top">
        <h1>Proof</h1>
        <p className="words">
          What the settings will do, before any cut
          {view.readBacks.length > 0 ? '; read back where it was, else as called' : ', as called'}.
          {!answer.hasBones && ' The bones are schematic, laid on this leg’s contacts.'}
        </p>
        {answer.hasBones && (
          <button type="button" className="quiet" aria-expanded={solid} onClick={() => setSolid(!solid)}>
            {solid ? 'without the solid bones' : 'show the bones as solids'}
          </button>
        )}
      </div>
      {solid && (
        <Suspense fallback={<p className="words">Fetching the bones …</p>}>
          <Solids caseId={view.case} proof={proof} side={view.side} />
        </Suspense>
      )}
      <div className="cuts">
        {told.map((cut) => {
          const cutProof = proof.cuts[cut]!;
          const picture = cutPicture(cut, cutProof.plane, answer.leg, proof, answer.pictures);
          return (
            <section key={cut} aria-label={cutTitles[cut]}>
              <h2>{cutTitles[cut]}</h2>
              {picture && <Picture drawing={picture} />}
              <PieceSums pieces={cutProof.pieces!} />
              <div className="lines">
                {Object.entries(cutProof.planes).map(([name, q]) => (
                  <Line key={name} label={outputWords[name as keyof typeof outputWords].label} q={q} reach={8} />
                ))}
              </div>
            </section>
          );
        })}
      </div>
      <section className="limb" aria-label={kneecap ? 'Limb, rods and kneecap' : 'Limb and rods'}>
        <h2>{kneecap ? 'Limb, rods and kneecap' : 'Limb and rods'}</h2>
        <div className="lines">
          <Line label="limb, component surfaces parallel" q={proof.limb} reach={8} />
          {proof.rods.ankle && (
            <Line label="rod from the tibial cut, at the ankle centre" q={proof.rods.ankle} reach={40} />
          )}
          {proof.rods.hip && <Line label="rod from the femoral cut, at the hip centre" q={proof.rods.hip} reach={60} />}
          {kneecap && <Line label={outputWords.kneecapRemnant.label} q={kneecap} reach={8} />}
        </div>
        {kneecap && worked.plan.aims.kneecapRemnant && (
          <p className="note">Kneecap: {worked.plan.aims.kneecapRemnant.method}.</p>
        )}
        <p className="note">Gaps have not been measured: nothing is said of them.</p>
      </section>
      <Findings findings={proof.findings} />
    </main>
  );
}
