/** Taking a case: into the changes in hand, or held as a letter beside them on the curves. */
import { post } from "../lib/api";
import { changes, changesKey, held, replaceChanges, say, written } from "../lib/state";
import type { Changes, LiveAnswer } from "../lib/types";
import { changesOf } from "../work/settings";
import { trying, type Case } from "./whatif_result";

const LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ";

/** The changes of a case, on top of those it was tried on. */
export const changesOfCase = (one: Case): Changes => ({ ...trying.of.peek(), ...changesOf(one.settings) });

/** The changes in hand just after a case was taken, those among them that are not the case's, and the run it is of. */
let taken: { of: Changes; now: Changes; own: Changes } | null = null;

/**
 * Take a case. What was typed since it was tried, or since another was taken, stays, but for the case's own keys; the
 * page then says that its answers are for other values.
 */
export function take(one: Case): void {
  const of = trying.of.peek();
  const before = taken?.of === of ? taken : { now: of, own: of };
  const now = changes.peek();
  const since = [...new Set([...Object.keys(before.now), ...Object.keys(now)])].filter((key) => before.now[key] !== now[key]);
  const own = { ...before.own };
  for (const key of since) {
    if (key in now) own[key] = now[key] ?? null;
    else delete own[key];
  }
  replaceChanges({ ...own, ...changesOf(one.settings) });
  taken = { of, now: changes.peek(), own };
  const text = (from: Changes, key: string) => (key in from ? from[key] : written.peek()[key]) ?? null;
  const asTried = [...Object.keys(own), ...Object.keys(of)].every((key) => text(own, key) === text(of, key));
  if (asTried) trying.accepted.value = changesKey(changes.peek());
  say(`“${one.name}” is now on the screen${asTried ? "" : ", with what you have changed since it was tried"}. Save to build.toml to keep it.`);
}

async function hold(one: Case): Promise<void> {
  const used = new Set(held.peek().map((item) => item.letter));
  const letter = [...LETTERS].find((candidate) => !used.has(candidate));
  if (!letter) return;
  try {
    const own = changesOfCase(one);
    const answer = await post<LiveAnswer>("/api/live", { changes: own });
    held.value = [...held.value, { letter, words: one.name, changes: own, answer }];
    say(`“${one.name}” is held as ${letter} beside the curves.`);
  } catch {
    say(`“${one.name}” could not be held: the server does not answer.`);
  }
}

export function TakeButtons({ one }: { one: Case }) {
  return (
    <span class="take-case">
      <button type="button" class="link" onClick={() => take(one)} aria-label={`Take ${one.name}`}>
        take
      </button>
      <button type="button" class="link" onClick={() => void hold(one)} aria-label={`Hold ${one.name} beside the curves`}>
        hold
      </button>
    </span>
  );
}
