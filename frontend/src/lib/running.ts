/**
 * Keeps `form`, `live` and `settled` in step with `changes`.
 *
 * follow()         once, after the first build is open: then everything is asked by itself
 * again()          ask for the same case once more
 *
 * A move of a slider asks /api/live at once (one in flight, newest wins). What live does not carry (the form's faults and
 * statuses, the whole prediction) is asked 250 ms after the last move.
 */
import { effect, signal } from "@preact/signals";
import { Newest, buildInUse, faultsOf, get, online, post } from "./api";
import { changes, changesKey, cursor, dragging, faults, form, formOf, live, session, settled, thresholds } from "./state";
import type { BuildForm, Changes, LiveAnswer, Prediction, Session } from "./types";

const SETTLE = 250;

/** True once the first answers are in. */
export const ready = signal(false);

/** True while an answer takes so long that it has to be said. */
export const slow = signal(false);
const SLOW = 1200;

/** The last answer drawn was a rough one: the exact one is asked once the hand rests. */
let roughDrawn = false;

/** Questions in their order, and the newest that was answered: an exact answer that comes late is passed by. */
let asked = 0;
let answeredTo = 0;

interface Question {
  changes: Changes;
  rough: boolean;
  turn: number;
}

async function answered({ turn, ...ask }: Question): Promise<void> {
  if (turn < asked) return; // it waited, and a newer one came
  const build = buildInUse();
  const patience = setTimeout(() => {
    slow.value = true;
    get<Session>("/api/session").then(
      (found) => (session.value = found),
      () => undefined,
    );
  }, SLOW);
  try {
    const answer = await post<LiveAnswer>("/api/live", { ...ask, speeds: finer() });
    if (turn < answeredTo || build !== buildInUse()) return;
    answeredTo = turn;
    roughDrawn = ask.rough;
    live.value = answer;
    markRedrawn();
    faults.value = answer.faults ?? [];
    if (cursor.peek() === null) cursor.value = middle(answer.speeds);
  } catch (error) {
    if (turn !== asked) return;
    answeredTo = turn;
    if (online.peek()) faults.value = faultsOf(error);
  } finally {
    clearTimeout(patience);
    slow.value = false;
  }
}

/** While a hand moves and once it rests: each in its own order, so that a move never waits for an exact answer. */
const moving = new Newest(answered);
const resting = new Newest(answered);
const ask = (now: Changes, rough: boolean) => (rough ? moving : resting).ask({ changes: now, rough, turn: ++asked });

/** For measuring: "slider" is marked where a handle moves, "redrawn" when the frame with its answer is painted. */
function markRedrawn(): void {
  requestAnimationFrame(() => {
    performance.clearMarks("redrawn");
    performance.mark("redrawn");
  });
}

const MOST_COARSE = 30;
/** The build's own speeds and those half way between: smooth curves that still stop at round numbers. */
function finer(): number[] | null {
  const own = settled.peek()?.quantities["engine_speed"]?.values;
  if (!own || own.length > MOST_COARSE) return null;
  const found: number[] = [];
  own.forEach((value, index) => {
    if (value === null) return;
    const before = own[index - 1];
    if (before !== null && before !== undefined) found.push((before + value) / 2);
    found.push(value);
  });
  return found.length > 0 ? found : null;
}

const askExact = () => ask(changes.peek(), false);

const settling = new Newest<Changes>(async (ask) => {
  if (roughDrawn) askExact();
  const build = buildInUse();
  const results = await Promise.allSettled([
    post<BuildForm>("/api/build/check", { changes: ask }),
    post<Prediction>("/api/predict", { changes: ask }),
  ]);
  if (build !== buildInUse()) return;
  const [checked, predicted] = results;
  if (checked.status === "fulfilled") {
    form.value = checked.value;
    formOf.value = ask;
  }
  if (predicted.status === "fulfilled") {
    const speedsBefore = finer();
    settled.value = predicted.value;
    const threshold = predicted.value.remarks.find((remark) => remark.code === "threshold")?.value;
    thresholds.value = { ...thresholds.peek(), [changesKey(ask)]: typeof threshold === "number" ? threshold : null };
    // the first prediction, and one with other speeds, brings the finer points with it
    if (JSON.stringify(speedsBefore) !== JSON.stringify(finer())) askExact();
  }
  // faults of values that have been mended meanwhile are none
  else if (online.peek() && ask === changes.peek()) faults.value = faultsOf(predicted.reason);
});

function middle(speeds: readonly number[]): number | null {
  return speeds[Math.floor(speeds.length * 0.6)] ?? null;
}

let timer: ReturnType<typeof setTimeout> | undefined;
/** From now on, ask for whatever is changed. */
export function follow(): void {
  effect(() => {
    const now = changes.value;
    if (!ready.value) return;
    ask(now, dragging.peek());
    clearTimeout(timer);
    timer = setTimeout(() => settling.ask(now), SETTLE);
  });
}

/** Ask again for the case in hand: after a card was saved, or when the server is back. */
export function again(): void {
  askExact();
  settling.ask(changes.peek());
}
