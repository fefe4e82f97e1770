import type { FilmFacts } from '@kerfline/cases';
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

/** What may be measured by a file's own lengths, in sentences. */
export const lengthText: Readonly<Record<FilmFacts['length']['state'], string>> = {
  FIDUCIAL:
    'The file was calibrated on an object of known size. Angles may be measured; lengths after you confirm that the object lay at the depth of the bone.',
  GEOMETRY:
    'Lengths are corrected for a magnification that was assumed. Angles may be measured; lengths with a warning.',
  CORRECTED_UNKNOWN:
    'Lengths were corrected in a way that the file does not state. Angles may be measured; lengths only after you calibrate the film on an object of known size.',
  DETECTOR:
    'Lengths are measured at the detector; they are larger than the bone by an unknown amount. Angles may be measured; lengths only after you calibrate the film on an object of known size.',
  UNKNOWN:
    'The file does not say what a millimetre is. Angles may be measured; lengths only after you calibrate the film on an object of known size.',
};
