import type { Statement } from '@kerfline/cases';
import {
  type CallParts,
  callParts,
  type Guide,
  type Link,
  linkSense,
  linkUnit,
  type PlannedGuide,
  type Setting,
  spoken,
} from '@kerfline/knee';
import { checkBar, cutPicture, guideGlyph, type LinkScale, linkScales } from '@kerfline/sheets';
import { useMemo } from 'react';
import { AimsBar } from './aims-bar.tsx';
import { Findings } from './findings.tsx';
import type { OpenCase } from './open-case.ts';
import { Picture } from './picture.tsx';
import { PieceSums } from './piece-sums.tsx';
import { ScaleControl } from './scale-control.tsx';

/** A setting as it is recorded: an amount and a word. */
function settingStatement(guide: Guide, link: Link, setting: Setting): Statement {
  const { amount, sense } = spoken(link, setting.value);
  return {
    kind: 'setting',
    body: {
      guide: guide.id,
      link: link.id,
      value: amount,
      unit: linkUnit(link),
      ...(sense && linkSense(link) && link.kind !== 'ring' ? { sense } : {}),
      ...(setting.site ? { site: setting.site } : {}),
      ...(setting.pivot ? { pivot: setting.pivot } : {}),
      ...(setting.keeps ? { keeps: setting.keeps } : {}),
    },
  };
}

/** Links that are called aloud; the rest stands in small letters below. */
const calledAloud = (link: Link, setting: Setting): boolean =>
  link.kind === 'ring' ||
  link.kind === 'dial' ||
  (link.kind === 'feeler' && link.setBy !== 'read') ||
  (link.kind === 'swing' && link.step !== null) ||
  (link.kind === 'slide' && (link.sizes !== undefined || setting.value !== link.zero)) ||
  ((link.kind === 'thread' || link.kind === 'peg') && Math.abs(setting.value) > 1e-9) ||
  (link.kind === 'rest' && Object.values(setting.shimsMm ?? {}).some((shim) => shim > 0));

const Said = ({ parts, dot = '.' }: { readonly parts: CallParts; readonly dot?: string }) => (
  <span>
    {parts.says} <span className="set">{parts.set}</span>
    {parts.more}
    {dot}{' '}
  </span>
);

function GuideColumn({
  open,
  planned,
  number,
  scales,
}: {
  readonly open: OpenCase;
  readonly planned: PlannedGuide;
  readonly number: number;
  readonly scales: readonly LinkScale[];
}) {
  const { view, answer, worked, show, record } = open;
  const { guide } = planned.problem;
  const proof = worked!.proof;
  const settings = worked!.set[guide.id]!;
  const known = (link: Link): boolean => !(link.kind === 'slide' && link.sizes && planned.sizes.length === 0);
  const set = guide.links.flatMap((link) => {
    const setting = settings[link.id];
    return setting && link.kind !== 'pin' ? [{ link, setting }] : [];
  });
  const aloud = set.filter(({ link, setting }) => calledAloud(link, setting) && known(link));
  const quiet = set.filter(({ link, setting }) => !calledAloud(link, setting) && known(link));
  const unread = set.filter(({ link }) => !known(link));
  const lines = worked!.plan.settings.filter((line) => line.guide === guide.id);
  const cut = guide.outputs.map((o) => o.cut).find((c) => proof.cuts[c]?.pieces);
  const told = cut && proof.cuts[cut];
  const picture = cut && told ? cutPicture(cut, told.plane, answer.leg, proof, answer.pictures) : undefined;
  const chosen = (link: Link): boolean => view.settings.some((s) => s.guide === guide.id && s.link === link.id);
  const touchesAfter = guide.links.some((l) => l.kind === 'feeler' || l.kind === 'dial');
  const asides = [
    ...aloud.flatMap(({ link, setting }) => {
      const { more } = callParts(link, setting, view.side);
      return /leg|ruler|scale/.test(more) ? [`${link.says}${more}.`] : [];
    }),
    ...(touchesAfter && guide.links.some((l) => l.kind === 'slide')
      ? ['Angles first, then touch: an angle moves the depth.']
      : []),
  ];
  const unreachable = worked!.plan.unreachable.filter((u) => u.guide === guide.id);
  const prepare: readonly (readonly [string, string | undefined])[] = [
    ['parts', guide.prepare.parts.join(', ')],
    ['order', guide.prepare.order.join('; ')],
    [
      'hand over',
      [
        guide.prepare.openAtHandOver.length > 0 ? `open: ${guide.prepare.openAtHandOver.join(', ')}` : '',
        guide.prepare.closedAtHandOver.length > 0 ? `closed: ${guide.prepare.closedAtHandOver.join(', ')}` : '',
      ]
        .filter((words) => words !== '')
        .join('. '),
    ],
    ['pins', guide.prepare.pins],
    ['blade', guide.prepare.blade],
    ['next', guide.prepare.next],
  ];
  return (
    <section className="guide" aria-label={guide.says}>
      <div className="stand">
        <Picture drawing={guideGlyph(guide)} fit />
      </div>
      <div className="name">
        <span className="n">{number}</span>
        <h2>{guide.says}</h2>
        <span className="note">
          {guide.bone}
          {guide.bone === 'tibia' ? `, span ${planned.problem.leg.number('tibiaSpan').toFixed(0)} mm` : ''}
        </span>
      </div>
      <p className="call">
        {aloud.map(({ link, setting }) => (
          <Said
            key={link.id}
            parts={{ ...callParts(link, setting, view.side), more: shortMore(callParts(link, setting, view.side)) }}
          />
        ))}
        {unread.map(({ link }) => (
          <span key={link.id}>{link.says}: read it. </span>
        ))}
      </p>
      <p className="words">{asides.join(' ')}</p>
      {unreachable.map((u) => (
        <p key={u.output} className="verdict" role="alert">
          {u.text}
        </p>
      ))}
      <div className="scales">
        {scales.map((scale) => {
          const line = lines.find((l) => l.link === scale.link.id);
          const parts = callParts(scale.link, settings[scale.link.id]!, view.side);
          return (
            <div key={scale.link.id}>
              <h3>
                {scale.link.says} <span>{[scale.note, line?.leftOver].filter((w) => w).join('. ')}</span>
                {chosen(scale.link) && (
                  <button
                    type="button"
                    className="quiet"
                    onClick={() => record(settingStatement(guide, scale.link, planned.calledByPlan[scale.link.id]!))}
                  >
                    as planned
                  </button>
                )}
              </h3>
              {scale.above && <Picture drawing={scale.above} />}
              <div className="beside">
                <ScaleControl
                  scale={scale}
                  says={`${parts.says} ${parts.set}${parts.more}`}
                  show={(next) => show(settingStatement(guide, scale.link, next))}
                  record={(next) => record(settingStatement(guide, scale.link, next))}
                />
                {scale.beside && <Picture drawing={scale.beside} />}
              </div>
            </div>
          );
        })}
        {quiet.length > 0 && (
          <p className="note quietly">
            {quiet.map(({ link, setting }) => {
              const parts = callParts(link, setting, view.side);
              return (
                <span key={link.id}>
                  {parts.says} {parts.set}
                  {parts.more}.{' '}
                </span>
              );
            })}
          </p>
        )}
      </div>
      {told?.pieces && (
        <div className="cutrow">
          <h3>
            What comes off{' '}
            <span>
              {picture
                ? `${open.answer.hasBones ? 'life size' : 'schematic, life size at the contacts'}; dotted: cartilage that was lost`
                : ''}
            </span>
          </h3>
          {picture && <Picture drawing={picture} />}
          <PieceSums pieces={told.pieces} />
        </div>
      )}
      <div className="prep">
        <h3>To prepare</h3>
        <dl>
          {prepare
            .filter(([, words]) => words)
            .map(([what, words]) => (
              <div key={what}>
                <dt>{what}</dt>
                <dd>{words}</dd>
              </div>
            ))}
        </dl>
      </div>
    </section>
  );
}

/** The part of a call that must be heard with it, such as which face is up; rulers and directions stand below. */
const shortMore = (parts: CallParts): string =>
  /face| on the | kept|under/.test(parts.more) && !/scale/.test(parts.more) ? parts.more : '';

/** Room that a guide's widest scale needs, with what stands beside it, mm. */
const widthOf = (scales: readonly LinkScale[]): number =>
  Math.max(70, ...scales.map((s) => s.scale.box[2] + (s.beside ? s.beside.box[2] + 2 : 0)));

/** The guides in order of use, each drawn as its real scale with the mark to set, and what then comes off. */
export function BenchPage({ open }: { readonly open: OpenCase }) {
  const { worked, view } = open;
  const columns = useMemo(
    () =>
      worked?.plan.guides.map((planned) => ({
        planned,
        scales: linkScales(planned, worked.set[planned.problem.guide.id]!, worked.proof, view.side),
      })) ?? [],
    [worked, view.side],
  );
  const waiting = worked?.kit.guides.filter((g) => worked.plan.waiting.includes(g.id)) ?? [];
  const tracks = [
    ...columns.map(({ scales }) => `minmax(0, ${widthOf(scales).toFixed(0)}fr)`),
    ...waiting.map(() => 'minmax(0, 60fr)'),
  ];
  return (
    <main className="bench">
      <div className="top">
        <h1>Bench</h1>
        <p className="words">
          On every scale the upper edge is what the hand sees, the lower edge is what that place does to this leg. Draw
          a red line along its scale, or step it with the arrow keys.
        </p>
        <Picture drawing={checkBar(50, '50 mm: lay a ruler here')} />
      </div>
      <AimsBar open={open} />
      {open.refusals.map((words) => (
        <p key={words} className="verdict" role="alert">
          {words}
        </p>
      ))}
      {worked && (
        <div className="tray" style={{ '--tracks': tracks.join(' ') } as React.CSSProperties}>
          {columns.map(({ planned, scales }) => (
            <GuideColumn
              key={planned.problem.guide.id}
              open={open}
              planned={planned}
              scales={scales}
              number={worked.kit.guides.findIndex((g) => g.id === planned.problem.guide.id) + 1}
            />
          ))}
          {waiting.map((g) => (
            <section key={g.id} className="guide" aria-label={g.says}>
              <div className="stand">
                <Picture drawing={guideGlyph(g)} fit />
              </div>
              <div className="name">
                <span className="n">{worked.kit.guides.indexOf(g) + 1}</span>
                <h2>{g.says}</h2>
              </div>
              <p className="call">Waits for gaps.</p>
              <p className="words">What is wanted here follows from gaps that have not been measured.</p>
            </section>
          ))}
        </div>
      )}
      {worked && <Findings findings={worked.plan.findings} />}
    </main>
  );
}
