import type { FilmReading } from '@kerfline/knee';

/** What a millimetre is on a film, in a few words. */
export function scaleText(scale: FilmReading['scale']): string {
  switch (scale.kind) {
    case 'bone':
      return `lengths of the bone, off by ${(100 * scale.sd).toFixed(1)} %: ${scale.method}`;
    case 'detector':
      return 'not calibrated: lengths at the detector';
    case 'none':
      return 'not calibrated: no lengths';
  }
}
