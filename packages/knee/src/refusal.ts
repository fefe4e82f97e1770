/** Input that cannot be used: a stable word for programs, and a sentence with what was found and what was needed. */
export interface Refusal {
  readonly kind: string;
  readonly message: string;
}

export const refusal = (kind: string, message: string): Refusal => ({ kind, message });
