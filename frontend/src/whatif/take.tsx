/** Taking a case: into the changes in hand, or held as a letter beside them on the curves. */
import { post } from "../lib/api";
import { changes, changesKey, held, replaceChanges, say } from "../lib/state";
import type { Changes, LiveAnswer } from "../lib/types";
import { changesOf } from "../work/settings";
import { trying, type Case } from "./whatif_result";

const LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ";

/** The changes of a case, on top of those it was tried on. */
export const changesOfCase = (one: Case): Changes => ({ ...trying.of.peek(), ...changesOf(one.settings) });

function take(one: Case): void {
  replaceChanges(changesOfCase(one));
  trying.accepted.value = changesKey(changes.peek());
  say(`“${one.name}” is now on the screen. Save to build.toml to keep it.`);
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
