/**
 * Changes that come with another: the server says which (`along`). A new altitude with an old station pressure would put
 * sea-level air on a mountain, so the pressure is laid as the same weather's, and goes again with the altitude's change.
 */
import { changes, setChanges, written } from "../lib/state";
import type { Changes, Parameter } from "../lib/types";

const laid = new Map<string, Changes>();

/** Lay a text over a key with what comes along; the file's own text takes both away again. */
export function change(parameter: Pick<Parameter, "key" | "along">, text: string | null): void {
  const { key, along } = parameter;
  if ((written.peek()[key] ?? null) === text) takeBack(key);
  else {
    if (Object.keys(along ?? {}).length > 0) laid.set(key, along ?? {});
    setChanges({ [key]: text, ...laid.get(key) });
  }
}

/** Drop a change and what came along with it, unless that was changed by hand since. */
export function takeBack(key: string): void {
  const next = { ...changes.peek() };
  delete next[key];
  for (const [other, text] of Object.entries(laid.get(key) ?? {})) if (next[other] === text) delete next[other];
  laid.delete(key);
  changes.value = next;
}
