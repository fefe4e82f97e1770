import { lightSaid, saidLight } from './film-light.ts';
import type { Light } from './film-messages.ts';

/** How the film is shown, in words: everything that gestures and keys do has a name here too. */
export function FilmHandling({
  light,
  best,
  relight,
  loupe,
  setLoupe,
  mirrored,
  turnedDeg,
  whole,
  nearer,
  turn,
  turnOver,
}: {
  readonly light: Light;
  readonly best: Light;
  readonly relight: (light: Light) => void;
  readonly loupe: boolean;
  readonly setLoupe: (loupe: boolean) => void;
  readonly mirrored: boolean;
  /** Clockwise, 0 to 360. */
  readonly turnedDeg: number;
  readonly whole: () => void;
  readonly nearer: (factor: number) => void;
  readonly turn: (byDeg: number) => void;
  readonly turnOver: () => void;
}) {
  const lit = saidLight(light, best);
  const turned = turnedDeg > 180 ? turnedDeg - 360 : turnedDeg;
  const slider = (says: string, value: number, most: number, set: (value: number) => void) => (
    <label>
      {says}
      <input type="range" min={-most} max={most} value={value} onChange={(e) => set(Number(e.target.value))} />
    </label>
  );
  return (
    <div className="handling">
      <div className="words48">
        <button type="button" onClick={whole}>
          whole film
        </button>
        <button type="button" onClick={() => nearer(1.5)}>
          nearer
        </button>
        <button type="button" onClick={() => nearer(1 / 1.5)}>
          farther
        </button>
        <button type="button" aria-pressed={loupe} onClick={() => setLoupe(!loupe)}>
          loupe
        </button>
        <button
          type="button"
          aria-pressed={light.inverted !== best.inverted}
          onClick={() => relight({ ...light, inverted: !light.inverted })}
        >
          bones dark
        </button>
        <button type="button" onClick={() => turn(90)}>
          quarter turn
        </button>
        <button type="button" aria-pressed={mirrored} onClick={turnOver}>
          turn over
        </button>
      </div>
      <div className="lights">
        {slider('Brightness', lit.brightness, 100, (brightness) =>
          relight(lightSaid({ ...lit, brightness }, light.inverted, best)),
        )}
        {slider('Contrast', lit.contrast, 100, (contrast) =>
          relight(lightSaid({ ...lit, contrast }, light.inverted, best)),
        )}
        {slider('Turned', turned, 180, (to) => turn(to - turned))}
      </div>
    </div>
  );
}
