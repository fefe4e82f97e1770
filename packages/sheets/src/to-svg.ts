import { unreachable } from '@kerfline/geometry';
import type { Dash, Drawing, Fill, Mark, PathMark, Point, TextMark, Tone, Weight } from './drawing.ts';

/** Colours of the two ends of one drafting pencil, and of paper and ink; the same on screen and paper. */
export const colours = {
  paper: '#fbfbf8',
  ink: '#16202a',
  quiet: '#46515b',
  caption: '#626c75',
  line: '#8a949b',
  hair: '#cdd1d0',
  bone: '#e6e7e0',
  set: '#b3280f',
  foretold: '#17528f',
} as const;

const toneColour: Readonly<Record<Tone, string>> = {
  ink: colours.ink,
  quiet: colours.caption,
  line: colours.line,
  hair: colours.hair,
  foretold: colours.foretold,
  set: colours.set,
};

/** Line weights in CSS pixels: they do not grow with the drawing. */
const weightPx: Readonly<Record<Weight, number>> = { hair: 0.75, outline: 1.25, edge: 2, cut: 4 };

const dashes: Readonly<Record<Dash, string>> = { chain: '7 3 1.5 3', dots: '1 3.2', short: '4 3' };

const number = (v: number): string => String(Math.round(v * 1000) / 1000);
const pair = ([x, y]: Point): string => `${number(x)} ${number(y)}`;

const escaped = (words: string): string =>
  words.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;').replace(/"/g, '&quot;');

/** Path data: straight, or a curve through the points (Catmull-Rom as cubic pieces). */
function pathData(mark: PathMark): string {
  const { points, closed } = mark;
  if (points.length === 0) return '';
  if (!mark.smooth || points.length < 3) return `M${points.map(pair).join('L')}${closed ? 'Z' : ''}`;
  const n = points.length;
  const at = (i: number): Point => (closed ? points[(i + n) % n]! : points[Math.min(n - 1, Math.max(0, i))]!);
  const pieces = [`M${pair(points[0]!)}`];
  for (let i = 0; i < (closed ? n : n - 1); i += 1) {
    const [p0, p1, p2, p3] = [at(i - 1), at(i), at(i + 1), at(i + 2)];
    const c1: Point = [p1[0] + (p2[0] - p0[0]) / 6, p1[1] + (p2[1] - p0[1]) / 6];
    const c2: Point = [p2[0] - (p3[0] - p1[0]) / 6, p2[1] - (p3[1] - p1[1]) / 6];
    pieces.push(`C${pair(c1)} ${pair(c2)} ${pair(p2)}`);
  }
  return pieces.join('') + (closed ? 'Z' : '');
}

const sans = '"Helvetica Neue",Helvetica,"Nimbus Sans",Arial,"Liberation Sans",sans-serif';
const serif = '"STIX Two Text","Iowan Old Style","Palatino Linotype",Palatino,P052,serif';

const voice: Readonly<Record<TextMark['voice'], string>> = {
  metal: `font-family='${sans}' fill="${colours.ink}"`,
  caption: `font-family='${sans}' fill="${colours.caption}"`,
  set: `font-family='${sans}' font-weight="700" fill="${colours.set}"`,
  foretold: `font-family='${serif}' font-style="italic" fill="${colours.foretold}"`,
};

/** Tone of a normal spread at a distance in deviations, in steps that survive a screen and a printer. */
const smudgeStops = [
  [0, 0],
  [0.167, 0.06],
  [0.25, 0.1],
  [0.333, 0.18],
  [0.417, 0.25],
  [0.5, 0.28],
  [0.583, 0.25],
  [0.667, 0.18],
  [0.75, 0.1],
  [0.833, 0.06],
  [1, 0],
] as const;

const cloudStops = [
  [0, 0.5],
  [0.33, 0.36],
  [0.66, 0.12],
  [1, 0],
] as const;

const stops = (list: readonly (readonly [number, number])[]): string =>
  list
    .map(([at, opacity]) => `<stop offset="${at}" stop-color="${colours.foretold}" stop-opacity="${opacity}"/>`)
    .join('');

function filled(fill: Fill | undefined, id: string): string {
  switch (fill) {
    case undefined:
    case 'none':
      return 'none';
    case 'hatch':
      return `url(#${id}-hatch)`;
    case 'unknown':
      return `url(#${id}-unknown)`;
    case 'set':
      return colours.set;
    case 'wash':
      return '#f5ded6';
    default:
      return colours[fill];
  }
}

const stroked = (tone: Tone | undefined, weight: Weight | undefined, dash?: Dash): string =>
  weight === undefined && tone === undefined
    ? 'stroke="none"'
    : `stroke="${toneColour[tone ?? 'ink']}" stroke-width="${weightPx[weight ?? 'outline']}" vector-effect="non-scaling-stroke" ` +
      `stroke-linejoin="round" stroke-linecap="${weight === 'cut' ? 'butt' : 'round'}"${dash ? ` stroke-dasharray="${dashes[dash]}"` : ''}`;

function markSvg(mark: Mark, id: string, count: { n: number }): string {
  switch (mark.kind) {
    case 'path': {
      const d = pathData(mark);
      // A hatch lies over the tone of cut bone.
      const under = mark.fill === 'hatch' ? `<path d="${d}" fill="${colours.bone}" stroke="none"/>` : '';
      return `${under}<path d="${d}" fill="${filled(mark.fill, id)}" ${stroked(mark.tone, mark.weight, mark.dash)}/>`;
    }
    case 'circle':
      return `<circle cx="${number(mark.at[0])}" cy="${number(mark.at[1])}" r="${number(mark.radius)}" fill="${filled(mark.fill, id)}" ${stroked(mark.tone, mark.weight)}/>`;
    case 'text': {
      const anchor = mark.anchor && mark.anchor !== 'start' ? ` text-anchor="${mark.anchor}"` : '';
      const bold = mark.bold ? ' font-weight="700"' : '';
      return `<text x="${number(mark.at[0])}" y="${number(mark.at[1])}" font-size="${number(mark.size)}" ${voice[mark.voice]}${anchor}${bold}>${escaped(mark.text)}</text>`;
    }
    case 'smudge': {
      const left = Math.max(mark.clip[0], mark.centre - 3 * mark.sd);
      const right = Math.min(mark.clip[1], mark.centre + 3 * mark.sd);
      if (!(right > left) || !(mark.sd > 0)) return '';
      count.n += 1;
      const name = `${id}-s${count.n}`;
      // The gradient spans three deviations either way in the drawing's own mm, however much of it is inside.
      return (
        `<linearGradient id="${name}" gradientUnits="userSpaceOnUse" x1="${number(mark.centre - 3 * mark.sd)}" x2="${number(mark.centre + 3 * mark.sd)}" y1="0" y2="0">${stops(smudgeStops)}</linearGradient>` +
        `<rect x="${number(left)}" y="${number(mark.top)}" width="${number(right - left)}" height="${number(mark.height)}" fill="url(#${name})"/>`
      );
    }
    case 'cloud':
      return `<ellipse cx="${number(mark.at[0])}" cy="${number(mark.at[1])}" rx="${number(3 * mark.sd[0])}" ry="${number(3 * mark.sd[1])}" fill="url(#${id}-cloud)"/>`;
    case 'letter': {
      const [x, y] = mark.at;
      const half = mark.size / 2;
      const shape =
        mark.letter === 'M'
          ? `<rect x="${number(x - half)}" y="${number(y - half)}" width="${number(mark.size)}" height="${number(mark.size)}"`
          : `<circle cx="${number(x)}" cy="${number(y)}" r="${number(half * 1.08)}"`;
      return `${shape} fill="${colours.paper}" ${stroked('ink', 'outline')}/><text x="${number(x)}" y="${number(y + 0.24 * mark.size)}" font-size="${number(0.68 * mark.size)}" ${voice.metal} font-weight="700" text-anchor="middle">${mark.letter}</text>`;
    }
    case 'group':
      return `<g transform="translate(${pair(mark.move)})">${mark.marks.map((m) => markSvg(m, id, count)).join('')}</g>`;
    default:
      return unreachable(mark);
  }
}

/**
 * A drawing as SVG text at its true size.
 *
 * @param id prefix of the names inside, unique on its page
 */
export function toSvg(drawing: Drawing, id: string): string {
  const [x, y, w, h] = drawing.box;
  const count = { n: 0 };
  const body = drawing.marks.map((mark) => markSvg(mark, id, count)).join('');
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="${escaped(drawing.label)}" viewBox="${number(x)} ${number(y)} ${number(w)} ${number(h)}" width="${number(w)}mm" height="${number(h)}mm"${drawing.clipped ? ' style="overflow:hidden"' : ''}>` +
    `<defs><pattern id="${id}-hatch" width="2.2" height="2.2" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V2.2" stroke="${colours.line}" stroke-width="0.2"/></pattern>` +
    `<pattern id="${id}-unknown" width="2.6" height="2.6" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)"><path d="M0 0V2.6" stroke="${colours.hair}" stroke-width="0.4"/></pattern>` +
    `<radialGradient id="${id}-cloud">${stops(cloudStops)}</radialGradient></defs>${body}</svg>`
  );
}
