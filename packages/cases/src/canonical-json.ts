/** Values that JSON can hold. */
export type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json };

/**
 * The one text of a JSON value (RFC 8785): keys sorted by their UTF-16 code units, no white space, numbers as ECMAScript
 * writes them. Not-a-number, infinity, lone surrogates and anything that is not JSON throw.
 */
export function canonicalJson(value: unknown): string {
  switch (typeof value) {
    case 'boolean':
      return value ? 'true' : 'false';
    case 'number':
      if (!Number.isFinite(value)) throw new Error(`${value} is not a JSON number`);
      return JSON.stringify(value);
    case 'string':
      if (/\p{Surrogate}/u.test(value)) throw new Error('a text with half a character is not JSON');
      return JSON.stringify(value);
    case 'object': {
      if (value === null) return 'null';
      if (Array.isArray(value)) return `[${value.map(canonicalJson).join(',')}]`;
      const object = value as Record<string, unknown>;
      // The default sort of strings compares UTF-16 code units, as the standard asks.
      const keys = Object.keys(object)
        .filter((key) => object[key] !== undefined)
        .sort();
      return `{${keys.map((key) => `${canonicalJson(key)}:${canonicalJson(object[key])}`).join(',')}}`;
    }
    default:
      throw new Error(`a ${typeof value} is not JSON`);
  }
}
