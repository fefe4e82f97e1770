import { useSyncExternalStore } from 'react';

export const rooms = ['leg', 'bench', 'proof'] as const;
export type Room = (typeof rooms)[number];

/** Where the reader is: every screen has an address. */
export interface Address {
  readonly caseId: string | undefined;
  readonly room: Room;
  /** The part of the room: on the Leg page the entry of a film, or `films` where films are added. */
  readonly part: string | undefined;
  /** The page where a case is begun. */
  readonly begins: boolean;
}

export const beginPath = '/begin';
export const casesPath = '/cases';

export const addressOf = (path: string): Address => {
  const match = /^\/cases\/([^/]+)(?:\/([^/]+))?(?:\/([^/]+))?\/?$/.exec(path);
  const room = rooms.find((r) => r === match?.[2]) ?? 'leg';
  const said = (part: string | undefined): string | undefined => (part ? decodeURIComponent(part) : undefined);
  return { caseId: said(match?.[1]), room, part: said(match?.[3]), begins: path === beginPath };
};

export const pathOf = (caseId: string, room: Room, part?: string): string =>
  `/cases/${encodeURIComponent(caseId)}/${room}${part === undefined ? '' : `/${encodeURIComponent(part)}`}`;

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
