import {
  checkAims,
  type PhilosophyName,
  philosophies,
  philosophy,
  type Q,
  type SaidAim,
  saidQuantity,
  type WantedName,
} from '@kerfline/knee';
import { useState } from 'react';
import type { OpenCase } from './open-case.ts';

const shownAims: readonly { readonly name: WantedName; readonly title: string }[] = [
  { name: 'femurValgus', title: 'femur, front view' },
  { name: 'tibiaVarus', title: 'tibia, front view' },
  { name: 'tibiaSlope', title: 'slope' },
  { name: 'femurRotation', title: 'femur, turn' },
];

/** A wanted value that can be typed over: a number with a decimal point or comma, and a word. */
function WantedField({
  name,
  title,
  q,
  byHand,
  want,
}: {
  readonly name: WantedName;
  readonly title: string;
  readonly q: Q;
  readonly byHand: boolean;
  readonly want: (aim: SaidAim | undefined) => string | undefined;
}) {
  const said = saidQuantity(q);
  const now = q.value === null ? '' : `${said.value} ${said.word}`.trim();
  const [text, setText] = useState<string>();
  const [fault, setFault] = useState<string>();
  const commit = (): void => {
    if (text === undefined || text.trim() === now) {
      setText(undefined);
      setFault(undefined);
      return;
    }
    if (text.trim() === '') {
      setFault(want(undefined));
      setText(undefined);
      return;
    }
    const match = /^\s*([+-]?\d+(?:[.,]\d+)?)\s*°?\s*([a-z ]*)$/i.exec(text);
    if (!match) {
      setFault('Write a number and a word, such as 2.5 varus.');
      return;
    }
    const value = Number(match[1]!.replace(',', '.'));
    const word = match[2]!.trim().toLowerCase();
    const positive = q.positive;
    const sensed: SaidAim['positive'] | undefined =
      word === ''
        ? value === 0
          ? positive
          : undefined
        : word === 'varus' || word === 'valgus' || word === 'external'
          ? word
          : word === 'slope' || word === 'posterior slope'
            ? 'posteriorSlope'
            : undefined;
    if (!sensed) {
      setFault(`Say the direction too, such as ${Math.abs(value)} ${saidQuantity({ ...q, value: 1 }).word}.`);
      return;
    }
    const refused = want({ name, value, unit: 'deg', positive: sensed });
    setFault(refused);
    if (refused === undefined) setText(undefined);
  };
  return (
    <label className="want">
      <span>{title}</span>
      <input
        value={text ?? now}
        placeholder={q.unknown ?? ''}
        aria-invalid={fault !== undefined}
        aria-describedby={fault ? `${name}-fault` : undefined}
        onChange={(e) => setText(e.target.value)}
        onBlur={commit}
        onKeyDown={(e) => {
          if (e.key === 'Enter') commit();
          if (e.key === 'Escape') {
            setText(undefined);
            setFault(undefined);
          }
        }}
      />
      {fault ? (
        <em id={`${name}-fault`} role="alert">
          {fault}
        </em>
      ) : (
        <small>{byHand ? 'wanted by hand; empty it for the philosophy' : (q.unknown ?? q.method)}</small>
      )}
    </label>
  );
}

/** What is wanted: the philosophy and the values it gives this leg, each of which may be typed over. */
export function AimsBar({ open }: { readonly open: OpenCase }) {
  const { view, worked, record } = open;
  const aim = view.aim;
  if (!aim) return null;
  const wantAll = (wanted: readonly SaidAim[]): string | undefined => {
    const checked = checkAims(philosophy(aim.philosophy), wanted);
    if (!checked.ok) return checked.error.message;
    record({
      kind: 'aim',
      body: {
        philosophy: aim.philosophy,
        wanted: wanted.map(({ name, value, unit, positive }) => ({
          name,
          value,
          unit,
          ...(positive ? { positive } : {}),
        })),
      },
    });
    return undefined;
  };
  return (
    <form className="aims" onSubmit={(e) => e.preventDefault()} aria-label="Aims">
      <label className="want">
        <span>aim</span>
        <select
          value={aim.philosophy}
          onChange={(e) => record({ kind: 'aim', body: { philosophy: e.target.value as PhilosophyName } })}
        >
          {philosophies.map((p) => (
            <option key={p.name} value={p.name}>
              {p.says}
            </option>
          ))}
        </select>
        <small>releases: {philosophy(aim.philosophy).releases}</small>
      </label>
      {worked &&
        shownAims.map(({ name, title }) => (
          <WantedField
            key={name}
            name={name}
            title={title}
            q={worked.plan.aims[name]!}
            byHand={aim.wanted.some((w) => w.name === name)}
            want={(one) => wantAll([...aim.wanted.filter((w) => w.name !== name), ...(one ? [one] : [])])}
          />
        ))}
    </form>
  );
}
