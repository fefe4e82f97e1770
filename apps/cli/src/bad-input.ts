import type { Refusal } from '@kerfline/knee';

/** Thrown by a command when what it was given cannot be used: the program prints the reasons and ends with 2. */
export class BadInput extends Error {
  readonly reasons: readonly string[];

  constructor(reasons: readonly string[]) {
    super(reasons.join('\n'));
    this.reasons = reasons;
  }
}

/** The value of a result, or the end of the command with its reasons. */
export function must<T>(
  result:
    | { readonly ok: true; readonly value: T }
    | { readonly ok: false; readonly error: { readonly message: string } | readonly Refusal[] },
): T {
  if (result.ok) return result.value;
  const { error } = result;
  throw new BadInput('message' in error ? [error.message] : error.map((refusal) => refusal.message));
}
