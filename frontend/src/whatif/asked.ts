/** What is picked on the what-if page; kept while the page is left, so that nothing has to be picked twice. */
import { signal } from "@preact/signals";
import { get } from "../lib/api";
import { form } from "../lib/state";
import type { Parameter } from "../lib/types";
import { cardText, commandLine, unitBehind, varyText, type CardPick, type Pick } from "./vary_text";
import { trying, type Figure } from "./whatif_result";

export const oneAtATime = signal(false);
/** Whether the build's own choices are tried, or those picked here. */
export const fromFile = signal(true);
export const picks = signal<Pick[]>([]);
export const cards = signal<CardPick[]>([]);
export const rankBy = signal("");
export const between = signal("");
export const creepFloor = signal("");
export const compare = signal<readonly number[]>([]);

export interface Basis {
  figures: ({ name: string } & Figure)[];
  written: boolean;
}
export const basis = signal<Basis | null>(null);

export async function loadBasis(): Promise<void> {
  const found = await get<Basis>("/api/jobs/whatif/figures");
  basis.value = found;
  if (!found.written && parameterOf("plan.parts")?.text == null && picks.peek().length === 0) fromFile.value = false;
}

export function parameterOf(key: string): Parameter | null {
  for (const section of form.value?.sections ?? []) for (const parameter of section.parameters) if (parameter.key === key) return parameter;
  return null;
}

const WORDS = new Set(["choice", "text"]);
const LISTS = new Set(["speeds", "days", "parts"]);
/** Keys no answer hangs on: they are for the order sheet. */
const IDLE = new Set(["turbine.a_r"]);

/** Keys that can be varied: single numbers and choices that matter now; those written come first. */
export function keysToVary(): Parameter[] {
  const found = (form.value?.sections ?? []).flatMap((section) => section.parameters.filter((one) => !one.key.endsWith(".card") && !IDLE.has(one.key) && !LISTS.has(one.kind) && one.kind !== "text" && one.used !== false));
  return [...found.filter((one) => one.status === "written"), ...found.filter((one) => one.status !== "written")];
}

/** A pick of a key with its first values: what stands there now and a step to either side. */
export function pickOf(key: string): Pick {
  const parameter = parameterOf(key);
  const text = parameter?.text ?? parameter?.shown ?? parameter?.default ?? null;
  const now = typeof text === "string" ? text : text === null ? "" : String(text);
  const number = Number.parseFloat(now);
  const around = (share: number) => (Number.isFinite(number) ? String(Number((number * share).toPrecision(3))) : "");
  const pick: Pick = { keys: key, way: "list", list: "", low: around(0.85), high: around(1.15), count: "7", step: "10 %", unit: unitBehind(now) };
  if (parameter && WORDS.has(parameter.kind)) return { ...pick, way: "choices", list: (parameter.choices ?? []).join(", "), unit: "" };
  if (oneAtATime.peek()) return { ...pick, way: parameter?.band ? "band" : "step" };
  return { ...pick, list: [around(0.9), Number.isFinite(number) ? String(number) : "", around(1.1)].filter(Boolean).join(", ") };
}

const complete = <T>(values: (T | null)[]): T[] => values.filter((value): value is T => value !== null);

export function asked(): Record<string, unknown> {
  const own = !fromFile.value;
  return {
    vary: own ? complete(picks.value.map(varyText)) : [],
    cards: own && !oneAtATime.value ? complete(cards.value.map(cardText)) : [],
    one_at_a_time: oneAtATime.value,
    rank_by: rankBy.value,
    between: between.value.trim(),
    creep_floor: creepFloor.value.trim(),
  };
}

/** The same question on the command line. */
export function command(): string {
  const now = asked();
  const lines = [
    ...(now["vary"] as string[]).map((text) => ({ option: "--vary", text })),
    ...(now["cards"] as string[]).map((text) => ({ option: "--card", text })),
    ...(oneAtATime.value ? [{ option: "--one-at-a-time", text: "" }] : []),
    ...(rankBy.value ? [{ option: "--rank-by", text: rankBy.value }] : []),
    ...(between.value.trim() ? [{ option: "--between", text: between.value.trim() }] : []),
    ...(creepFloor.value.trim() ? [{ option: "--creep-floor", text: creepFloor.value.trim() }] : []),
  ];
  return commandLine(form.value?.name ?? "BUILD", lines);
}

export function run(more: Record<string, unknown> = {}): void {
  compare.value = [];
  void trying.start({ ...asked(), ...more });
}

/** The same again, with the cases that are ticked side by side. */
export function layBeside(): void {
  void trying.start({ ...trying.asked, anew: false, resume: true, compare: compare.value.map(String) }, trying.of.peek());
}
