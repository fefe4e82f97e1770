import { contactSites, nineTypes, quantity, quantityDefinition, wearName } from '@kerfline/knee';
import { legPicture } from '@kerfline/sheets';
import { meanOf, sdOf } from '@kerfline/uncertainty';
import { Fragment, useMemo, useState } from 'react';
import { go, pathOf } from './address.ts';
import { Findings } from './findings.tsx';
import { Foretold } from './foretold.tsx';
import type { OpenCase } from './open-case.ts';
import { Picture } from './picture.tsx';
import { QuantityCells } from './quantity-cells.tsx';
import { boneRows, limbRows, type QuantityRow } from './quantity-rules.ts';
import { workingOf } from './working.ts';

/** The leg: line-cut bones with sites and axes, and what is believed of it. */
export function LegPage({ open, besideFilms = false }: { readonly open: OpenCase; readonly besideFilms?: boolean }) {
  const { leg, pictures, hasBones } = open.answer;
  const [opened, setOpened] = useState<string>('clinicalHKA');
  const whole = useMemo(() => legPicture(leg, pictures, 'leg'), [leg, pictures]);
  const knee = useMemo(() => legPicture(leg, pictures, 'knee'), [leg, pictures]);
  const of = (name: string) => quantity(leg, quantityDefinition(name)!);
  const row = (r: QuantityRow) => {
    const q = of(r.name);
    const isOpen = opened === r.name;
    return (
      <Fragment key={r.name}>
        <tr className={isOpen ? 'open' : undefined}>
          <th scope="row">
            <button type="button" aria-expanded={isOpen} onClick={() => setOpened(isOpen ? '' : r.name)}>
              {r.title}
              <small>{r.note}</small>
            </button>
          </th>
          <QuantityCells row={r} q={q} />
        </tr>
        {isOpen && (
          <tr>
            <td colSpan={3}>
              <ol className="work">
                {workingOf(leg, r.name).map((line) => (
                  <li key={line.what} className={line.total ? 'tot' : undefined}>
                    {line.what}
                    <span>{line.value}</span>
                  </li>
                ))}
              </ol>
            </td>
          </tr>
        )}
      </Fragment>
    );
  };
  const ldfa = of('LDFA').value;
  const mpta = of('clinicalMPTA').value;
  const type = ldfa !== null && mpta !== null ? nineTypes(mpta, ldfa) : undefined;
  const from = hasBones
    ? 'Measured on the bones of a scan.'
    : besideFilms
      ? 'Laid out from the marks on the films; the drawing is schematic.'
      : 'Laid out from stated values; the drawing is schematic.';
  return (
    <main className="leg">
      <div className="top">
        {besideFilms ? <h2>The leg as recorded</h2> : <h1>Leg</h1>}
        <p className="words">
          {from} {!besideFilms && 'Every number opens its working.'}
        </p>
        {!besideFilms && (
          <a
            className="act"
            href={pathOf(open.view.case, 'leg', 'films')}
            onClick={(e) => {
              if (e.metaKey || e.ctrlKey || e.shiftKey) return;
              e.preventDefault();
              go(pathOf(open.view.case, 'leg', 'films'));
            }}
          >
            add films
          </a>
        )}
      </div>
      <div className="columns">
        <figure>
          <div className="framed">
            <Picture drawing={whole} fit />
          </div>
          <figcaption className="note">
            Patient facing you. Cross: the site; cloud: where it may be. Blue lines: mechanical axes and joint lines.
          </figcaption>
        </figure>
        <section aria-label="The knee">
          <h2>The knee from the front</h2>
          <Picture drawing={knee} fit />
          <p className="note">
            Line cut without the kneecap: femur {ldfa?.toFixed(0)}, tibia {mpta?.toFixed(0)}.
          </p>
          {type && (
            <p className="words">
              Alignment of the bones alone: type <b>{type.type}</b> of nine{type.onEdge ? ', on an edge' : ''}{' '}
              <span className="note">(boundaries from memory)</span>
            </p>
          )}
          <h2>Cartilage gone</h2>
          <table className="wear">
            <tbody>
              {contactSites.map((site) => {
                const name = wearName(site);
                const stated = leg.sources[name]?.from !== 'population';
                return (
                  <tr key={site}>
                    <th scope="row">{site.replace(/(Medial|Lateral)$/, ' $1').toLowerCase()}</th>
                    <td>
                      {stated ? (
                        <Foretold
                          q={{
                            value: meanOf(leg.belief, name),
                            unit: 'mm',
                            sd: sdOf(leg.belief, name),
                            method: 'stated',
                          }}
                        />
                      ) : (
                        <b className="unknown">not stated, taken as none ± {sdOf(leg.belief, name).toFixed(1)} mm</b>
                      )}
                    </td>
                  </tr>
                );
              })}
            </tbody>
          </table>
        </section>
        {/* Beside films the numbers stand with the marks. */}
        {!besideFilms && (
          <section aria-label="What the marks say">
            <h2>What the {hasBones ? 'bones' : 'values'} say</h2>
            <table className="q">
              <tbody>
                {limbRows.map(row)}
                {boneRows.map(row)}
              </tbody>
            </table>
          </section>
        )}
      </div>
      {!besideFilms && <Findings findings={leg.findings} />}
    </main>
  );
}
