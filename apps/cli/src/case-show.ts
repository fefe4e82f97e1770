import { caseKit, caseLeg, type Entry, replay } from '@kerfline/cases';
import { quantities, quantityDefinitions } from '@kerfline/knee';
import { caseFile } from './files.ts';
import { findingsText } from './findings-text.ts';
import { quantityRows } from './quantity-rows.ts';
import { table } from './table.ts';

function entryText(entry: Entry): string {
  switch (entry.kind) {
    case 'created':
      return `${entry.body.side.toUpperCase()} knee, ${entry.body.label}`;
    case 'bone':
      return `${entry.body.role}: ${entry.body.fileName}`;
    case 'film':
      return `${entry.body.fileName}, ${entry.body.view}, ${entry.body.side}, ${entry.body.posture}`;
    case 'mark':
      return `${entry.body.name} at ${entry.body.pixel.map((v) => v.toFixed(1)).join(', ')} on ${entry.body.film}`;
    case 'calibration':
      return 'sizeMm' in entry.body
        ? `${entry.body.film}: ${entry.body.kind} of ${entry.body.sizeMm} mm`
        : `${entry.body.film}: ${entry.body.kind}`;
    case 'turnedOver':
      return `${entry.body.film}: ${entry.body.mirrored ? 'turned over for left and right' : 'as it was exposed'}`;
    case 'markSpreads':
      return `of ${entry.body.by}: ${Object.keys(entry.body.kinds).join(', ')}`;
    case 'remark':
      return `${entry.body.marks.length} marks of ${entry.body.film} once more, session ${entry.body.session}`;
    case 'typed':
      return `${entry.body.name} ${entry.body.value} +/- ${entry.body.sd} ${entry.body.unit}`;
    case 'kit':
      return `${entry.body.name}, version ${entry.body.version}, SHA-256 ${entry.body.blob.slice(0, 12)}`;
    case 'use':
      return entry.body.guide;
    case 'aim':
      return [
        entry.body.philosophy,
        ...(entry.body.wanted ?? []).map((w) => `${w.name} ${w.value} ${w.unit} ${w.positive ?? ''}`.trim()),
      ].join(', ');
    case 'setting':
    case 'readBack':
      return `${entry.body.guide} ${entry.body.link} ${entry.body.value} ${entry.body.unit} ${entry.body.sense ?? entry.body.row ?? entry.body.seat ?? ''}`.trim();
    case 'belief':
      return entry.body.names.join(', ');
    case 'spread':
      return `${entry.body.name} +/- ${entry.body.sd} ${entry.body.unit}`;
    case 'retract':
      return `${entry.body.entry}: ${entry.body.why}`;
  }
}

/** What is recorded in a case, and what its leg is. */
export async function caseShowCommand(path: string, options: { readonly json?: boolean }): Promise<string> {
  const file = await caseFile(path);
  const view = replay(file.ledger);
  if (options.json) return JSON.stringify(view, null, 2);
  const kit = caseKit(view, file.blobs);
  const leg = caseLeg(view, file.blobs, kit.ok ? kit.value : undefined);
  return [
    `Case ${view.case}, ${view.side.toUpperCase()} knee, ${view.label}, revision ${view.revision}, ${view.head.slice(0, 12)}`,
    '',
    table([
      ['entry', 'kind', 'says', 'by', 'at'],
      ...file.ledger.entries.map((e) => [e.id, e.kind, entryText(e), e.by, e.at]),
    ]),
    '',
    ...(leg.ok
      ? [
          table([
            ['quantity', 'value', 'give or take', '', 'unit', 'is'],
            ...quantityRows(quantities(leg.value.leg), quantityDefinitions),
          ]),
          '',
          findingsText(leg.value.leg.findings),
        ]
      : leg.error.map((refusal) => refusal.message)),
  ].join('\n');
}
