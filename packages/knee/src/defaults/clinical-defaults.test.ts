import { describe, expect, it } from 'vitest';
import { commonPractice, workingDefault } from './clinical-default.ts';
import { clinicalDefaults } from './clinical-defaults.ts';

const all = clinicalDefaults();

/** A year of publication, or a DOI. */
const citation = /\b(19|20)\d\d\b|\b10\.\d{4,}\//;
const isSource = (source: string): boolean =>
  source === workingDefault ||
  source === commonPractice ||
  /^from memory: .{8,}/.test(source) ||
  (citation.test(source) && !/from memory|no source|re-read/.test(source));

/** Source: design 6 and the rules of CONTRIBUTING, "Numbers": a default has a source or says that it has none. */
describe('every clinical default', () => {
  it('names a publication, or says in the agreed words that it has none or that it is from memory', () => {
    const sources = all.flatMap((d) => ('sdSource' in d ? [d.source, d.sdSource!] : [d.source]));
    expect(sources.filter((source) => !isSource(source))).toEqual([]);
    // All four kinds are there, so that none of them is let through by never being met.
    expect(sources).toContain(workingDefault);
    expect(sources).toContain(commonPractice);
    expect(sources.some((s) => s.startsWith('from memory: '))).toBe(true);
    expect(sources.some((s) => citation.test(s) && !s.startsWith('from memory: '))).toBe(true);
  });

  it('has a name of its own in a group, and says what it is used for', () => {
    const names = all.map((d) => d.name);
    expect(names.filter((name, k) => names.indexOf(name) !== k)).toEqual([]);
    expect(names.filter((name) => !/^[A-Z][^:]*: .+/.test(name))).toEqual([]);
    expect(all.filter((d) => d.usedFor.length < 5).map((d) => d.name)).toEqual([]);
  });

  it('is a number, a mean with its sd, or two limits in their order', () => {
    const broken = all.filter((d) => {
      if ('value' in d) return !Number.isFinite(d.value);
      if ('mean' in d) return !(Number.isFinite(d.mean) && d.sd > 0);
      return !(d.range[0] < d.range[1]);
    });
    expect(broken.map((d) => d.name)).toEqual([]);
  });
});
