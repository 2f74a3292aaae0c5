/**
 * Unsaved changes outlive a reload, a closed tab and a server that was killed. A reload of the same tab puts them back;
 * in another tab they are offered.
 */
import type { Changes } from "./types";

export interface Kept {
  changes: Changes;
  /** What stood in the file under the same keys; where it no longer does, it has to be asked which counts. */
  was: Changes;
  /** Milliseconds since 1970. */
  when: number;
}

const place = (build: string) => `boostwright.changes.${build}`;

/** `offering`: the changes of another tab or day are still offered here, and must outlive those made meanwhile. */
export function keep(build: string, changes: Changes, written: Changes, offering = false): void {
  const keys = Object.keys(changes);
  const was = Object.fromEntries(keys.map((key) => [key, written[key] ?? null]));
  const text = JSON.stringify({ changes, was, when: Date.now() } satisfies Kept);
  for (const store of offering ? [sessionStorage] : [sessionStorage, localStorage]) {
    try {
      if (keys.length === 0) store.removeItem(place(build));
      else store.setItem(place(build), text);
    } catch {
      // a full or forbidden store: the page itself still has them
    }
  }
}

/** What this very tab kept, and what another tab or day did. */
export function kept(build: string): { mine: Kept | null; others: Kept | null } {
  const [mine, any] = [sessionStorage, localStorage].map((store) => store.getItem(place(build)));
  return { mine: readKept(mine ?? null), others: any === mine ? null : readKept(any ?? null) };
}

/** Anything may stand in a store; only text or null under a key counts. */
export function readKept(text: string | null): Kept | null {
  try {
    const raw = JSON.parse(text ?? "null") as Partial<Kept> | null;
    const changes = texts(raw?.changes);
    return Object.keys(changes).length > 0 ? { changes, was: texts(raw?.was), when: Number(raw?.when) || 0 } : null;
  } catch {
    return null;
  }
}

const texts = (raw: object | undefined): Changes => Object.fromEntries(Object.entries(raw ?? {}).filter(([, value]) => value === null || typeof value === "string")) as Changes;
