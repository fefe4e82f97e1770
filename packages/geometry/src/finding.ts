/** Something the reader should know about a result: what was seen and what it means. */
export interface Finding {
  /** Stable, kebab-case; programs may rely on it. */
  readonly code: string;
  readonly severity: 'info' | 'doubt' | 'error';
  /** A sentence for people, with the numbers. */
  readonly message: string;
}

export const info = (code: string, message: string): Finding => ({ code, severity: 'info', message });
export const doubt = (code: string, message: string): Finding => ({ code, severity: 'doubt', message });
export const fault = (code: string, message: string): Finding => ({ code, severity: 'error', message });
