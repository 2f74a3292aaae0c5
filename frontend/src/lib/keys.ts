/**
 * Keys that work anywhere on a page. `useKeys` registers some while a component is shown; the frame lists all of them
 * under "?". A key pressed inside a field, a list or a slider belongs to that field and is left alone.
 */
import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";

export interface Key {
  /** As KeyboardEvent.key; a letter in lower case. */
  key: string;
  words: string;
  run: () => void;
  /** With Ctrl or Command held: works inside fields too. */
  control?: boolean;
}

export const keys = signal<Key[]>([]);

export function useKeys(own: readonly Key[], depends: readonly unknown[] = []): void {
  useEffect(() => {
    keys.value = [...keys.peek(), ...own];
    return () => {
      keys.value = keys.peek().filter((key) => !own.includes(key));
    };
  }, depends);
}

const FIELDS = 'input, select, textarea, [role="slider"], [role="tab"], [contenteditable]';

export function startKeys(): void {
  document.addEventListener("keydown", (event) => {
    if (event.defaultPrevented || event.altKey) return;
    const control = event.ctrlKey || event.metaKey;
    if (document.querySelector("dialog[open]")) return;
    const inField = event.target instanceof Element && event.target.closest(FIELDS) !== null;
    // the last registered wins: a page may take a key of the frame
    const found = keys.peek().findLast((key) => key.key === event.key.toLowerCase() || key.key === event.key);
    if (!found || Boolean(found.control) !== control || (inField && !found.control)) return;
    event.preventDefault();
    found.run();
  });
}
