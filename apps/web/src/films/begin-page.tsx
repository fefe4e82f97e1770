import { type PhilosophyName, philosophies, type Side } from '@kerfline/knee';
import { bodyFigure } from '@kerfline/sheets';
import { useEffect, useState } from 'react';
import { go, pathOf } from '../address.ts';
import { Picture } from '../picture.tsx';
import { beginCase, listKits } from '../server.ts';

const sides: readonly Side[] = ['right', 'left'];

/** Begins a case: which knee, under what name, with which kit and aim. Nothing is chosen beforehand. */
export function BeginPage() {
  const [side, setSide] = useState<Side>();
  const [label, setLabel] = useState('');
  const [kits, setKits] = useState<readonly string[]>([]);
  const [kit, setKit] = useState('');
  const [aim, setAim] = useState<PhilosophyName | ''>('');
  const [said, setSaid] = useState<string>();
  const [busy, setBusy] = useState(false);
  useEffect(() => {
    listKits().then(
      ({ kits: found }) => setKits(found),
      (e: unknown) => setSaid(e instanceof Error ? e.message : String(e)),
    );
  }, []);
  const lacking = [
    side ? '' : 'which knee it is',
    label.trim() === '' ? 'a name' : '',
    kit === '' ? 'the kit' : '',
    aim === '' ? 'the aim' : '',
  ].filter((words) => words !== '');
  const begin = (): void => {
    if (!side || lacking.length > 0) {
      setSaid(`Still to be said: ${lacking.join(', ')}.`);
      return;
    }
    setBusy(true);
    beginCase({ side, label: label.trim(), kit, aim }).then(
      ({ id }) => go(pathOf(id, 'leg', 'films')),
      (e: unknown) => {
        setBusy(false);
        setSaid(e instanceof Error ? e.message : String(e));
      },
    );
  };
  return (
    <main className="begin">
      <div className="top">
        <h1>Begin a case</h1>
        <p className="words">Which knee is said here once, and every film is held against it.</p>
      </div>
      <form
        onSubmit={(e) => {
          e.preventDefault();
          begin();
        }}
      >
        <fieldset className="sides">
          <legend>Which knee</legend>
          {sides.map((s) => (
            <label key={s} className={side === s ? 'side chosen' : 'side'}>
              <input type="radio" name="side" value={s} checked={side === s} onChange={() => setSide(s)} />
              <Picture drawing={bodyFigure(s)} />
              <span>{s.toUpperCase()} knee</span>
            </label>
          ))}
          <p className="note">The body faces you.</p>
        </fieldset>
        <label className="line48">
          <span>Name of the case, no name of a person</span>
          <input value={label} maxLength={200} autoComplete="off" onChange={(e) => setLabel(e.target.value)} />
        </label>
        <label className="line48">
          <span>Kit: the guides that will be used</span>
          <select value={kit} onChange={(e) => setKit(e.target.value)}>
            <option value="">choose</option>
            {kits.map((name) => (
              <option key={name}>{name}</option>
            ))}
          </select>
        </label>
        <label className="line48">
          <span>Aim: may be changed on the Bench</span>
          <select value={aim} onChange={(e) => setAim(e.target.value as PhilosophyName)}>
            <option value="">choose</option>
            {philosophies.map((p) => (
              <option key={p.name} value={p.name}>
                {p.says}
              </option>
            ))}
          </select>
        </label>
        {said !== undefined && (
          <p className="verdict" role="alert">
            {said}
          </p>
        )}
        <button type="submit" className="act" disabled={busy}>
          begin
        </button>
      </form>
    </main>
  );
}
