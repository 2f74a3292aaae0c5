/**
 * The build on the page and build.toml on disk: opened, looked at once a second, saved, and asked about where both were
 * changed. Nothing typed is lost in any order of these.
 *
 * start()                session, units, build; then everything follows by itself
 * openBuild(name)        another build
 * save()                 write the changes; where others changed the same keys `conflict` is set, and asked about by the frame
 * settleConflict(how)    the answer to it
 * answerOffer(use)       changes of another tab or day: used or dropped
 */
import { effect, signal } from "@preact/signals";
import { ApiError, buildInUse, faultsOf, get, online, post, useBuild } from "./api";
import { keep, kept, type Kept } from "./keeping";
import { again, follow, ready } from "./running";
import { bands, cardsVersion, changes, faults, form, formOf, held, live, merged, say, session, settled, thresholds, written } from "./state";
import { putTyped } from "./typing";
import type { BuildForm, Changes, Fault, Session } from "./types";
import { loadUnits } from "./units";

const LOOK = 1000;

/** Keys that stand otherwise in the file than when it was read. */
export interface Conflict {
  keys: { key: string; mine: string | null; theirs: string | null; was: string | null }[];
  stamp: string;
}
export const conflict = signal<Conflict | null>(null);
/** True while no build is open and one must be picked. */
export const picking = signal(false);
/** Unsaved changes of another tab or day, to be offered. */
export const offered = signal<Kept | null>(null);
/** What is wrong with the file as it now stands, while it cannot be read at all. */
export const unreadable = signal<Fault[] | null>(null);
export const saving = signal(false);

/** Lay the offered changes over the file, or forget them. */
export function answerOffer(use: boolean): void {
  const found = offered.peek();
  offered.value = null;
  if (use && found) putBack(found);
  keep(buildInUse() ?? "", changes.peek(), written.peek());
}

let following = false;
export async function start(): Promise<void> {
  const [found] = await Promise.all([get<Session>("/api/session"), loadUnits()]);
  session.value = found;
  const name = buildInUse() ?? found.build;
  if (name === null) picking.value = true;
  else await openBuild(name);
  if (!following) {
    following = true;
    effect(() => {
      const now = changes.value;
      if (ready.value) keep(buildInUse() ?? "", now, written.peek(), offered.peek() !== null);
    });
    follow();
    setInterval(() => void look(), LOOK);
  }
}

let opening = 0;
let opened = 0;
export async function openBuild(name: string): Promise<void> {
  putTyped();
  const before = buildInUse();
  const turn = ++opening;
  useBuild(name);
  try {
    const read = await get<BuildForm>("/api/build");
    if (turn !== opening) return; // another was picked meanwhile
    ready.value = false;
    held.value = [];
    bands.value = null;
    live.value = null;
    settled.value = null;
    faults.value = [];
    unreadable.value = null;
    cardsStamp = "";
    cardsVersion.value++;
    thresholds.value = {};
    changes.value = {};
    take(read);
    const { mine, others } = kept(name);
    offered.value = others;
    if (mine) {
      putBack(mine);
      say("Your unsaved changes are back.");
    }
    picking.value = false;
    ready.value = true;
  } catch (error) {
    if (turn !== opening) return;
    // the one before is still the one on the page
    const none = error instanceof ApiError && error.status === 404 && !ready.peek();
    useBuild(none ? null : before);
    if (!none) throw error;
    picking.value = true;
  } finally {
    if (turn === opening) opened = turn;
  }
}

/** Lay changes that were kept over the file; where the file is not as it was under one of them, ask. */
function putBack(found: Kept): void {
  changes.value = merged(changes.peek(), found.changes, written.peek());
  askAboutClashes(found.was);
}

/**
 * True where the file has changed under a change: asked about. `seen` is what stood there as far as its owner knows;
 * where both now say the same there is nothing to ask.
 */
function askAboutClashes(seen: Changes): boolean {
  const [mine, theirs] = [changes.peek(), written.peek()];
  const keys = Object.keys(seen).filter((key) => key in mine && (seen[key] ?? null) !== (theirs[key] ?? null));
  if (keys.length > 0) conflict.value = { stamp, keys: keys.map((key) => ({ key, mine: mine[key] ?? null, theirs: theirs[key] ?? null, was: seen[key] ?? null })) };
  return keys.length > 0;
}

/** The form as it stands in the file: remember what is written where. */
function take(read: BuildForm): void {
  age++;
  form.value = read;
  formOf.value = {};
  const texts: Record<string, string | null> = {};
  for (const section of read.sections)
    for (const parameter of section.parameters) {
      if (parameter.status !== "written") continue;
      texts[parameter.key] = parameter.text;
      if (parameter.basis_key && parameter.basis) texts[`${section.name}.${parameter.basis_key}`] = parameter.basis;
    }
  written.value = texts;
  stamp = read.stamp;
}
let stamp = "";
/** Goes up with every reading and writing: what was asked of the file before tells nothing any more. */
let age = 0;
let brokenStamp = "";
let cardsStamp = "";

/** Once a second: is the file still the one that was read? */
async function look(): Promise<void> {
  if (picking.peek() || conflict.peek() || saving.peek() || opening !== opened) return;
  const before = online.peek();
  const then = age;
  const overtaken = () => then !== age || conflict.peek() !== null || opening !== opened;
  try {
    const answer = await get<{ stamp: string; cards: string }>("/api/build/stamp");
    if (overtaken()) return;
    if (answer.cards !== cardsStamp) {
      if (cardsStamp !== "") {
        cardsVersion.value++;
        again();
      }
      cardsStamp = answer.cards;
    }
    if (!before) again();
    if (answer.stamp === stamp && unreadable.peek() === null) return;
    if (answer.stamp === brokenStamp && unreadable.peek() !== null) return;
    const read = await get<BuildForm>("/api/build");
    if (overtaken()) return;
    if (!read.readable) {
      // an editor in the middle of a line: the last sound state stays until the file is sound again
      brokenStamp = answer.stamp;
      unreadable.value = read.faults;
      return;
    }
    if (takeOthers(read)) say("build.toml was changed outside and has been read again.");
    again();
  } catch (error) {
    // that the server has gone the frame says by `online`
    if (error instanceof ApiError && !overtaken()) unreadable.value = error.faults;
  }
}

/** The file as others have left it, with my changes on top; false where it has to be asked which count. */
function takeOthers(read: BuildForm): boolean {
  unreadable.value = null;
  // what is being typed is a change too, and may be of what others have changed
  putTyped();
  const was = seenOf(changes.peek());
  take(read);
  // those the file now has itself fall away
  changes.value = merged({}, changes.peek(), written.peek());
  return !askAboutClashes(was);
}

/** What stands in the file under these changes, as it was last read. */
const seenOf = (of: Changes): Changes => Object.fromEntries(Object.keys(of).map((key) => [key, written.peek()[key] ?? null]));

let saveAgain = false;
/** Write the changes. Returns true when they are on disk. */
export async function save(): Promise<boolean> {
  putTyped();
  if (saving.peek()) {
    saveAgain = true;
    return false;
  }
  saving.value = true;
  try {
    for (;;) {
      saveAgain = false;
      const done = await saveOnce();
      if (!done || !saveAgain) return done;
    }
  } finally {
    saving.value = false;
  }
}

const TRIES = 3;
async function saveOnce(tried = 1): Promise<boolean> {
  age++;
  const [build, sent, seen] = [buildInUse(), changes.peek(), seenOf(changes.peek())];
  try {
    const read = await post<BuildForm>("/api/build/save", { changes: sent, stamp });
    if (build === buildInUse()) saved(read, sent, seen);
    say("Saved to build.toml.");
    return true;
  } catch (error) {
    if (error instanceof ApiError && error.status === 409 && build === buildInUse()) {
      // others were at the file since it was read: what they changed elsewhere stands, and mine is laid over it
      const read = await get<BuildForm>("/api/build").catch(() => null);
      if (read?.readable && build === buildInUse()) {
        if (!takeOthers(read)) return false;
        if (tried < TRIES) return saveOnce(tried + 1);
      }
    }
    faults.value = faultsOf(error);
    say("Not saved: see the faults.");
    return false;
  }
}

/** The file holds what was sent. What was typed, or taken back, while it was being written stays unsaved. */
function saved(read: BuildForm, sent: Changes, seen: Changes): void {
  take(read);
  const now = changes.peek();
  const typedSince = Object.entries(now).filter(([key, text]) => sent[key] !== text);
  const takenBack = Object.keys(sent).filter((key) => !(key in now)).map((key) => [key, seen[key] ?? null] as const);
  changes.value = merged({}, Object.fromEntries([...typedSince, ...takenBack]), written.peek());
}

/**
 * Answer to a conflict: "theirs" reads the file and keeps my other changes on top, "mine" writes mine over the keys I
 * changed, "drop" reads the file and forgets my changes. What else was changed in the file meanwhile is asked about anew.
 */
export async function settleConflict(how: "theirs" | "mine" | "drop"): Promise<void> {
  const open = conflict.peek();
  if (!open) return;
  let read: BuildForm;
  try {
    read = await get<BuildForm>("/api/build");
  } catch {
    return; // the frame says that the server has gone; the question stays
  }
  if (conflict.peek() !== open) return; // answered twice
  if (!read.readable) {
    brokenStamp = read.stamp;
    unreadable.value = read.faults;
    return;
  }
  unreadable.value = null;
  putTyped();
  const asked = new Set(open.keys.map((item) => item.key));
  const kept = how === "drop" ? {} : Object.fromEntries(Object.entries(changes.peek()).filter(([key]) => how === "mine" || !asked.has(key)));
  const unasked = seenOf(Object.fromEntries(Object.entries(kept).filter(([key]) => !asked.has(key))));
  take(read);
  changes.value = merged({}, kept, written.peek());
  conflict.value = null;
  if (askAboutClashes(unasked)) return;
  if (how === "mine") await save();
  else again();
}
