import type { Setting } from '@kerfline/knee';
import type { LinkScale } from '@kerfline/sheets';
import { useRef } from 'react';
import { Picture } from './picture.tsx';

/** CSS pixels in a millimetre. */
const pxPerMm = 96 / 25.4;

/**
 * A scale that can be set: arrow keys step from mark to mark, and the pointer can be drawn along. What is shown follows at
 * once; it is recorded when the hand lets go.
 */
export function ScaleControl({
  scale,
  says,
  show,
  record,
}: {
  readonly scale: LinkScale;
  readonly says: string;
  readonly show: (setting: Setting) => void;
  readonly record: (setting: Setting) => void;
}) {
  const box = useRef<HTMLDivElement>(null);
  const last = useRef<Setting>(undefined);
  const under = (clientX: number): Setting | undefined => {
    const place = box.current?.getBoundingClientRect();
    return place ? scale.at((clientX - place.left) / pxPerMm) : undefined;
  };
  return (
    <div
      ref={box}
      className="scale"
      role="slider"
      tabIndex={0}
      aria-label={scale.link.says}
      aria-valuetext={says}
      aria-valuenow={scale.now}
      aria-valuemin={scale.range[0]}
      aria-valuemax={scale.range[1]}
      onKeyDown={(e) => {
        const next =
          e.key === 'ArrowRight' || e.key === 'ArrowUp'
            ? scale.right
            : e.key === 'ArrowLeft' || e.key === 'ArrowDown'
              ? scale.left
              : undefined;
        if (!next) return;
        e.preventDefault();
        record(next);
      }}
      onPointerDown={(e) => {
        e.currentTarget.setPointerCapture(e.pointerId);
        last.current = under(e.clientX);
        if (last.current) show(last.current);
      }}
      onPointerMove={(e) => {
        if (!last.current) return;
        const next = under(e.clientX);
        if (next && next.value !== last.current.value) {
          last.current = next;
          show(next);
        }
      }}
      onPointerUp={() => {
        if (last.current) record(last.current);
        last.current = undefined;
      }}
    >
      <Picture drawing={scale.scale} />
    </div>
  );
}
