/**
 * The reading in hand: what was clicked, with undo and redo, kept on the server and in this browser.
 *
 * reading        the record, as the server keeps it; null while none is open
 * change(next)   a new state that can be undone; `same` joins it to the change before (a drag)
 * undo, redo
 * tool, chosen   what a click sets, and which stroke and point or mark is worked on
 * axes, fit      what the server last made of it
 */
import { computed, effect, signal } from "@preact/signals";
import { ApiError, Newest, buildInUse, faultsOf, file, get, online, post, send } from "../lib/api";
import { say } from "../lib/state";
import type { Fault } from "../lib/types";
import { joined, type Matrix, type Place } from "./geometry";

export type Role = "line" | "island" | "surge";
export interface Mark {
  pixel: Place;
  x: number | null;
  y: number | null;
}
export interface Stroke {
  role: Role;
  value: string;
  closed: boolean;
  traced: boolean;
  points: Place[];
}
export interface Axis {
  of: string;
  unit: string;
  log: boolean;
}
export interface Reading {
  digitising: number;
  name: string;
  what: string;
  picture: { file: string; width: number; height: number; sha256: string; source_sha256: string };
  x: Axis;
  y: Axis;
  model: string;
  marks: Mark[];
  strokes: Stroke[];
  facts: Record<string, string>;
}
export interface Facts {
  what: Record<string, string>;
  roles: Record<string, string>;
  facts: Record<string, string>;
  units: Record<string, string[]>;
  keys: { key: string; words: string; x: string; y: string; basis: string[] }[];
  status: Record<string, string>;
  air: string[];
}
export interface AxesFound {
  model: string;
  log: boolean[];
  to_pixels: Matrix;
  residuals: Place[];
  rms: number;
  tilt: number;
  skew: number;
  grid?: Place[][];
}
export interface LineFound {
  stroke: number;
  speed: number;
  pixels: Place[];
  corrected_flow: number[];
  pressure_ratio: number[];
  efficiency: number[];
  known: string[];
  per_pixel: (number | null)[];
  rough: (number | null)[];
}
export interface Fit {
  faults: Fault[];
  warnings: Fault[];
  changes: Record<string, string | null>;
  card: { kind: string; name: string } | null;
  axes?: AxesFound;
  lines?: LineFound[];
  islands?: { stroke: number; efficiency: number; pixels: Place[]; residuals: (number | null)[] }[];
  island_rms?: number | null;
  extrapolated?: number;
  curves?: { stroke: number; label: string; pixels: Place[]; x: number[]; y: number[]; rough: (number | null)[] }[];
  choked_flow?: { value: number; band: number[]; unit: string };
  overlay?: {
    curves: Record<string, Place[]>;
    grid: Place[][];
    surface: { pixels: Place[][]; efficiency: (number | null)[][]; levels: number[] } | null;
  };
}
export type Tool = "move" | "mark" | Role;
export interface Chosen {
  /** Number in `strokes`, from 0; -1 for none. */
  stroke: number;
  /** Number of the point in it, or of the mark while marks are set; -1 for none. */
  point: number;
}

export const facts = signal<Facts | null>(null);
export const reading = signal<Reading | null>(null);
export const picture = signal<ImageBitmap | null>(null);
export const tool = signal<Tool>("move");
export const following = signal(false);
export const chosen = signal<Chosen>({ stroke: -1, point: -1 });
/** The cross that the arrow keys move, in the picture's pixels. */
export const cross = signal<Place>([0, 0]);
export const axes = signal<AxesFound | null>(null);
export const axesFaults = signal<Fault[]>([]);
export const fit = signal<Fit | null>(null);
export const fitFaults = signal<Fault[]>([]);
export const faults = signal<Fault[]>([]);
/** "kept", "keeping", or why not. */
export const keeping = signal("");
export const clash = signal(false);
/** Steps shown: 0 what, 1 axes, 2 lines, 3 fit, 4 card. */
export const step = signal(0);

const before = signal<Reading[]>([]);
const after = signal<Reading[]>([]);
const MOST = 200;
let joining = "";
let stamp: string | null = null;

export const canUndo = computed(() => before.value.length > 0);
export const canRedo = computed(() => after.value.length > 0);
export const stroke = computed<Stroke | null>(() => reading.value?.strokes[chosen.value.stroke] ?? null);

/** A change that can be undone; changes that carry the same word one after another are one. */
export function change(next: Partial<Reading>, same = ""): void {
  const now = reading.value;
  if (!now) return;
  if (!same || same !== joining) before.value = [...before.value.slice(-MOST), now];
  joining = same;
  after.value = [];
  reading.value = { ...now, ...next };
}

/** The next change is one of its own, whatever its word. */
export function endOfJoin(): void {
  joining = "";
}

export function changeStroke(number: number, next: Partial<Stroke>, same = ""): void {
  const now = reading.value;
  if (!now) return;
  change({ strokes: now.strokes.map((old, k) => (k === number ? { ...old, ...next } : old)) }, same);
}

export function setFact(key: string, text: string): void {
  const now = reading.value;
  if (!now) return;
  const next = { ...now.facts, [key]: text };
  if (!text) delete next[key];
  change({ facts: next }, `fact ${key}`);
}

function step_(from: typeof before, to: typeof after, words: string): void {
  const last = from.value.at(-1);
  if (!last || !reading.value) return;
  to.value = [...to.value, reading.value];
  from.value = from.value.slice(0, -1);
  reading.value = last;
  joining = "";
  const { stroke, point } = chosen.value;
  if (stroke >= last.strokes.length) chosen.value = { stroke: -1, point: -1 };
  else if (stroke >= 0 && point >= (last.strokes[stroke]?.points.length ?? 0)) chosen.value = { stroke, point: -1 };
  say(words);
}
export const undo = () => step_(before, after, "Undone.");
export const redo = () => step_(after, before, "Done again.");

/** Begin with a picture; refused pictures leave everything as it was. */
export async function begin(name: string, data: Blob): Promise<boolean> {
  faults.value = [];
  try {
    const answer = await send<{ reading: Reading; stamp: string; warnings: Fault[] }>(
      `/api/digitise/readings?name=${encodeURIComponent(name)}`,
      data,
      data.type || "application/octet-stream",
    );
    await show(answer.reading, answer.stamp);
    faults.value = answer.warnings;
    step.value = 0;
    return true;
  } catch (error) {
    faults.value = faultsOf(error);
    return false;
  }
}

export async function open(name: string): Promise<void> {
  faults.value = [];
  try {
    const answer = await get<{ reading: Reading; stamp: string }>(`/api/digitise/readings/${encodeURIComponent(name)}`);
    await show(answer.reading, answer.stamp);
    const mine = keptHere(name);
    if (mine && JSON.stringify(mine) !== JSON.stringify(answer.reading)) {
      before.value = [answer.reading];
      reading.value = mine;
      say("Work of this browser that had not reached the server was taken up again; Undo gives the server's.");
    }
    step.value = answer.reading.what ? (answer.reading.strokes.length ? 2 : 1) : 0;
  } catch (error) {
    faults.value = faultsOf(error);
  }
}

async function show(next: Reading, itsStamp: string): Promise<void> {
  const data = await file(`/api/digitise/readings/${encodeURIComponent(next.name)}/picture`);
  picture.value = await createImageBitmap(data);
  before.value = after.value = [];
  stamp = itsStamp;
  keptText = JSON.stringify(next);
  clash.value = false;
  axes.value = fit.value = null;
  chosen.value = { stroke: -1, point: -1 };
  cross.value = [next.picture.width / 2, next.picture.height / 2];
  tool.value = "move";
  reading.value = next;
  keeping.value = "kept";
}

export function leave(): void {
  reading.value = null;
  picture.value = null;
  before.value = after.value = [];
}

// -- kept in this browser at once, on the server a moment later -----------------------------------

const here = (name: string) => `boostwright.reading.${buildInUse() ?? ""}.${name}`;
let keptText = "";

function keptHere(name: string): Reading | null {
  try {
    return JSON.parse(localStorage.getItem(here(name)) ?? "null") as Reading | null;
  } catch {
    return null;
  }
}

function putHere(name: string, text: string | null): void {
  try {
    if (text === null) localStorage.removeItem(here(name));
    else localStorage.setItem(here(name), text);
  } catch {
    // a full or forbidden store: the server keeps it all the same
  }
}

const keeper = new Newest<boolean>(async (over) => {
  const now = reading.peek();
  if (!now) return;
  const text = JSON.stringify(now);
  if (text === keptText) return;
  keeping.value = "keeping";
  try {
    const answer = await post<{ stamp: string }>(`/api/digitise/readings/${encodeURIComponent(now.name)}/keep`, {
      reading: now,
      stamp: over ? null : stamp,
    });
    stamp = answer.stamp;
    keptText = text;
    putHere(now.name, null);
    clash.value = false;
    keeping.value = "kept";
  } catch (error) {
    clash.value = error instanceof ApiError && error.status === 409;
    keeping.value = clash.value ? "kept elsewhere too" : "not kept on the server yet; this browser has it";
    if (!clash.value && error instanceof ApiError) faults.value = error.faults;
  }
});

/** Write this page's reading over what another page kept. */
export const keepOver = () => keeper.ask(true);

let timer = 0;
effect(() => {
  const now = reading.value;
  if (!now) return;
  const text = JSON.stringify(now);
  if (text === keptText) return;
  putHere(now.name, text);
  clearTimeout(timer);
  timer = window.setTimeout(() => {
    if (!clash.peek()) keeper.ask(false);
  }, 400);
});
// the server came back: what it missed goes to it
effect(() => {
  if (online.value && reading.peek() && !clash.peek()) keeper.ask(false);
});

// -- what the server makes of it ------------------------------------------------------------------

const axesAsk = new Newest<Reading>(async (now) => {
  try {
    axes.value = await post<AxesFound>("/api/digitise/axes", { reading: now });
    axesFaults.value = [];
  } catch (error) {
    axes.value = null;
    axesFaults.value = faultsOf(error);
  }
});
let askedAxes = "";
effect(() => {
  const now = reading.value;
  if (!now || now.marks.length === 0) {
    axes.value = null;
    askedAxes = "";
    return;
  }
  const key = JSON.stringify([now.name, now.marks, now.x, now.y, now.model]);
  if (key === askedAxes) return;
  askedAxes = key;
  const different = (values: (number | null)[]) => new Set(values.filter((value) => value !== null)).size;
  const enough = different(now.marks.map((mark) => mark.x)) > 1 && different(now.marks.map((mark) => mark.y)) > 1;
  if (enough && now.marks.every((mark) => mark.x !== null || mark.y !== null)) axesAsk.ask({ ...now, strokes: [] });
});

export const fitting = signal(false);
const fitAsk = new Newest<Reading>(async (now) => {
  fitting.value = true;
  try {
    fit.value = await post<Fit>("/api/digitise/fit", { reading: now });
    fitFaults.value = [];
  } catch (error) {
    fit.value = null;
    fitFaults.value = faultsOf(error);
  } finally {
    fitting.value = false;
  }
});
let fitTimer = 0;
effect(() => {
  const now = reading.value;
  if (!now || step.value < 3) return;
  clearTimeout(fitTimer);
  fitTimer = window.setTimeout(() => fitAsk.ask(now), 300);
});

/** Go to what a fault names: a line or island in step 3, a mark or an axis in step 2. */
export function goTo(key: string): void {
  const number = /^(?:line|island|curve) (\d+)$/.exec(key)?.[1];
  if (number) {
    step.value = 2;
    chosen.value = { stroke: Number(number) - 1, point: -1 };
    tool.value = reading.value?.strokes[Number(number) - 1]?.role ?? "move";
  } else if (/^(strokes)$/.test(key)) step.value = 2;
  else if (/^(source|licence|status|name|key|expansion|efficiency|best)/.test(key)) step.value = 4;
  else if (key === "what") step.value = 0;
  else step.value = 1;
}

/** Follow the line at a place; its points become the stroke in hand. */
export async function follow(start: Place): Promise<void> {
  const now = reading.value;
  if (!now) return;
  say("Following the line ...");
  try {
    const found = await post<{ points: Place[]; closed: boolean; ended: string[] }>(
      `/api/digitise/readings/${encodeURIComponent(now.name)}/trace`,
      { start },
    );
    const number = chosen.value.stroke;
    if (!stroke.value) return;
    const old = stroke.value.traced ? stroke.value.points : [];
    const points = found.closed ? found.points : joined(old, found.points);
    changeStroke(number, { points, closed: found.closed, traced: true });
    chosen.value = { stroke: number, point: -1 };
    say(`Followed: ${points.length} points${found.closed ? ", closed" : ""}. Ended: ${found.ended.join(" and ")}.`);
  } catch (error) {
    say(faultsOf(error).map((fault) => `${fault.message} ${fault.remedy ?? ""}`).join(" "));
  }
}
