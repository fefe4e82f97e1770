import { useSyncExternalStore } from 'react';

export const rooms = ['leg', 'bench', 'proof'] as const;
export type Room = (typeof rooms)[number];

/** Where the reader is: every screen has an address. */
export interface Address {
  readonly caseId: string | undefined;
  readonly room: Room;
}

export const addressOf = (path: string): Address => {
  const match = /^\/cases\/([^/]+)(?:\/([^/]+))?\/?$/.exec(path);
  const room = rooms.find((r) => r === match?.[2]) ?? 'leg';
  return { caseId: match ? decodeURIComponent(match[1]!) : undefined, room };
};

export const pathOf = (caseId: string, room: Room): string => `/cases/${encodeURIComponent(caseId)}/${room}`;

const listeners = new Set<() => void>();

/** Goes to a screen without loading the page again. */
export function go(path: string, replace = false): void {
  if (replace) history.replaceState(null, '', path);
  else history.pushState(null, '', path);
  for (const listener of listeners) listener();
}

const subscribe = (listener: () => void): (() => void) => {
  listeners.add(listener);
  addEventListener('popstate', listener);
  return () => {
    listeners.delete(listener);
    removeEventListener('popstate', listener);
  };
};

/** The path of the page, as it changes. */
export const usePath = (): string => useSyncExternalStore(subscribe, () => location.pathname);
