/** What a function gives back when its input may be bad: the value, or a tagged error that a screen can word. */
export type Result<T, E> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly error: E };

export const ok = <T>(value: T): { readonly ok: true; readonly value: T } => ({ ok: true, value });
export const err = <E>(error: E): { readonly ok: false; readonly error: E } => ({ ok: false, error });

/** Marks a branch that types say cannot be reached; a new kind in a union then fails to compile here. */
export function unreachable(value: never): never {
  throw new Error(`unreachable: ${JSON.stringify(value)}`);
}

/** The value of a result that the caller has reason to trust; throws with the error's text otherwise. */
export function expectOk<T, E>(result: Result<T, E>, what: string): T {
  if (result.ok) return result.value;
  throw new Error(`${what}: ${JSON.stringify(result.error)}`);
}
