/**
 * What all pages share. Signals: read `.value` in a component and it redraws by itself.
 *
 * session, form            what the server said of the program and of the build (form = with `changes` laid over)
 * changes                  key -> text laid over build.toml, null takes the key out; written only by `save()`
 * setChange, dropChange, dropAll, replaceChanges
 * live, settled            the last answers of /api/live and /api/predict for `changes` (kept by lib/running.ts)
 * cursor                   the ONE engine speed pointed at, rad/s; every plot, strip and map follows it
 * held                     cases held side by side, with letters
 * bands                    quantity -> {low, high} along `bandSpeeds`, once a bands job has answered
 * notices                  short messages for the status line (role=status)
 */
import { computed, signal } from "@preact/signals";
import type { BuildForm, Changes, Fault, LiveAnswer, Prediction, Session } from "./types";
import { forgetTyped, typed } from "./typing";

export const session = signal<Session | null>(null);
export const form = signal<BuildForm | null>(null);
/** The changes that lay over the file when the server made `form`. */
export const formOf = signal<Changes>({});
export const changes = signal<Changes>({});
export const live = signal<LiveAnswer | null>(null);
export const settled = signal<Prediction | null>(null);
/** Faults of the last answer, whoever gave it. */
export const faults = signal<Fault[]>([]);
/** True while a slider is held: what is slow waits. */
export const dragging = signal(false);

/** Engine speed pointed at, rad/s; null before the first answer. */
export const cursor = signal<number | null>(null);

export interface Held {
  letter: string;
  words: string;
  changes: Changes;
  answer: LiveAnswer;
}
export const held = signal<Held[]>([]);

export interface Bands {
  speeds: number[];
  quantities: Record<string, { low: (number | null)[]; high: (number | null)[] }>;
  /** The changes the bands were worked out for: they are drawn only while these stand. */
  of: string;
}
export const bands = signal<Bands | null>(null);

/** Threshold [rad/s] of each case that was predicted whole, under its `changesKey`. */
export const thresholds = signal<Record<string, number | null>>({});

/** Goes up when a card of the build was added or changed: lists of cards are read again. */
export const cardsVersion = signal(0);

/** True while something would be lost if the page went: changes, or a text half-typed. */
export const dirty = computed(() => Object.keys(changes.value).length > 0 || typed.value !== null);
/** Bands, if they belong to the case in hand. */
export const bandsNow = computed(() => (bands.value && bands.value.of === changesKey(changes.value) ? bands.value : null));

/** The text a key has in the file; null where it is not written there. */
export const written = signal<Record<string, string | null>>({});

export function changesKey(of: Changes): string {
  return JSON.stringify(Object.entries(of).sort(([a], [b]) => (a < b ? -1 : 1)));
}

/** Lay a text over a key; laying the file's own text takes the change away again. */
export function setChange(key: string, text: string | null): void {
  setChanges({ [key]: text });
}

export function setChanges(more: Changes): void {
  changes.value = merged(changes.value, more, written.value);
}

/** `changes` with `more` laid over, less what now stands in the file anyway. */
export function merged(now: Changes, more: Changes, file: Record<string, string | null>): Changes {
  const next = { ...now };
  for (const [key, text] of Object.entries(more)) {
    if ((file[key] ?? null) === text) delete next[key];
    else next[key] = text;
  }
  return next;
}

export function dropChange(key: string): void {
  const { [key]: _gone, ...rest } = changes.value;
  changes.value = rest;
}

export function dropAll(): void {
  forgetTyped();
  changes.value = {};
  say("Changes dropped: the curves are those of the file again.");
}

export function replaceChanges(by: Changes): void {
  forgetTyped();
  changes.value = merged({}, by, written.value);
}

const LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"; // no I and O: they read as 1 and 0

/** Hold the case in hand beside the next ones; returns its letter, or null when there is nothing to hold yet. */
export function holdPresent(words: string): string | null {
  if (!live.value) return null;
  const used = new Set(held.value.map((item) => item.letter));
  const letter = [...LETTERS].find((candidate) => !used.has(candidate));
  if (!letter) return null;
  held.value = [...held.value, { letter, words, changes: { ...changes.value }, answer: live.value }];
  return letter;
}

export function letGo(letter: string): void {
  held.value = held.value.filter((item) => item.letter !== letter);
}

export const notice = signal("");
/** Say something in the status line; screen readers hear it. */
export function say(words: string): void {
  notice.value = words;
  clearTimeout(silence);
  silence = setTimeout(() => (notice.value = ""), 4000);
}
let silence: ReturnType<typeof setTimeout> | undefined;
