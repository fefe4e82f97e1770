import { useEffect, useRef } from 'react';
import { fitted } from './film-frame.ts';
import { paintFilm } from './film-paint.ts';
import type { HeldFilm } from './film-picture.ts';

const size = [190, 300] as const;

/** A film in small, as it will be shown. */
export function FilmPreview({
  held,
  mirrored,
  label,
}: {
  readonly held: HeldFilm;
  readonly mirrored: boolean;
  readonly label: string;
}) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const { picture } = held;
    const frame = fitted({ zoom: 1, turn: 0, mirrored, middle: [0, 0] }, picture, size);
    const paint = (): void => {
      const context = canvas.current?.getContext('2d', { alpha: false });
      if (!context) return;
      const scene = { frame, shape: picture, levels: picture.levels, size, devicePixels: devicePixelRatio };
      paintFilm(context, { ...scene, marks: [], aids: [], lines: [], loupe: undefined }, held);
    };
    paint();
    return held.onChange(paint);
  }, [held, mirrored]);
  return (
    <canvas
      ref={canvas}
      className="filmpreview"
      role="img"
      aria-label={label}
      width={size[0] * devicePixelRatio}
      height={size[1] * devicePixelRatio}
      style={{ width: size[0], height: size[1] }}
    />
  );
}
