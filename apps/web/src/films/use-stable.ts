import { useCallback, useRef } from 'react';

/** A function that stays the same while what it does is always the latest: for parts that are only drawn anew when they must. */
export function useStable<A extends readonly unknown[], R>(latest: (...args: A) => R): (...args: A) => R {
  const now = useRef(latest);
  now.current = latest;
  return useCallback((...args: A) => now.current(...args), []);
}
