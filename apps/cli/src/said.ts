import { type Q, type SaidQuantity, saidQuantity } from '@kerfline/knee';

/** A quantity for a table of text, with its spread as "+/- 0.7". */
export function said(q: Q): SaidQuantity {
  const s = saidQuantity(q);
  return { ...s, spread: s.spread === '' ? '' : `+/- ${s.spread}` };
}
