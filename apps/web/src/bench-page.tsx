import type { Statement } from '@kerfline/cases';
import {
  boreSize,
  boreText,
  type CallParts,
  callParts,
  type Guide,
  isSettable,
  type Link,
  linkSense,
  linkUnit,
  type PlannedGuide,
  recuts,
  type Setting,
  spoken,
} from '@kerfline/knee';
import { checkBar, cutPicture, guideGlyph, type LinkScale, linkScales } from '@kerfline/sheets';
import { useMemo } from 'react';
import { AimsBar } from './aims-bar.tsx';
import { Findings } from './findings.tsx';
import { FitOfGuide, type FitsNow, useFits } from './fits.tsx';
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
      ...(setting.row ? { row: setting.row } : {}),
      ...(setting.seat ? { seat: setting.seat } : {}),
    },
  };
}

/** Links that are called aloud; the rest stands in small letters below. */
const calledAloud = (link: Link, setting: Setting): boolean =>
  link.kind === 'ring' ||
  link.kind === 'dial' ||
  (link.kind === 'feeler' && link.setBy !== 'read') ||
  (link.kind === 'swing' && link.step !== null) ||
  link.kind === 'sized' ||
  (link.kind === 'slide' && (link.sizes !== undefined || link.gauge !== undefined || setting.value !== link.zero)) ||
  ((link.kind === 'thread' || link.kind === 'peg' || link.kind === 'pin' || link.kind === 'seat') &&
    Math.abs(setting.value) > 1e-9) ||
  (link.kind === 'rest' && Object.values(setting.shimsMm ?? {}).some((shim) => shim > 0));

const Said = ({ parts, dot = '.' }: { readonly parts: CallParts; readonly dot?: string }) => (
  <span>
    {parts.says} <span className="set">{parts.set}</span>
    {parts.more}
    {dot}{' '}
  </span>
);

const GuideHead = ({
  guide,
  number,
  note,
}: {
  readonly guide: Guide;
  readonly number: number;
  readonly note: string;
}) => (
  <>
    <div className="stand">
      <Picture drawing={guideGlyph(guide)} fit />
    </div>
    <div className="name">
      <span className="n">{number}</span>
      <h2>{guide.says}</h2>
      <span className="note">{note}</span>
    </div>
  </>
);

function GuideColumn({
  open,
  planned,
  number,
  scales,
  fits,
}: {
  readonly open: OpenCase;
  readonly fits: FitsNow;
  readonly planned: PlannedGuide;
  readonly number: number;
  readonly scales: readonly LinkScale[];
}) {
  const { view, answer, worked, show, record } = open;
  const { guide } = planned.problem;
  const proof = worked!.proof;
  const settings = worked!.set[guide.id]!;
  // What is only found on the bone has no number in the plan.
  const lines = worked!.plan.settings.filter((line) => line.guide === guide.id);
  const known = (link: Link): boolean =>
    !(link.kind === 'slide' && link.sizes && planned.sizes.length === 0) &&
    !(link.kind === 'sized' && lines.some((line) => line.link === link.id && line.call === null));
  const set = guide.links.flatMap((link) => {
    const setting = settings[link.id];
    return setting && (isSettable(link) || link.kind === 'rest') ? [{ link, setting }] : [];
  });
  const aloud = set.filter(({ link, setting }) => calledAloud(link, setting) && known(link));
  const quiet = set.filter(({ link, setting }) => !calledAloud(link, setting) && known(link));
  const unread = set.filter(({ link }) => !known(link));
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
  const drills = guide.links.flatMap((link) =>
    link.kind === 'drill' ? [boreText(link, boreSize(guide, link, settings, worked!.kit.components))] : [],
  );
  const sights = guide.links.flatMap((link) => (link.kind === 'sight' ? [`${link.says}: ${link.shows}`] : []));
  const prepare: readonly (readonly [string, string | undefined])[] = [
    ['who', guide.prepare.who],
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
    ['look', sights.join('. ')],
    ['next', guide.prepare.next],
    [
      'recut',
      recuts(planned, view.side)
        .map((recut) => recut.text)
        .join('. '),
    ],
  ];
  return (
    <section className="guide" aria-label={guide.says}>
      <GuideHead
        guide={guide}
        number={number}
        note={
          guide.links.some((link) => link.kind === 'mast')
            ? `${guide.bone}, span ${planned.problem.leg.number('tibiaSpan').toFixed(0)} mm`
            : guide.bone
        }
      />
      <p className="call">
        {aloud.map(({ link, setting }) => (
          <Said
            key={link.id}
            parts={{ ...callParts(link, setting, view.side), more: shortMore(callParts(link, setting, view.side)) }}
          />
        ))}
        {unread.map(({ link }) => (
          <span key={link.id}>
            {link.says}: {link.kind === 'sized' && link.component !== 'femur' ? 'try it.' : 'read it.'}{' '}
          </span>
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
        {quiet.length + drills.length > 0 && (
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
            {drills.map((words) => (
              <span key={words}>{words}. </span>
            ))}
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
      <FitOfGuide guide={guide} now={fits} view={view} />
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
  /face| on the | kept|under|the shin/.test(parts.more) && !/scale/.test(parts.more) ? parts.more : '';

/** Room that a guide's widest scale needs, with what stands beside it, mm. */
const widthOf = (scales: readonly LinkScale[]): number =>
  Math.max(70, ...scales.map((s) => s.scale.box[2] + (s.beside ? s.beside.box[2] + 2 : 0)));

/** A guide that is not set now: why, and how it could be. */
function IdleGuide({
  open,
  guide,
  number,
}: {
  readonly open: OpenCase;
  readonly guide: Guide;
  readonly number: number;
}) {
  const { kit, plan } = open.worked!;
  const left = plan.leftOut.find((l) => l.guide === guide.id);
  const by = kit.guides.find((g) => g.id === left?.by);
  const why = plan.findings.find(
    (f) => (f.code === 'leg-lacks' || f.code === 'loop-open') && f.message.startsWith(guide.says),
  );
  const [call, words] =
    left?.why === 'otherSide'
      ? ['For the other side.', 'It stays on the tray.']
      : left
        ? ['Not used.', `${by?.says} does this work.`]
        : why
          ? ['Cannot be set.', why.message]
          : [
              'Waits.',
              'What is wanted here follows from gaps that have not been measured, or from a guide that waits.',
            ];
  return (
    <section className="guide idle" aria-label={guide.says}>
      <GuideHead guide={guide} number={number} note={guide.bone} />
      <p className="call">{call}</p>
      <p className="words">{words}</p>
      {left?.why === 'another' && (
        <button type="button" className="quiet" onClick={() => open.record({ kind: 'use', body: { guide: guide.id } })}>
          use it instead of {by?.says}
        </button>
      )}
    </section>
  );
}

/** Guides of one bone that follow each other: they lie in one row. */
const rowsOf = (guides: readonly Guide[]): readonly (readonly Guide[])[] =>
  guides.reduce<Guide[][]>((rows, guide) => {
    const last = rows.at(-1);
    if (last?.[0]?.bone === guide.bone) last.push(guide);
    else rows.push([guide]);
    return rows;
  }, []);

/** The guides in order of use, each drawn as its real scale with the mark to set, and what then comes off. */
export function BenchPage({ open }: { readonly open: OpenCase }) {
  const { worked, view } = open;
  const columns = useMemo(
    () =>
      new Map(
        worked?.plan.guides.map((planned) => [
          planned.problem.guide.id,
          { planned, scales: linkScales(planned, worked.set[planned.problem.guide.id]!, worked.proof, view.side) },
        ]),
      ),
    [worked, view.side],
  );
  const guides = worked?.kit.guides ?? [];
  const fits = useFits(view);
  return (
    <main className="bench">
      <div className="top">
        <h1>Bench</h1>
        <p className="words">
          On every scale the upper edge is what the hand sees, the lower edge is what that place does to this leg. Draw
          a red line along its scale, or step it with the arrow keys.
        </p>
        {worked && (
          <p className="note">
            {worked.kit.says}, version {worked.kit.version}, {view.kit?.blob.slice(0, 12)}
          </p>
        )}
        <Picture drawing={checkBar(50, '50 mm: lay a ruler here')} />
      </div>
      <AimsBar open={open} />
      {open.refusals.map((words) => (
        <p key={words} className="verdict" role="alert">
          {words}
        </p>
      ))}
      {rowsOf(guides).map((row) => (
        <div
          key={row[0]!.id}
          className="tray"
          style={{ '--tracks': row.map((g) => trackOf(columns.get(g.id)?.scales)).join(' ') } as React.CSSProperties}
        >
          {row.map((guide) => {
            const column = columns.get(guide.id);
            const number = guides.indexOf(guide) + 1;
            return column ? (
              <GuideColumn
                key={guide.id}
                open={open}
                planned={column.planned}
                scales={column.scales}
                fits={fits}
                number={number}
              />
            ) : (
              <IdleGuide key={guide.id} open={open} guide={guide} number={number} />
            );
          })}
        </div>
      ))}
      {worked && (
        <Findings findings={[...worked.plan.findings, ...(fits.state === 'known' ? fits.fits.findings : [])]} />
      )}
    </main>
  );
}

const trackOf = (scales: readonly LinkScale[] | undefined): string =>
  `minmax(0, ${(scales ? widthOf(scales) : 50).toFixed(0)}fr)`;
