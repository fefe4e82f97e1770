import type { Light } from './film-messages.ts';

/** Light changed by shares of its span: wider, and darker. */
export function litBy(light: Light, wider: number, darker: number): Light {
  const span = light.white - light.black;
  const middle = light.black + span / 2 + darker * span;
  const half = Math.max(1, (span / 2) * Math.exp(wider));
  return { ...light, black: middle - half, white: middle + half };
}

/** Light as two sliders from -100 to 100 say it, against how the film is best lit. */
export interface SaidLight {
  readonly brightness: number;
  readonly contrast: number;
}

export function saidLight(light: Light, best: Light): SaidLight {
  const span = best.white - best.black;
  const middle = (light.black + light.white - best.black - best.white) / 2;
  const within = (v: number): number => Math.round(Math.min(100, Math.max(-100, v))) + 0;
  return {
    brightness: within((-100 * middle) / span),
    contrast: within(-50 * Math.log2((light.white - light.black) / span)),
  };
}

/** The light that two sliders say. */
export function lightSaid({ brightness, contrast }: SaidLight, inverted: boolean, best: Light): Light {
  const span = best.white - best.black;
  const middle = (best.black + best.white) / 2 - (brightness / 100) * span;
  const half = Math.max(1, (span / 2) * 2 ** (-contrast / 50));
  return { black: middle - half, white: middle + half, inverted };
}
