import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { kitJsonSchema } from './kit-json-schema.ts';

const raw = (name: string) =>
  JSON.parse(readFileSync(new URL(`../../../../kits/${name}/kit.json`, import.meta.url), 'utf8'));
// A validator that knows nothing of how the schema was made.
const valid = new Ajv2020({ strict: false }).compile(kitJsonSchema());

/** Source: JSON Schema draft 2020-12, by an independent validator. */
describe('the published form of a kit file', () => {
  it.each(['demo', 'second'])('takes the %s kit', (name) => {
    expect(valid(raw(name))).toBe(true);
  });

  it('refuses an unknown key, a wrong unit of thought and a missing part', () => {
    const unknown = raw('demo');
    unknown.guides[0].links[2].colour = 'red';
    expect(valid(unknown)).toBe(false);
    const word = raw('demo');
    word.guides[0].links[2].turn = 'left';
    expect(valid(word)).toBe(false);
    const { components: _, ...without } = raw('demo');
    expect(valid(without)).toBe(false);
    expect(valid({ ...raw('demo'), kit: 2 })).toBe(false);
  });

  it('is the one in the documentation', () => {
    const published = JSON.parse(readFileSync(new URL('../../../../docs/kit.schema.json', import.meta.url), 'utf8'));
    expect(published).toEqual(kitJsonSchema());
  });
});
