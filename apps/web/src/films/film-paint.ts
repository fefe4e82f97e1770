import type { Pixel, PixelCovariance } from '@kerfline/knee';
import { colours } from '@kerfline/sheets';
import { type FilmFrame, type FilmMap, type FilmShape, mapOf, type Size, type Spot, toSpot } from './film-frame.ts';
import { levelFor, type TilePlace, tileEdge, tileName, tilesIn } from './film-tiles.ts';

/** A mark as it is drawn on a film. */
export interface ShownMark {
  readonly name: string;
  readonly label: string;
  readonly pixel: Pixel;
  /** How far it may be off, pixels squared. */
  readonly covPx2?: PixelCovariance | undefined;
  readonly radiusPx?: number | undefined;
  /** `placed` on the film, `inHand` and being moved, `foretold` by the marks so far, `next` to be set. */
  readonly state: 'placed' | 'inHand' | 'foretold' | 'next';
}

/** What a helper found, or is being told. */
export type Aid =
  | { readonly kind: 'circle'; readonly centre: Pixel; readonly radiusPx: number }
  | { readonly kind: 'line'; readonly from: Pixel; readonly to: Pixel }
  | { readonly kind: 'point'; readonly at: Pixel };

/** Everything that is painted. */
export interface Scene {
  readonly frame: FilmFrame;
  readonly shape: FilmShape;
  readonly levels: number;
  readonly size: Size;
  readonly devicePixels: number;
  readonly marks: readonly ShownMark[];
  readonly aids: readonly Aid[];
  /** Axes and joint lines that the marks make. */
  readonly lines: readonly (readonly [Pixel, Pixel])[];
  readonly loupe: Pixel | undefined;
}

/** Where painted tiles come from. */
export interface TileSource {
  readonly get: (place: TilePlace) => ImageBitmap | undefined;
  /** Asks for tiles, the most wanted first. */
  readonly want: (places: readonly TilePlace[]) => void;
}

const sheet = '#101519';
const onFilm = { fact: '#fbfbf8', foretold: '#8fc1f5', set: '#ff6a4d', under: 'rgba(8, 12, 15, 0.75)' } as const;
const loupeRadius = 88;
const loupeTimes = 4;

function paintTiles(
  context: CanvasRenderingContext2D,
  scene: Scene,
  map: FilmMap,
  tiles: TileSource,
  from: Spot,
  size: Size,
): readonly TilePlace[] {
  const { shape, levels, devicePixels } = scene;
  const draw = (place: TilePlace): boolean => {
    const bitmap = tiles.get(place);
    if (!bitmap) return false;
    const share = 2 ** place.level;
    context.drawImage(
      bitmap,
      place.across * tileEdge * share,
      place.down * tileEdge * share,
      bitmap.width * share,
      bitmap.height * share,
    );
    return true;
  };
  const level = levelFor(map, devicePixels, levels);
  const wanted = tilesIn(map, shape, level, from, size);
  const coarsest = tilesIn(map, shape, levels - 1, from, size);
  context.setTransform(
    map[0] * devicePixels,
    map[1] * devicePixels,
    map[2] * devicePixels,
    map[3] * devicePixels,
    map[4] * devicePixels,
    map[5] * devicePixels,
  );
  context.imageSmoothingEnabled = true;
  const missing = wanted.filter((place) => !tiles.get(place));
  // What is not there yet is shown from the coarser halvings, so that nothing is ever blank.
  if (missing.length > 0) for (const place of coarsest) draw(place);
  if (missing.length > 0 && level + 1 < levels - 1) {
    for (const place of tilesIn(map, shape, level + 1, from, size)) draw(place);
  }
  for (const place of wanted) draw(place);
  return [...coarsest, ...wanted];
}

function cross(context: CanvasRenderingContext2D, [x, y]: Spot, arm: number, gap: number, colour: string): void {
  const strokes = (): void => {
    context.beginPath();
    for (const [dx, dy] of [
      [1, 0],
      [-1, 0],
      [0, 1],
      [0, -1],
    ] as const) {
      context.moveTo(x + dx * gap, y + dy * gap);
      context.lineTo(x + dx * arm, y + dy * arm);
    }
    context.stroke();
  };
  context.strokeStyle = onFilm.under;
  context.lineWidth = 4;
  strokes();
  context.strokeStyle = colour;
  context.lineWidth = 1.75;
  strokes();
}

/** The two axes of a spread: their deviations in pixels, and the turn of the larger. */
function axesOf(cov: PixelCovariance): { readonly large: number; readonly small: number; readonly turn: number } {
  const mean = (cov[0][0] + cov[1][1]) / 2;
  const half = Math.hypot((cov[0][0] - cov[1][1]) / 2, cov[0][1]);
  const large = Math.sqrt(Math.max(0, mean + half));
  // A spread along a line is still drawn with some width.
  const small = Math.max(Math.sqrt(Math.max(0, mean - half)), large / 50);
  return { large, small, turn: 0.5 * Math.atan2(2 * cov[0][1], cov[0][0] - cov[1][1]) };
}

/** Lays one unit of the canvas on one deviation of a spread. */
function onSpread(context: CanvasRenderingContext2D, map: FilmMap, pixel: Pixel, cov: PixelCovariance): void {
  const [x, y] = toSpot(map, pixel);
  const { large, small, turn } = axesOf(cov);
  context.transform(map[0], map[1], map[2], map[3], x, y);
  context.rotate(turn);
  context.scale(large, small);
}

/** A cloud of tone to three deviations, as on paper. */
function cloud(context: CanvasRenderingContext2D, map: FilmMap, pixel: Pixel, cov: PixelCovariance): void {
  context.save();
  onSpread(context, map, pixel, cov);
  const tone = context.createRadialGradient(0, 0, 0, 0, 0, 3);
  tone.addColorStop(0, 'rgba(143, 193, 245, 0.55)');
  tone.addColorStop(0.33, 'rgba(143, 193, 245, 0.38)');
  tone.addColorStop(0.66, 'rgba(143, 193, 245, 0.14)');
  tone.addColorStop(1, 'rgba(143, 193, 245, 0)');
  context.fillStyle = tone;
  context.fillRect(-3, -3, 6, 6);
  context.restore();
}

/** A dashed outline at two deviations. */
function outline(context: CanvasRenderingContext2D, map: FilmMap, pixel: Pixel, cov: PixelCovariance): void {
  context.save();
  context.beginPath();
  context.save();
  onSpread(context, map, pixel, cov);
  context.arc(0, 0, 2, 0, 2 * Math.PI);
  context.restore();
  context.setLineDash([5, 4]);
  context.strokeStyle = onFilm.foretold;
  context.lineWidth = 1.25;
  context.stroke();
  context.restore();
}

const labelFont = (bold: boolean): string =>
  `${bold ? '700 ' : ''}13px "Helvetica Neue", Helvetica, "Nimbus Sans", Arial, "Liberation Sans", sans-serif`;

function label(context: CanvasRenderingContext2D, words: string, [x, y]: Spot, bold: boolean): void {
  context.font = labelFont(bold);
  context.lineJoin = 'round';
  context.strokeStyle = onFilm.under;
  context.lineWidth = 4;
  context.strokeText(words, x, y);
  context.fillStyle = onFilm.fact;
  context.fillText(words, x, y);
}

/** The corner marks around the place where the next mark is expected. */
function corners(context: CanvasRenderingContext2D, [x, y]: Spot, half: number): void {
  context.strokeStyle = onFilm.set;
  context.lineWidth = 2.5;
  context.beginPath();
  for (const [sx, sy] of [
    [-1, -1],
    [1, -1],
    [1, 1],
    [-1, 1],
  ] as const) {
    context.moveTo(x + sx * half, y + sy * half * 0.4);
    context.lineTo(x + sx * half, y + sy * half);
    context.lineTo(x + sx * half * 0.4, y + sy * half);
  }
  context.stroke();
}

function paintMarks(context: CanvasRenderingContext2D, scene: Scene, map: FilmMap, labels: boolean): void {
  context.setTransform(scene.devicePixels, 0, 0, scene.devicePixels, 0, 0);
  context.lineCap = 'round';
  for (const [from, to] of scene.lines) {
    const [a, b] = [toSpot(map, from), toSpot(map, to)];
    context.strokeStyle = onFilm.foretold;
    context.lineWidth = 1.25;
    context.beginPath();
    context.moveTo(a[0], a[1]);
    context.lineTo(b[0], b[1]);
    context.stroke();
  }
  for (const mark of scene.marks) {
    if (!mark.covPx2) continue;
    if (mark.state === 'placed' || mark.state === 'inHand') cloud(context, map, mark.pixel, mark.covPx2);
    // Where the next is expected is an outline only: the film under it is to be seen.
    if (mark.state === 'next') outline(context, map, mark.pixel, mark.covPx2);
  }
  const perPixel = Math.hypot(map[0], map[1]);
  const circle = (centre: Pixel, radiusPx: number, colour: string): void => {
    const [x, y] = toSpot(map, centre);
    context.strokeStyle = colour;
    context.lineWidth = 1.5;
    context.beginPath();
    context.arc(x, y, radiusPx * perPixel, 0, 2 * Math.PI);
    context.stroke();
  };
  for (const aid of scene.aids) {
    if (aid.kind === 'circle') circle(aid.centre, aid.radiusPx, onFilm.foretold);
    if (aid.kind === 'point') cross(context, toSpot(map, aid.at), 6, 0, onFilm.fact);
    if (aid.kind === 'line') {
      const [a, b] = [toSpot(map, aid.from), toSpot(map, aid.to)];
      context.strokeStyle = onFilm.foretold;
      context.lineWidth = 1.5;
      context.setLineDash([5, 4]);
      context.beginPath();
      context.moveTo(a[0], a[1]);
      context.lineTo(b[0], b[1]);
      context.stroke();
      context.setLineDash([]);
    }
  }
  for (const mark of scene.marks) {
    const at = toSpot(map, mark.pixel);
    if (mark.radiusPx !== undefined) circle(mark.pixel, mark.radiusPx, onFilm.foretold);
    if (mark.state === 'next') corners(context, at, 17);
    else if (mark.state !== 'foretold') {
      cross(
        context,
        at,
        mark.state === 'inHand' ? 15 : 9,
        mark.state === 'inHand' ? 3 : 2,
        mark.state === 'inHand' ? onFilm.set : onFilm.fact,
      );
    }
  }
  if (labels) paintLabels(context, scene, map);
}

/** Names beside the marks; where there is no room the less pressing ones are left out, and come when the film is nearer. */
function paintLabels(context: CanvasRenderingContext2D, scene: Scene, map: FilmMap): void {
  const pressing = { inHand: 0, next: 1, placed: 2, foretold: 3 } as const;
  const taken: (readonly [left: number, top: number, right: number, bottom: number])[] = [];
  const sorted = [...scene.marks].sort((a, b) => pressing[a.state] - pressing[b.state]);
  for (const mark of sorted) {
    if (mark.state === 'foretold') continue;
    const [x, y] = toSpot(map, mark.pixel);
    const bold = mark.state === 'inHand' || mark.state === 'next';
    context.font = labelFont(bold);
    const width = context.measureText(mark.label).width;
    const off = bold ? 20 : 12;
    for (const [left, base] of [
      [x + off, y - 6],
      [x - off - width, y - 6],
      [x + off, y + 18],
      [x - off - width, y + 18],
    ] as const) {
      const box = [left - 3, base - 13, left + width + 3, base + 4] as const;
      if (taken.some((t) => t[0] < box[2] && t[2] > box[0] && t[1] < box[3] && t[3] > box[1])) continue;
      taken.push(box);
      label(context, mark.label, [left, base], bold);
      break;
    }
  }
}

/** Paints a film with its marks; gives the tiles that it would have liked to have. */
export function paintFilm(context: CanvasRenderingContext2D, scene: Scene, tiles: TileSource): void {
  const { size, devicePixels } = scene;
  context.setTransform(1, 0, 0, 1, 0, 0);
  context.fillStyle = sheet;
  context.fillRect(0, 0, size[0] * devicePixels, size[1] * devicePixels);
  const map = mapOf(scene.frame, scene.shape, size);
  const wanted = [...paintTiles(context, scene, map, tiles, [0, 0], size)];
  paintMarks(context, scene, map, true);
  if (scene.loupe) {
    const at = toSpot(map, scene.loupe);
    // Beside the place it magnifies, and inside the viewer.
    const x = at[0] + 2.2 * loupeRadius > size[0] ? at[0] - 1.25 * loupeRadius : at[0] + 1.25 * loupeRadius;
    const y = Math.min(size[1] - loupeRadius - 4, Math.max(loupeRadius + 4, at[1] - 1.1 * loupeRadius));
    const near: FilmFrame = { ...scene.frame, zoom: Math.max(scene.frame.zoom * loupeTimes, 1), middle: scene.loupe };
    const centred = mapOf(near, scene.shape, size);
    const nearMap: FilmMap = [
      centred[0],
      centred[1],
      centred[2],
      centred[3],
      centred[4] + x - size[0] / 2,
      centred[5] + y - size[1] / 2,
    ];
    context.save();
    context.setTransform(devicePixels, 0, 0, devicePixels, 0, 0);
    context.beginPath();
    context.arc(x, y, loupeRadius, 0, 2 * Math.PI);
    context.clip();
    context.fillStyle = sheet;
    context.fillRect(x - loupeRadius, y - loupeRadius, 2 * loupeRadius, 2 * loupeRadius);
    wanted.push(
      ...paintTiles(
        context,
        scene,
        nearMap,
        tiles,
        [x - loupeRadius, y - loupeRadius],
        [2 * loupeRadius, 2 * loupeRadius],
      ),
    );
    paintMarks(context, scene, nearMap, false);
    context.restore();
    context.setTransform(devicePixels, 0, 0, devicePixels, 0, 0);
    context.strokeStyle = colours.paper;
    context.lineWidth = 2;
    context.beginPath();
    context.arc(x, y, loupeRadius, 0, 2 * Math.PI);
    context.stroke();
  }
  const names = new Set<string>();
  tiles.want(
    wanted.filter((place) => {
      const name = tileName(place);
      return !names.has(name) && names.add(name);
    }),
  );
}
