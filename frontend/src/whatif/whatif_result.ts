/** What `whatif --json` prints, as far as the page reads it; and the what-if as one module-wide piece of work. */
import { Work } from "../work/work";
import type { Values } from "../lib/types";

export interface Case {
  number: number;
  name: string;
  settings: string[];
  price: number | null;
  currency: string;
  figures: Record<string, number | null>;
  threshold_below_lowest_speed: boolean;
  exceeded: Record<string, [number, number]>;
  unsteady: Record<string, [number, number]>;
  asked: string[];
  reason: string;
}
export interface Figure {
  unit: string;
  words: string;
  basis: string;
  better: "more" | "less";
}
export interface Lever {
  keys: string;
  low: string;
  high: string;
  source: string;
  low_case: number;
  high_case: number;
}
export interface Cure {
  trouble: string;
  case: number | null;
  cases_with_it: number;
  cases_counted: number;
  unpriced_cases_without_it: number[];
}
export interface CasePrediction {
  quantities: Record<string, { unit: string; values: Values }>;
}
export interface WhatIf {
  name: string;
  mode: string;
  settings: string[];
  engine_speed: { unit: string; values: number[] };
  between: [number, number];
  figures: Record<string, Figure>;
  cases: Case[];
  ranked_by: string;
  ranked: number[];
  levers: Lever[];
  cures: Cure[];
  side_by_side: { case: string; prediction: CasePrediction }[];
  axes: { name?: string; key?: string; keys?: string; values: string[] }[];
  threshold_as_it_stands: string;
  warnings: string[];
}

export const trying = new Work<WhatIf>("whatif", "What-if");

/** Short headings; the words of the program stand in the table's note. */
export const FIGURE_NAMES: Record<string, string> = {
  threshold: "threshold",
  peak_power: "peak power",
  peak_power_speed: "at",
  peak_torque: "peak torque",
  torque_area: "torque area",
  mean_torque: "mean torque",
  drive_pressure_ratio: "drive ratio",
  drive_pressure_ratio_most: "highest drive ratio",
  creep_floor: "creep floor",
  surge_margin: "surge margin",
  choke_margin: "choke margin",
  shaft_speed: "shaft speed",
  egt_reading: "EGT reading",
  steady_share: "steady points",
  limits_exceeded: "limits exceeded",
};
/** As a choice in a list, where no heading beside it helps. */
export const figureChoice = (name: string): string =>
  name === "peak_power_speed" ? "speed of peak power" : name === "drive_pressure_ratio" ? "drive ratio at peak power" : figureName(name);
export const figureName = (name: string): string => FIGURE_NAMES[name] ?? name.replaceAll("_", " ");
