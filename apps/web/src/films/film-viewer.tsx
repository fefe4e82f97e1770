import type { Pixel } from '@kerfline/knee';
import { type Ref, useCallback, useEffect, useImperativeHandle, useRef, useState } from 'react';
import {
  centred,
  type FilmFrame,
  fitted,
  mapOf,
  panned,
  type Spot,
  toPixel,
  toSpot,
  turned,
  turnedOver,
  zoomed,
} from './film-frame.ts';
import { FilmHandling } from './film-handling.tsx';
import { litBy } from './film-light.ts';
import type { Light } from './film-messages.ts';
import { type Aid, paintFilm, type Scene, type ShownMark } from './film-paint.ts';
import type { HeldFilm } from './film-picture.ts';

/** What the rest of the page may ask of the viewer. */
export interface ViewerHandle {
  readonly focus: () => void;
  /** Brings a pixel into view, if it is not well inside it. */
  readonly bring: (pixel: Pixel) => void;
  /** The pixel in the middle of the view. */
  readonly middle: () => Pixel;
}

export interface ViewerProps {
  readonly ref: Ref<ViewerHandle>;
  readonly held: HeldFilm;
  /** What is seen, for those who cannot see it. */
  readonly label: string;
  readonly marks: readonly ShownMark[];
  readonly aids: readonly Aid[];
  readonly lines: readonly (readonly [Pixel, Pixel])[];
  /** The mark in hand: moved by the keys, set by Enter, by a click or a tap. */
  readonly inHand: { readonly name: string; readonly pixel: Pixel; readonly placed: boolean } | undefined;
  /** A helper is being told points. */
  readonly pointing: boolean;
  /** Steps of the arrow keys: columns and rows for 0.1 mm, or for 0.1 pixels. */
  readonly step: readonly [columns: number, rows: number];
  /** The film was recorded as turned over: it is shown so from the start. */
  readonly mirrored: boolean;
  /** The picture is found to be turned over, or not to be: to be recorded, and shown once it is. */
  readonly onTurnOver: (mirrored: boolean) => void;
  readonly onMove: (name: string, pixel: Pixel) => void;
  readonly onSet: (name: string, pixel: Pixel) => void;
  readonly onPoint: (pixel: Pixel) => void;
  readonly onTake: (name: string) => void;
  readonly onPutDown: () => void;
  readonly onTakeOff: (name: string) => void;
}

type Gesture =
  | { readonly kind: 'press'; readonly from: Spot; readonly touch: boolean }
  | { readonly kind: 'pan' }
  | { readonly kind: 'light'; readonly from: Spot; readonly light: Light }
  | { readonly kind: 'mark'; readonly name: string; readonly off: Spot; pixel: Pixel }
  | { readonly kind: 'loupe'; pixel: Pixel }
  | { readonly kind: 'pinch' };

/**
 * How far a pointer may move and still be a click; how near a mark it takes it, with a mouse and with a finger, CSS pixels;
 * how long a finger rests for the loupe, ms.
 *
 * @numerical
 */
const [clickPx, grabPx, grabTouchPx, restMs] = [5, 12, 26, 450];

const whole = Math.PI * 2;
const saidTurn = (turn: number): number => Math.round((((turn % whole) + whole) % whole) * (360 / whole));

/** A film on a dark sheet: drawn along, brought nearer, lit and marked, by mouse, fingers or keys. */
export function FilmViewer(props: ViewerProps) {
  const { held, label } = props;
  const { picture } = held;
  const sheet = useRef<HTMLDivElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const frame = useRef<FilmFrame>({ zoom: 0, turn: 0, mirrored: props.mirrored, middle: [0, 0] });
  const size = useRef<readonly [number, number]>([0, 0]);
  const latest = useRef(props);
  latest.current = props;
  const drawing = useRef(0);
  const gesture = useRef<Gesture>(undefined);
  const pointers = useRef(new Map<number, Spot>());
  const rest = useRef(0);
  const moved = useRef<Pixel>(undefined);
  const [loupe, setLoupe] = useState(true);
  const loupeOn = useRef(loupe);
  loupeOn.current = loupe;
  const [turn, setTurn] = useState({ mirrored: props.mirrored, degrees: 0 });
  const [light, setLight] = useState(held.light());

  const paint = useCallback((): void => {
    drawing.current = 0;
    const context = canvas.current?.getContext('2d', { alpha: false });
    if (!context || size.current[0] === 0) return;
    const { marks, aids, lines, inHand } = latest.current;
    const now = gesture.current;
    const live = now?.kind === 'mark' || now?.kind === 'loupe' ? now.pixel : (moved.current ?? inHand?.pixel);
    const scene: Scene = {
      frame: frame.current,
      shape: picture,
      levels: picture.levels,
      size: size.current,
      devicePixels: devicePixelRatio,
      marks: marks.map((mark) => (mark.state === 'inHand' && live ? { ...mark, pixel: live } : mark)),
      aids,
      lines,
      loupe: now?.kind === 'loupe' || now?.kind === 'mark' || (loupeOn.current && inHand && !now) ? live : undefined,
    };
    paintFilm(context, scene, latest.current.held);
  }, [picture]);

  /** Paints once before the next picture of the screen, however often it is asked. */
  const draw = useCallback((): void => {
    if (drawing.current === 0) drawing.current = requestAnimationFrame(paint);
  }, [paint]);

  useEffect(() => {
    const element = canvas.current!;
    const observer = new ResizeObserver(([entry]) => {
      const { width, height } = entry!.contentRect;
      const first = size.current[0] === 0;
      size.current = [width, height];
      element.width = Math.round(width * devicePixelRatio);
      element.height = Math.round(height * devicePixelRatio);
      if (first) frame.current = fitted(frame.current, picture, size.current);
      paint();
    });
    observer.observe(element);
    return () => observer.disconnect();
  }, [picture, paint]);

  // What is recorded is what is shown.
  useEffect(() => {
    if (frame.current.mirrored === props.mirrored) return;
    frame.current = turnedOver(frame.current);
    setTurn({ mirrored: props.mirrored, degrees: saidTurn(frame.current.turn) });
    draw();
  }, [props.mirrored, draw]);
  useEffect(() => held.onChange(draw), [held, draw]);
  useEffect(draw);

  const change = (next: FilmFrame): void => {
    frame.current = next;
    draw();
    const said = { mirrored: next.mirrored, degrees: saidTurn(next.turn) };
    setTurn((before) => (before.mirrored === said.mirrored && before.degrees === said.degrees ? before : said));
  };
  const centre = (): Spot => [size.current[0] / 2, size.current[1] / 2];
  const map = () => mapOf(frame.current, picture, size.current);
  const relit = (next: Light): void => {
    held.relight(next);
    setLight(next);
  };
  /** Where keys bring nearer: the mark in hand, or the middle. */
  const keySpot = (): Spot => {
    const { inHand } = latest.current;
    const spot = inHand && toSpot(map(), inHand.pixel);
    return spot && spot[0] > 0 && spot[1] > 0 && spot[0] < size.current[0] && spot[1] < size.current[1]
      ? spot
      : centre();
  };
  const nearer = (factor: number, spot = keySpot()): void =>
    change(zoomed(frame.current, factor, spot, picture, size.current));

  const bring = (pixel: Pixel): void => {
    const [x, y] = toSpot(map(), pixel);
    const [width, height] = size.current;
    if (x > 0.05 * width && x < 0.95 * width && y > 0.05 * height && y < 0.95 * height) return;
    change(centred(frame.current, pixel, picture));
  };
  useImperativeHandle(props.ref, () => ({
    focus: () => sheet.current?.focus({ preventScroll: true }),
    bring,
    middle: () => frame.current.middle,
  }));

  useEffect(() => {
    const element = sheet.current!;
    const onWheel = (event: WheelEvent): void => {
      event.preventDefault();
      const lines = event.deltaMode === 1 ? 16 : 1;
      const factor = Math.exp(-event.deltaY * lines * (event.ctrlKey ? 0.01 : 0.0018));
      const box = element.getBoundingClientRect();
      nearer(factor, [event.clientX - box.left, event.clientY - box.top]);
    };
    element.addEventListener('wheel', onWheel, { passive: false });
    return () => element.removeEventListener('wheel', onWheel);
  });

  const spotOf = (event: React.PointerEvent): Spot => {
    const box = canvas.current!.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };
  const tellMove = (name: string, pixel: Pixel): void => {
    moved.current = pixel;
    latest.current.onMove(name, pixel);
    draw();
  };

  const down = (event: React.PointerEvent): void => {
    const spot = spotOf(event);
    sheet.current!.setPointerCapture(event.pointerId);
    sheet.current!.focus({ preventScroll: true });
    pointers.current.set(event.pointerId, spot);
    clearTimeout(rest.current);
    if (pointers.current.size === 2) {
      gesture.current = { kind: 'pinch' };
      return;
    }
    if (event.button === 2 || event.altKey) {
      gesture.current = { kind: 'light', from: spot, light: held.light() };
      return;
    }
    if (event.button === 1) {
      gesture.current = { kind: 'pan' };
      return;
    }
    const touch = event.pointerType === 'touch';
    const { marks, inHand, pointing } = latest.current;
    const reach = touch ? grabTouchPx : grabPx;
    const seen = map();
    const away = (mark: ShownMark): number => {
      const at = toSpot(seen, mark.pixel);
      return Math.hypot(at[0] - spot[0], at[1] - spot[1]);
    };
    const grabbable = marks.filter(
      (mark) => mark.state === 'placed' || (mark.state === 'inHand' && (touch || inHand?.placed)),
    );
    const [nearest] = [...grabbable].sort((a, b) => away(a) - away(b));
    // A mark in hand that is not placed yet is set where it is clicked, also near others.
    const mayGrab =
      !pointing && nearest && away(nearest) <= reach && (!inHand || inHand.placed || nearest.name === inHand.name);
    if (mayGrab) {
      const at = toSpot(seen, nearest.pixel);
      gesture.current = {
        kind: 'mark',
        name: nearest.name,
        off: [at[0] - spot[0], at[1] - spot[1]],
        pixel: nearest.pixel,
      };
      if (inHand?.name !== nearest.name) latest.current.onTake(nearest.name);
      draw();
      return;
    }
    gesture.current = { kind: 'press', from: spot, touch };
    if (touch && inHand) {
      rest.current = window.setTimeout(() => {
        const pixel = toPixel(map(), spot);
        gesture.current = { kind: 'loupe', pixel };
        tellMove(inHand.name, pixel);
      }, restMs);
    }
  };

  const move = (event: React.PointerEvent): void => {
    const spot = spotOf(event);
    const before = pointers.current.get(event.pointerId);
    const { inHand } = latest.current;
    const now = gesture.current;
    if (!before) {
      // A mouse that hovers carries the mark along until it is set.
      if (event.pointerType === 'mouse' && inHand && !inHand.placed) {
        tellMove(inHand.name, toPixel(map(), spot));
      }
      return;
    }
    if (now?.kind === 'pinch') {
      const [one, other] = [...pointers.current.values()] as [Spot, Spot];
      pointers.current.set(event.pointerId, spot);
      const [a, b] = [...pointers.current.values()] as [Spot, Spot];
      const apart = (p: Spot, q: Spot): number => Math.max(20, Math.hypot(p[0] - q[0], p[1] - q[1]));
      const middle: Spot = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
      const by: Spot = [middle[0] - (one[0] + other[0]) / 2, middle[1] - (one[1] + other[1]) / 2];
      const along = panned(frame.current, by, picture, size.current);
      change(zoomed(along, apart(a, b) / apart(one, other), middle, picture, size.current));
      return;
    }
    pointers.current.set(event.pointerId, spot);
    const by: Spot = [spot[0] - before[0], spot[1] - before[1]];
    switch (now?.kind) {
      case 'press':
        if (Math.hypot(spot[0] - now.from[0], spot[1] - now.from[1]) <= clickPx) return;
        clearTimeout(rest.current);
        gesture.current = { kind: 'pan' };
        change(panned(frame.current, [spot[0] - now.from[0], spot[1] - now.from[1]], picture, size.current));
        return;
      case 'pan':
        change(panned(frame.current, by, picture, size.current));
        return;
      case 'light':
        relit(litBy(now.light, (spot[0] - now.from[0]) / 400, (spot[1] - now.from[1]) / 400));
        return;
      case 'mark':
        now.pixel = toPixel(map(), [spot[0] + now.off[0], spot[1] + now.off[1]]);
        tellMove(now.name, now.pixel);
        return;
      case 'loupe':
        if (!inHand) return;
        now.pixel = toPixel(map(), spot);
        tellMove(inHand.name, now.pixel);
    }
  };

  const up = (event: React.PointerEvent): void => {
    clearTimeout(rest.current);
    const spot = spotOf(event);
    const now = gesture.current;
    pointers.current.delete(event.pointerId);
    if (now?.kind === 'pinch') {
      if (pointers.current.size === 0) gesture.current = undefined;
      return;
    }
    gesture.current = undefined;
    const { inHand, pointing, onSet, onPoint } = latest.current;
    const set = (name: string, pixel: Pixel): void => {
      moved.current = undefined;
      onSet(name, pixel);
    };
    if (event.type === 'pointercancel') moved.current = undefined;
    else if (now?.kind === 'press') {
      const pixel = toPixel(map(), spot);
      if (pointing) onPoint(pixel);
      else if (inHand && !inHand.placed) set(inHand.name, pixel);
      else if (inHand) latest.current.onPutDown();
    } else if (now?.kind === 'loupe' && inHand) {
      if (pointing) onPoint(now.pixel);
      else set(inHand.name, now.pixel);
    } else if (now?.kind === 'mark' && moved.current) set(now.name, now.pixel);
    draw();
  };

  const turnBy = (degrees: number): void =>
    change(turned(frame.current, (degrees * Math.PI) / 180, centre(), picture, size.current));
  const takeOff = (): void => {
    const { inHand, onTakeOff } = latest.current;
    if (inHand?.placed) onTakeOff(inHand.name);
  };
  const setInHand = (): void => {
    const { inHand, pointing, onPoint, onSet } = latest.current;
    if (!inHand) return;
    const at = moved.current ?? inHand.pixel;
    moved.current = undefined;
    if (pointing) onPoint(at);
    else onSet(inHand.name, at);
  };
  const putDown = (): void => {
    moved.current = undefined;
    latest.current.onPutDown();
  };
  const acts: ReadonlyMap<string, () => void> = new Map([
    ['Enter', setInHand],
    ['Escape', putDown],
    ['Delete', takeOff],
    ['Backspace', takeOff],
    ['+', () => nearer(1.25)],
    ['=', () => nearer(1.25)],
    ['-', () => nearer(0.8)],
    ['0', () => change(fitted(frame.current, picture, size.current))],
    ['l', () => setLoupe(!loupe)],
    ['i', () => relit({ ...held.light(), inverted: !held.light().inverted })],
    ['r', () => turnBy(90)],
    ['[', () => turnBy(-1)],
    [']', () => turnBy(1)],
    ['o', () => latest.current.onTurnOver(!latest.current.mirrored)],
    [',', () => relit(litBy(held.light(), 0, 0.04))],
    ['.', () => relit(litBy(held.light(), 0, -0.04))],
    [';', () => relit(litBy(held.light(), 0.06, 0))],
    ["'", () => relit(litBy(held.light(), -0.06, 0))],
  ]);

  const key = (event: React.KeyboardEvent): void => {
    const { inHand, step } = latest.current;
    const arrow = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (arrow) {
      event.preventDefault();
      const far = event.ctrlKey || event.altKey ? 100 : event.shiftKey ? 10 : 1;
      if (!inHand) {
        const by = event.shiftKey ? 320 : 80;
        change(panned(frame.current, [-arrow[0]! * by, -arrow[1]! * by], picture, size.current));
        return;
      }
      // Along the screen's directions, however the film is turned; steps are of the film.
      const { turn: angle, mirrored } = frame.current;
      const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
      const across = (cos * arrow[0]! + sin * arrow[1]!) * (mirrored ? -1 : 1);
      const along = -sin * arrow[0]! + cos * arrow[1]!;
      const at = moved.current ?? inHand.pixel;
      const pixel: Pixel = [
        Math.min(picture.columns, Math.max(0, at[0] + across * step[0] * far)),
        Math.min(picture.rows, Math.max(0, at[1] + along * step[1] * far)),
      ];
      moved.current = undefined;
      latest.current.onMove(inHand.name, pixel);
      bring(pixel);
      draw();
      return;
    }
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const act = acts.get(event.key.length === 1 ? event.key.toLowerCase() : event.key);
    if (!act) return;
    event.preventDefault();
    act();
  };

  return (
    <div className="filmsheet">
      <div
        ref={sheet}
        className={props.inHand ? 'film placing' : 'film'}
        // It is worked by keys: arrows move the film or the mark in hand.
        // biome-ignore lint/a11y/noNoninteractiveTabindex: see above
        tabIndex={0}
        role="application"
        aria-label={label}
        aria-describedby="film-keys"
        onPointerDown={down}
        onPointerMove={move}
        onPointerUp={up}
        onPointerCancel={up}
        onContextMenu={(event) => event.preventDefault()}
        onKeyDown={key}
      >
        <canvas ref={canvas} />
      </div>
      <FilmHandling
        light={light}
        best={picture.light}
        relight={relit}
        loupe={loupe}
        setLoupe={setLoupe}
        mirrored={turn.mirrored}
        turnedDeg={turn.degrees}
        whole={() => change(fitted(frame.current, picture, size.current))}
        nearer={nearer}
        turn={turnBy}
        turnOver={() => props.onTurnOver(!props.mirrored)}
      />
    </div>
  );
}
