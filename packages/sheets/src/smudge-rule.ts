import { type Drawing, line, type Mark, text } from './drawing.ts';

/** A number on a short rule: its place, its smudge, and the bracket of one deviation either way. */
export interface SmudgeRule {
  readonly label: string;
  readonly range: readonly [number, number];
  readonly ticks: readonly number[];
  /** Numerals under some of the ticks. */
  readonly numerals: readonly { readonly at: number; readonly says: string }[];
  /** Undefined draws the rule as not known. */
  readonly value: number | undefined;
  readonly sd: number;
}

const width = 32;
const ruleY = 4;

export function smudgeRule(rule: SmudgeRule): Drawing {
  const [low, high] = rule.range;
  const x = (v: number): number => 1.5 + ((v - low) / (high - low)) * width;
  const frame: Drawing['box'] = [0, 0, width + 3, 8.4];
  if (rule.value === undefined) {
    return {
      label: `${rule.label}: not known`,
      box: frame,
      marks: [
        line(
          [
            [1.5, 1],
            [1.5 + width, 1],
            [1.5 + width, 5.4],
            [1.5, 5.4],
          ],
          { closed: true, fill: 'unknown', tone: 'line', weight: 'outline', dash: 'short' },
        ),
      ],
    };
  }
  const at = x(Math.min(high, Math.max(low, rule.value)));
  const spread = (rule.sd / (high - low)) * width;
  const marks: Mark[] = [
    { kind: 'smudge', centre: at, sd: spread, top: 0.5, height: ruleY - 0.5, clip: [0, width + 3] },
    line(
      [
        [1.5, ruleY],
        [1.5 + width, ruleY],
      ],
      { tone: 'quiet', weight: 'hair' },
    ),
    ...rule.ticks.map((tick) =>
      line(
        [
          [x(tick), ruleY],
          [x(tick), ruleY + 1],
        ],
        { tone: 'quiet', weight: 'hair' },
      ),
    ),
    ...rule.numerals.map((n) => text([x(n.at), 8], n.says, 2.8, 'caption', { anchor: 'middle' })),
    line(
      [
        [at, 0.5],
        [at, ruleY + 0.5],
      ],
      { tone: 'foretold', weight: 'edge' },
    ),
    line(
      [
        [at - spread, 1.3],
        [at - spread, 2.9],
      ],
      { tone: 'foretold', weight: 'outline' },
    ),
    line(
      [
        [at - spread, 2.1],
        [at + spread, 2.1],
      ],
      { tone: 'foretold', weight: 'outline' },
    ),
    line(
      [
        [at + spread, 1.3],
        [at + spread, 2.9],
      ],
      { tone: 'foretold', weight: 'outline' },
    ),
  ];
  return { label: `${rule.label}: ${rule.value.toFixed(1)} give or take ${rule.sd.toFixed(1)}`, box: frame, marks };
}
