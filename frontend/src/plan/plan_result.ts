/** What `plan --json` prints, as far as the page reads it; and the plan as one module-wide piece of work. */
import { Work } from "../work/work";
import type { Prediction, Values } from "../lib/types";

export interface PlanDay {
  name: string;
  words: string;
  spike: number;
  pressure_amb: number;
  held: boolean;
  worst: string[];
  worst_use: Values;
  spring_boost: Values;
}
export interface Release {
  limit: string;
  words: string;
  torque_gain: Values;
  power_gain: Values;
  peak_torque_gain: number | null;
  peak_power_gain: number | null;
  next_binding: string[];
}
export interface PartGain {
  name: string;
  settings: string[];
  price: number | null;
  currency: string;
  peak_torque_gain: number | null;
  peak_power_gain: number | null;
  mean_power_gain: number | null;
  power_per_price: number | null;
  releases: string[];
  fault: string;
}
export interface Hold {
  way: string;
  words: string;
  unit: string;
  speeds: number[];
  binding: string[];
  holds: boolean[];
  setting: Values;
  still_over: string[];
  before: Record<string, Values>;
  after: Record<string, Values>;
}
export interface Wanted {
  quantity: string;
  unit: string;
  source: string;
  wanted: Values;
  planned: Values;
  binding: string[];
}
export interface SpringChoice {
  rating: number;
  share: number | null;
  above: boolean[];
  reaches: boolean[];
}
export interface Plan {
  build: string;
  speeds: number[];
  pressure_amb: number;
  step: number;
  target: Values;
  target_gauge: Values;
  ceiling: Values;
  floor: Values;
  spool: Values;
  binding: string[];
  binding_day: string[];
  margin: Values;
  knock: { code: string; words: string; asks: boolean };
  days: PlanDay[];
  risk: null | {
    stated: number;
    found: number;
    met: boolean;
    samples: number;
    spike: number;
    lowered: Values;
    share_over: Record<string, Values>;
    words: string;
  };
  bands: Record<string, { low: Values; high: Values }>;
  spring: null | { basis: string; words: string; fitted: SpringChoice; chosen: SpringChoice | null };
  base_duty: Record<string, Values>;
  holds: Hold[];
  releases: Release[];
  parts: PartGain[];
  wanted: Wanted[];
  remarks: { code: string; message: string }[];
  prediction: { quantities: Record<string, { unit: string; values: Values }>; limits: Prediction["limits"]; cautions: string[] };
}

export const planning = new Work<Plan>("plan", "Plan", ["boost_control.target", "prediction.mode", "wastegate.spring_rating"]);

export const quantity = (plan: Plan, name: string): Values => plan.prediction.quantities[name]?.values ?? [];

/** Largest value and the place it stands at; null where there is none. */
export function peak(values: Values): { value: number; at: number } | null {
  let best: { value: number; at: number } | null = null;
  values.forEach((value, at) => {
    if (value !== null && (best === null || value > best.value)) best = { value, at };
  });
  return best;
}

export interface Span {
  name: string;
  first: number;
  last: number;
}

/** Neighbours of the same name as one stretch. */
export function spans(names: readonly string[]): Span[] {
  const found: Span[] = [];
  names.forEach((name, index) => {
    const before = found.at(-1);
    if (before?.name === name) before.last = index;
    else found.push({ name, first: index, last: index });
  });
  return found;
}
