/**
 * Changes that come with another: the server says which (`along`). A new altitude with an old station pressure would put
 * sea-level air on a mountain, so the pressure is laid as the same weather's, and goes again with the altitude's change.
 */
import { changes, formOf, setChanges, written } from "../lib/state";
import type { Changes, Parameter } from "../lib/types";

/** What came along with a key, and what the server had seen under the same keys when it said so. */
interface Laid {
  came: Changes;
  over: Record<string, string | null | undefined>;
}
const laid = new Map<string, Laid>();

/** Lay a text over a key with what comes along; the file's own text takes both away again. */
export function change(parameter: Pick<Parameter, "key" | "along">, text: string | null): void {
  const { key, along } = parameter;
  if ((written.peek()[key] ?? null) === text) takeBack(key);
  else {
    const { came, over } = comes(key, along ?? {});
    laid.set(key, { came, over });
    setChanges({ [key]: text, ...came });
  }
}

/**
 * The server's word counts for what it has seen: what was typed since is not laid over. While it has not yet answered,
 * what it said last of the same text stands: a handle may go through the file's own value and on.
 */
function comes(key: string, along: Changes): Laid {
  const [now, seen, before] = [changes.peek(), formOf.peek(), laid.get(key)];
  const again = Object.entries(before?.came ?? {}).filter(([other, text]) => now[other] === text || (now[other] === before?.over[other] && now[other] !== seen[other]));
  const fresh = Object.entries(along).filter(([other]) => now[other] === seen[other]);
  const over = { ...Object.fromEntries(again.map(([other]) => [other, before?.over[other]])), ...Object.fromEntries(fresh.map(([other]) => [other, seen[other]])) };
  return { came: Object.fromEntries([...again, ...fresh]), over };
}

/** Drop a change and what came along with it, unless that was changed by hand since. */
export function takeBack(key: string): void {
  const next = { ...changes.peek() };
  delete next[key];
  for (const [other, text] of Object.entries(laid.get(key)?.came ?? {})) if (next[other] === text) delete next[other];
  changes.value = next;
}
