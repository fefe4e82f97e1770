import { doubt, type Finding, fault, info, type Mesh, type Polygon, type Radians, rad } from '@kerfline/geometry';
import { has, sdOf } from '@kerfline/uncertainty';
import { sizedPart, sizeSlide } from '../guides/guide.ts';
import { viewAtMean } from '../guides/leg-view.ts';
import type { Plan } from '../guides/plan.ts';
import type { GuideSettings } from '../guides/setting.ts';
import { traysAllowed } from '../guides/taken-sizes.ts';
import type { ComponentFamily, Kit } from '../kits/kit.ts';
import { clinicalTibiaFrame, meshIntoBone } from '../leg/bone-frame.ts';
import type { Leg } from '../leg/leg.ts';
import type { LegFromBones, LegMeshes } from '../leg/leg-from-bones.ts';
import { outside } from '../quantity.ts';
import { type ButtonChoice, buttonChoices, buttonChoicesByNumbers } from './button-fit.ts';
import { cutOutline, extentOf } from './cut-outline.ts';
import { type FemurFit, femurFit, femurFitByNumbers } from './femur-fit.ts';
import { fitDefaults } from './fit-defaults.ts';
import { buttonPeg, femurPegs, holeClearances, trayKeel } from './keel-clearance.ts';
import type { Proof } from './proof.ts';
import { placedTray, type TrayChoice, type TrayPlace, trayChoices, trayChoicesByNumbers } from './tray-fit.ts';
import { type RuleTurn, type TrayTurns, trayTurns } from './tray-turn.ts';

/** A tray of the size that is called, on this bone, and the sizes beside it. */
export interface TrayReport {
  readonly size: number;
  /** Every size that may go with the femoral one, best first. */
  readonly choices: readonly TrayChoice[];
  readonly turns: TrayTurns;
  /** The rule that the tray is turned by here; undefined when none could be followed and it lies along the bone's own axes. */
  readonly turnedBy: RuleTurn | undefined;
  /** Least bone beside the keel, mm; negative where it breaks out. */
  readonly keelMm?: number;
  /** The cut bone and the tray on it, in the cut's own axes (L, A), mm. */
  readonly picture?: { readonly bone: Polygon; readonly tray: Polygon };
  /** Spread of the bone's edges, mm. */
  readonly edgeSdMm?: number;
}

export interface FemurReport {
  readonly size: number;
  readonly fit: FemurFit;
  /** Least bone beside either peg, mm. */
  readonly pegsMm?: number;
  readonly edgeSdMm?: number;
}

export interface ButtonReport {
  readonly size: number;
  /** Every size, best first. */
  readonly choices: readonly ButtonChoice[];
  readonly pegMm?: number;
  readonly edgeSdMm?: number;
}

/** How the sizes that are called match this bone: by the outlines of its cuts where there are bones, else by its widths. */
export interface Fits {
  readonly by: 'outlines' | 'widths';
  readonly tray?: TrayReport;
  readonly femur?: FemurReport;
  readonly button?: ButtonReport;
  readonly findings: readonly Finding[];
}

/** A leg's bones, each in its clinical frame. */
export interface FitBones {
  readonly femur: Mesh<string>;
  readonly tibia: Mesh<string>;
  readonly patella?: Mesh<string>;
}

/** The bones that fits are looked at on, in the frames that cuts are told in. */
export const fitBones = (
  leg: Leg,
  { femurFrame, tibiaFrame, patellaFrame }: LegFromBones,
  meshes: LegMeshes,
): FitBones => ({
  femur: meshIntoBone(femurFrame, meshes.femur) as Mesh<string>,
  tibia: meshIntoBone(clinicalTibiaFrame(leg, tibiaFrame), meshes.tibia) as Mesh<string>,
  ...(patellaFrame && meshes.patella ? { patella: meshIntoBone(patellaFrame, meshes.patella) as Mesh<string> } : {}),
});

/** The size that a component is set at, read back where it was; undefined where no guide takes one. */
const sizeSet = (plan: Plan, set: GuideSettings, component: 'tray' | 'button'): number | undefined =>
  plan.guides.flatMap(({ problem: { guide } }) => {
    const part = sizedPart(guide);
    const setting = part?.component === component ? set[guide.id]?.[part.id] : undefined;
    return setting ? [setting.value] : [];
  })[0];

/** The femoral size that is set, read back where it was. */
const femurSizeSet = (plan: Plan, set: GuideSettings): number | undefined =>
  plan.guides.flatMap(({ problem: { guide } }) => {
    const slide = sizeSlide(guide);
    const setting = slide && set[guide.id]?.[slide.id];
    return setting ? [setting.value] : [];
  })[0];

/** Whether the femoral size is chosen on what is known, and not only where a scale begins. */
const femurSizeKnown = (plan: Plan): boolean =>
  plan.guides.some(({ problem, sizes }) => sizeSlide(problem.guide) !== undefined && sizes.length > 0);

/** What the sizes of one case are laid on, and what is found on the way. */
interface Laid {
  readonly leg: Leg;
  readonly plan: Plan;
  readonly set: GuideSettings;
  readonly proof: Proof;
  readonly components: ComponentFamily;
  readonly bones: FitBones | undefined;
  readonly findings: Finding[];
}

/**
 * Spread of one edge of a bone, mm, from that of its width: of two edges that err apart where there is an outline, of half the
 * width where there is none. How a hand then places the component is not in it. Undefined where the width is unknown.
 */
const edgeSd = (
  leg: Leg,
  width: 'tibiaWidth' | 'femurWidth' | 'patellaWidth',
  onOutline: boolean,
): number | undefined => (has(leg.belief, width) ? sdOf(leg.belief, width) / (onOutline ? Math.SQRT2 : 2) : undefined);

/** A length with the spread of the edge that it is measured from, for a finding. */
const fromEdge = (mm: number, sd: number | undefined): string =>
  `${mm.toFixed(1)}${sd === undefined ? '' : ` +/- ${sd.toFixed(1)}`} mm`;

/**
 * How the sizes that are set match the bone that the cuts leave.
 *
 * @param set what is set on each guide: read back where it was, else called
 */
export function fitsOf(
  leg: Leg,
  kit: Kit,
  plan: Plan,
  set: GuideSettings,
  proof: Proof,
  bones: FitBones | undefined,
): Fits {
  const findings: Finding[] = [];
  const laid: Laid = { leg, plan, set, proof, components: kit.components, bones, findings };
  const tray = trayReport(laid);
  const femur = femurReport(laid);
  const button = buttonReport(laid);
  return {
    by: bones ? 'outlines' : 'widths',
    ...(tray ? { tray } : {}),
    ...(femur ? { femur } : {}),
    ...(button ? { button } : {}),
    findings,
  };
}

function trayReport({ leg, plan, set, proof, components, bones, findings }: Laid): TrayReport | undefined {
  const size = sizeSet(plan, set, 'tray');
  const plane = proof.cuts.tibia?.plane;
  if (size === undefined || !plane) return undefined;
  const turns = trayTurns(leg);
  const turnedBy = turns.found.find((t) => t.rule === 'tubercleMedialThird') ?? turns.found[0];
  findings.push(...turnFindings(turns));
  const allowed = [...new Set([...traysAllowed(components, femurSizeSet(plan, set)), size])];
  const turn = turnedBy?.turn ?? rad(0);
  const seen =
    bones && trayOnOutline(bones, plane, components, turn, allowed, size, findings, edgeSd(leg, 'tibiaWidth', true));
  const edgeSdMm = edgeSd(leg, 'tibiaWidth', seen !== undefined);
  const view = viewAtMean(leg, 'tibia');
  const byNumbers = view.has('tibiaWidth') && view.has('tibiaDepth');
  const choices =
    seen?.choices ??
    (byNumbers ? trayChoicesByNumbers(view.number('tibiaWidth'), view.number('tibiaDepth'), components, allowed) : []);
  const called = choices.find((choice) => choice.tray.size === size);
  if (called) {
    for (const { what, side, valueMm, limitMm } of called.beyond) {
      const words =
        what === 'overhang'
          ? `stands ${fromEdge(valueMm, edgeSdMm)} out over the ${side} edge`
          : `leaves ${fromEdge(valueMm, edgeSdMm)} bare to ${side}`;
      findings.push(doubt('tray-fit', `Tray ${size} ${words}; at most ${limitMm} mm is wanted.`));
    }
  }
  const best = choices[0]?.tray.size;
  if (best !== undefined && best !== size) {
    findings.push(
      info(
        'tray-other-size',
        `By the ${bones ? 'outline of the cut' : 'widths of the bone'} tray ${best} matches better than ${size}.`,
      ),
    );
  }
  return {
    size,
    choices,
    turns,
    turnedBy,
    ...(seen?.keelMm === undefined ? {} : { keelMm: seen.keelMm }),
    ...(seen?.picture ? { picture: seen.picture } : {}),
    ...(edgeSdMm === undefined ? {} : { edgeSdMm }),
  };
}

/** Trays on the outline of the tibial cut, and the keel of the called one in the bone below it. */
function trayOnOutline(
  bones: FitBones,
  plane: Parameters<typeof cutOutline>[1],
  { tray, trayOutline }: ComponentFamily,
  turn: Radians,
  allowed: readonly number[],
  size: number,
  findings: Finding[],
  edgeSdMm: number | undefined,
): Pick<TrayReport, 'choices' | 'keelMm' | 'picture'> | undefined {
  if (!trayOutline) {
    findings.push(
      info('no-tray-outline', 'The kit does not say the outline of its trays: they are judged by their widths alone.'),
    );
    return undefined;
  }
  const outline = cutOutline(bones.tibia, plane);
  if (!outline.ok) {
    findings.push(doubt(outline.error.kind, outline.error.message));
    return undefined;
  }
  const bone = outline.value.loops[0];
  const choices = trayChoices(bone, { tray, trayOutline }, turn, allowed);
  const called = choices.find((choice) => choice.tray.size === size);
  const place: TrayPlace | undefined = called?.place;
  if (!called || !place) return { choices };
  const clearance = holeClearances(bones.tibia, plane);
  const keelMm = clearance.ok ? clearance.value(trayKeel(called.tray, place)).clearanceMm : undefined;
  if (keelMm !== undefined) findings.push(...boneBeside(`The keel of tray ${size}`, keelMm, edgeSdMm));
  return {
    choices,
    ...(keelMm === undefined ? {} : { keelMm }),
    picture: { bone, tray: placedTray(called.tray, trayOutline, place) },
  };
}

const boneBeside = (what: string, mm: number, sd: number | undefined): readonly Finding[] =>
  mm < 0
    ? [fault('breaks-out', `${what} breaks out of the bone by ${fromEdge(-mm, sd)}.`)]
    : [info('bone-beside', `${what} has at least ${fromEdge(mm, sd)} of bone beside it.`)];

const ruleWords: Readonly<Record<RuleTurn['rule'], string>> = {
  tubercleMedialThird: 'medial third of the tubercle',
  tubercleMedialBorder: 'medial border of the tubercle',
  plateauContacts: 'square to the plateau contacts',
};

function turnFindings({ found, absent, between }: TrayTurns): readonly Finding[] {
  const word = (turn: number): string => {
    const degrees = outside(turn, 'deg');
    return `${Math.abs(degrees).toFixed(1)} ${degrees >= 0 ? 'external' : 'internal'}`;
  };
  const list = found
    .map((t) => `${ruleWords[t.rule]} ${word(t.turn)} +/- ${outside(t.sd, 'deg').toFixed(1)}`)
    .join(', ');
  const missing = absent.length > 0 ? ` Not known: ${absent.map((a) => ruleWords[a.rule]).join(', ')}.` : '';
  if (!between)
    return absent.length > 0 && found.length > 0
      ? [info('tray-turn', `Turn of the tray, deg: ${list}.${missing}`)]
      : [];
  const apart = outside(between.apart, 'deg');
  const published = fitDefaults.turnRulesApart;
  const text = `Turn of the tray, deg: ${list}. The rules lie ${apart.toFixed(1)} apart on average, ${outside(between.range, 'deg').toFixed(1)} from end to end (${published.value} on average in ${published.source}).${missing}`;
  return [info('tray-turn', text)];
}

function femurReport({ leg, plan, set, proof, components, bones, findings }: Laid): FemurReport | undefined {
  const plane = proof.cuts.distalFemur?.plane;
  const size = femurSizeKnown(plan) ? femurSizeSet(plan, set) : undefined;
  const component = components.femur.find((f) => f.size === size);
  if (!plane || !component) return undefined;
  const outline = bones && cutOutline(bones.femur, plane);
  if (outline && !outline.ok) findings.push(doubt(outline.error.kind, outline.error.message));
  const view = viewAtMean(leg, 'femur');
  const fit =
    (outline?.ok ? femurFit(outline.value.loops, component.widthMm) : undefined) ??
    (view.has('femurWidth') ? femurFitByNumbers(view.number('femurWidth'), component.widthMm) : undefined);
  if (!fit) return undefined;
  const edgeSdMm = edgeSd(leg, 'femurWidth', outline?.ok === true);
  for (const side of fit.beyond) {
    findings.push(
      doubt(
        'femur-overhang',
        `Femoral component ${component.size} stands ${fromEdge(fit.overhangMm[side], edgeSdMm)} out over the ${side} side even when it is shifted; less than ${fitDefaults.femurOverhang.value} mm is wanted.`,
      ),
    );
  }
  let pegsMm: number | undefined;
  if (bones && outline?.ok && component.pegs) {
    const [back, front] = extentOf(outline.value.loops, 1);
    const clearance = holeClearances(bones.femur, plane);
    if (clearance.ok) {
      const holes = femurPegs(component.pegs, [fit.shiftMm, (back + front) / 2]);
      pegsMm = Math.min(...holes.map((hole) => clearance.value(hole).clearanceMm));
      findings.push(...boneBeside(`A peg of femoral component ${component.size}`, pegsMm, edgeSdMm));
    }
  }
  return {
    size: component.size,
    fit,
    ...(pegsMm === undefined ? {} : { pegsMm }),
    ...(edgeSdMm === undefined ? {} : { edgeSdMm }),
  };
}

function buttonReport({ leg, plan, set, proof, components, bones, findings }: Laid): ButtonReport | undefined {
  const { button } = components;
  const plane = proof.cuts.kneecap?.plane;
  const size = sizeSet(plan, set, 'button');
  if (size === undefined || !plane) return undefined;
  const view = viewAtMean(leg, 'patella');
  const native = view.has('patellaThickness') ? view.number('patellaThickness') : undefined;
  const outline = bones?.patella && cutOutline(bones.patella, plane);
  if (outline && !outline.ok) findings.push(doubt(outline.error.kind, outline.error.message));
  const bone = outline?.ok ? outline.value.loops[0] : undefined;
  const choices = bone
    ? buttonChoices(bone, button, native)
    : view.has('patellaWidth')
      ? buttonChoicesByNumbers(view.number('patellaWidth'), button, native)
      : [];
  const edgeSdMm = edgeSd(leg, 'patellaWidth', bone !== undefined);
  const called = choices.find((choice) => choice.button.size === size);
  if (called && !called.fits) {
    findings.push(
      doubt(
        'button-fit',
        `Button ${size} stands ${fromEdge(called.overhangMm, edgeSdMm)} out over the kneecap's edge when it is ${called.medialMm.toFixed(1)} mm medial of the middle.`,
      ),
    );
  }
  const onBone = choices.find((choice) => choice.fits);
  if (called && !called.fits && onBone) {
    findings.push(
      info(
        'button-other-size',
        `Button ${onBone.button.size} stays on bone; it is ${onBone.button.thicknessMm} mm thick${onBone.cut ? `, with ${onBone.cut.remnantMm.toFixed(1)} mm of bone kept under it` : ''}.`,
      ),
    );
  }
  let pegMm: number | undefined;
  if (bones?.patella && bone && called?.button.peg) {
    const [medial, lateral] = extentOf([bone], 0);
    const [low, high] = extentOf([bone], 1);
    const clearance = holeClearances(bones.patella, plane);
    if (clearance.ok) {
      pegMm = clearance.value(
        buttonPeg(called.button.peg, [(medial + lateral) / 2 - called.medialMm, (low + high) / 2]),
      ).clearanceMm;
      findings.push(...boneBeside(`The peg of button ${size}`, pegMm, edgeSdMm));
    }
  }
  return {
    size,
    choices,
    ...(pegMm === undefined ? {} : { pegMm }),
    ...(edgeSdMm === undefined ? {} : { edgeSdMm }),
  };
}
