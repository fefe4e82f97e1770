import { type Finding, fault } from '@kerfline/geometry';
import { buttonFor } from '../cuts/kneecap.ts';
import { trayChoicesByNumbers } from '../cuts/tray-fit.ts';
import type { ComponentFamily, Kit } from '../kits/kit.ts';
import { type SizedLink, sizedPart, sizeSlide } from './guide.ts';
import type { LegView } from './leg-view.ts';
import type { PlannedGuide } from './planned-guide.ts';
import type { Settings } from './setting.ts';
import type { GuideProblem } from './solve.ts';

/** The size that a planned guide is called at, by guide and link. */
const calledSize = (
  planned: readonly PlannedGuide[],
  { guide, link }: { readonly guide: string; readonly link: string },
) => planned.find((p) => p.problem.guide.id === guide)?.called[link]?.value;

/** The femoral size that the planned guides are called at; undefined before any sets one. */
export const femurSizeCalled = (planned: readonly PlannedGuide[]): number | undefined =>
  planned.flatMap(({ problem, called }) => {
    const slide = sizeSlide(problem.guide);
    return slide ? [called[slide.id]!.value] : [];
  })[0];

/** Sizes that the plan takes before anything is solved: as an earlier guide set them, else as the bone asks. */
export function takenSizes(problem: GuideProblem, planned: readonly PlannedGuide[]): Settings {
  const part = sizedPart(problem.guide);
  if (!part) return {};
  const size = part.follows ? calledSize(planned, part.follows) : sizeFor(part, problem, planned);
  return size === undefined ? {} : { [part.id]: { value: size } };
}

/** Trays that may go with a femoral size; all of them while that is not known. */
export const traysAllowed = (components: ComponentFamily, femur: number | undefined): readonly number[] =>
  components.tray
    .map((tray) => tray.size)
    .filter((tray) => femur === undefined || components.allowedPairs.some((p) => p.femur === femur && p.tray === tray));

/** Whether a part's size follows from what is known of the bone; where not, it is found on the bone. */
export function sizeIsKnown(part: SizedLink, leg: LegView): boolean {
  const needed = { femur: ['anteriorCortex'], tray: ['tibiaWidth', 'tibiaDepth'], button: ['patellaThickness'] };
  return needed[part.component].every((name) => leg.has(name));
}

/** A size from what is known of the bone; undefined when that is not enough. */
function sizeFor(
  part: SizedLink,
  { leg, components }: GuideProblem,
  planned: readonly PlannedGuide[],
): number | undefined {
  switch (part.component) {
    case 'femur':
      return undefined;
    case 'tray': {
      const allowed = traysAllowed(components, femurSizeCalled(planned));
      // Until it is tried on the bone: one that may go with the femoral component, and no more is claimed for it.
      if (!leg.has('tibiaWidth') || !leg.has('tibiaDepth')) return allowed[Math.floor(allowed.length / 2)];
      return trayChoicesByNumbers(leg.number('tibiaWidth'), leg.number('tibiaDepth'), components, allowed)[0]?.tray
        .size;
    }
    case 'button':
      return leg.has('patellaThickness')
        ? buttonFor(components.button, leg.number('patellaThickness')).size
        : undefined;
  }
}

/** Parts whose sizes do not go together, as the guides are called. None of these can be overridden. */
export function sizeFindings(kit: Kit, planned: readonly PlannedGuide[]): readonly Finding[] {
  const findings: Finding[] = [];
  for (const { problem, called } of planned) {
    const part = sizedPart(problem.guide);
    if (!part) continue;
    const size = called[part.id]!.value;
    const wanted = part.follows && calledSize(planned, part.follows);
    if (wanted !== undefined && wanted !== size) {
      findings.push(
        fault(
          'size-mismatch',
          `${problem.guide.says}: ${part.says} ${size} does not go with the ${wanted} that was set before; take ${wanted}.`,
        ),
      );
    }
    const femur = femurSizeCalled(planned);
    if (
      part.component === 'tray' &&
      !part.follows &&
      femur !== undefined &&
      !traysAllowed(kit.components, femur).includes(size)
    ) {
      findings.push(
        fault(
          'pair-not-allowed',
          `Femur ${femur} and tray ${size} may not be used together; with femur ${femur} go trays ${traysAllowed(kit.components, femur).join(', ') || 'of no size'}.`,
        ),
      );
    }
  }
  return findings;
}
