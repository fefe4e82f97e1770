import { replay, type WorkedCase, workCase } from '@kerfline/cases';
import { boreSize, boreText, type Kit, type Plan, recuts } from '@kerfline/knee';
import { caution } from '@kerfline/sheets';
import { must } from './bad-input.ts';
import { caseFile } from './files.ts';
import { findingsText } from './findings-text.ts';
import { said } from './said.ts';
import { table } from './table.ts';

export async function workedCase(path: string): Promise<{ readonly worked: WorkedCase; readonly heading: string }> {
  const file = await caseFile(path);
  const view = replay(file.ledger);
  return {
    worked: must(workCase(view, file.blobs)),
    heading: `${view.side.toUpperCase()} knee, ${view.label}, revision ${view.revision}, ${view.head.slice(0, 12)}`,
  };
}

/** What stands beside the name of a guide that is not set. */
function stateOf(plan: Plan, kit: Kit, id: string): string {
  if (plan.waiting.includes(id)) return ': waits, see below';
  const left = plan.leftOut.find((l) => l.guide === id);
  if (!left) return '';
  const by = kit.guides.find((g) => g.id === left.by)?.says;
  return left.why === 'otherSide' ? ': for the other side' : `: not used, ${by} does this`;
}

/** What is wanted of a case's leg and the marks to set on its kit. */
export async function planCommand(path: string, options: { readonly json?: boolean }): Promise<string> {
  const { worked, heading } = await workedCase(path);
  const { plan, leg, kit } = worked;
  const findings = [...leg.findings, ...plan.findings];
  if (options.json) {
    return JSON.stringify(
      {
        aims: plan.aims,
        settings: plan.settings,
        ...(plan.unreachable.length > 0 ? { unreachable: plan.unreachable } : {}),
        findings,
      },
      null,
      2,
    );
  }
  const aims = Object.entries(plan.aims).map(([name, q]) => {
    const s = said(q);
    return [name, s.value, s.spread, s.word, q.value === null ? '' : q.unit, q.method];
  });
  const guides = kit.guides.flatMap((guide, k) => {
    const lines = plan.settings.filter((s) => s.guide === guide.id);
    const planned = plan.guides.find((p) => p.problem.guide.id === guide.id);
    const drills = guide.links.flatMap((link) =>
      link.kind === 'drill' && planned ? [boreText(link, boreSize(guide, link, planned.called, kit.components))] : [],
    );
    return [
      `${k + 1} ${guide.says}${stateOf(plan, kit, guide.id)}`,
      ...lines.map((line) => `    ${line.text}${line.leftOver ? `  (${line.leftOver})` : ''}`),
      ...drills.map((text) => `    ${text}`),
      ...(planned ? recuts(planned, leg.side) : []).map((recut) => `    a recut: ${recut.text}`),
    ];
  });
  return [
    `Plan, ${heading}`,
    '',
    table([['aim', 'value', 'give or take', '', 'unit', 'from'], ...aims]),
    '',
    ...guides,
    '',
    findingsText(findings),
    '',
    caution,
  ].join('\n');
}
