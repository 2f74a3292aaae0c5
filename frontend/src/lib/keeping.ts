/**
 * Unsaved changes outlive a reload, a closed tab and a server that was killed. A reload of the same tab puts them back;
 * in another tab they are offered.
 */
import type { Changes } from "./types";

export interface Kept {
  changes: Changes;
  /** Milliseconds since 1970. */
  when: number;
}

const place = (build: string) => `boostwright.changes.${build}`;

export function keep(build: string, changes: Changes): void {
  const empty = Object.keys(changes).length === 0;
  const text = JSON.stringify({ changes, when: Date.now() } satisfies Kept);
  for (const store of [sessionStorage, localStorage]) {
    try {
      if (empty) store.removeItem(place(build));
      else store.setItem(place(build), text);
    } catch {
      // a full or forbidden store: the page itself still has them
    }
  }
}

/** What was kept, and whether by this very tab. */
export function kept(build: string): (Kept & { here: boolean }) | null {
  for (const store of [sessionStorage, localStorage]) {
    const found = readKept(store.getItem(place(build)));
    if (found) return { ...found, here: store === sessionStorage };
  }
  return null;
}

/** Anything may stand in a store; only text or null under a key counts. */
export function readKept(text: string | null): Kept | null {
  try {
    const raw = JSON.parse(text ?? "null") as Partial<Kept> | null;
    const entries = Object.entries(raw?.changes ?? {}).filter(([, value]) => value === null || typeof value === "string");
    return entries.length > 0 ? { changes: Object.fromEntries(entries), when: Number(raw?.when) || 0 } : null;
  } catch {
    return null;
  }
}
