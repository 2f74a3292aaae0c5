/** What the server sends, as the pages read it. SI throughout; the unit is named beside the numbers. */

export interface Fault {
  file?: string | null;
  line?: number | null;
  key?: string | null;
  value?: string | null;
  message: string;
  allowed?: string | null;
  remedy?: string | null;
  severity?: string;
}

export interface Session {
  version: string;
  build: string | null;
  /** True while the solver is being compiled: the first answer takes some seconds. */
  compiling?: boolean;
  modes?: { name: string; words: string }[];
  [key: string]: unknown;
}

export interface UnitChoice {
  unit: string;
  /** user = (si - offset) / factor */
  factor: number;
  offset: number;
  basis?: string | null;
}
export type UnitTable = Record<string, UnitChoice[]>;

/** A value over an axis, as written: numbers in their units, and the same in SI while they have no faults. */
export interface Curve {
  axis: string;
  axis_unit: string;
  axis_basis: string;
  unit: string;
  basis: string;
  band: string;
  speeds: (number | string)[];
  values: (number | string)[];
  axis_si: number[];
  values_si: number[];
}

export interface Parameter {
  key: string;
  kind: string;
  also: string;
  words: string;
  /** What stands in the file, or is laid over it; null where nothing does. */
  text: string | null;
  /** What counts: the text, or what a card or a default puts there. */
  shown: string;
  si: number | null;
  unit: string;
  unit_choices: string[];
  basis: string;
  basis_choices: string[];
  /** Sibling key in which the basis may be written; empty for none. */
  basis_key: string;
  stored_basis: string;
  band: string | null;
  band_origin: string | null;
  status: "written" | "changed" | "card" | "default" | "computed" | "none";
  status_words: string;
  default: string | null;
  default_status: string;
  default_band: string;
  measured_by: string;
  low: number | null;
  high: number | null;
  low_ask: number | null;
  high_ask: number | null;
  low_ask_text: string | null;
  high_ask_text: string | null;
  choices: string[];
  example: string;
  required: boolean;
  used: boolean;
  is_curve: boolean;
  axis: string;
  many: boolean;
  /** Changes to lay along with one of this key. */
  along: Record<string, string>;
  faults: Fault[];
  warnings: Fault[];
  curve: Curve | null;
}

export interface Section {
  name: string;
  title: string;
  words: string;
  /** Stands in the file or the changes. */
  present: boolean;
  parameters: Parameter[];
}

export interface BuildForm {
  name: string;
  /** What its owner calls it. */
  title: string;
  stamp: string;
  sections: Section[];
  faults: Fault[];
  warnings: Fault[];
  cards: Record<string, string | null>;
  defaults_unconfirmed: string[];
  /** False where a line of the file cannot be read as TOML. */
  readable: boolean;
}

export type Changes = Record<string, string | null>;
export type Values = (number | null)[];

export interface LimitUse {
  name: string;
  words: string;
  unit: string;
  /** Share of the limit in use at each speed; above 1 it is broken. */
  use: Values;
  value: Values;
  limit: Values;
  source?: string;
  status?: string;
  release?: string | null;
  quantity?: string;
}

export interface Outcome {
  solved: boolean;
  reason?: string | null;
  nearest_limit?: string | null;
  message?: string | null;
}

export interface LiveAnswer {
  mode: string;
  speeds: number[];
  quantities: Record<string, Values | null>;
  units: Record<string, string>;
  outcomes: Outcome[];
  binding: (string | null)[];
  limits: LimitUse[];
  figures: Record<string, number | null>;
  faults: Fault[];
  warnings: Fault[];
}

export interface Quantity {
  name: string;
  unit: string;
  words: string;
  basis?: string | null;
  values: Values;
}

/** What `predict --json` prints; only what the pages read is typed. */
export interface Prediction {
  build: string;
  mode: string;
  quantities: Record<string, Quantity>;
  outcomes: Outcome[];
  binding_limit: (string | null)[];
  flags: { code: string; severity: string; message: string }[][];
  limits: {
    name: string;
    quantity: string;
    words: string;
    unit: string;
    source: string;
    limit: Values;
    utilisation: Values;
    status: string;
  }[];
  remarks: { code: string; message: string; value: number | string | null; unit: string; status: string }[];
  choices: { what: string; name: string; place: string; status: string; source: string }[];
  defaults_used: { key: string; value: string; status: string }[];
  warnings: string[];
  cautions: string[];
  compressor_map?: CompressorMap | null;
  [key: string]: unknown;
}

/** The map as a grid that follows the speed lines: row = line, column = from surge to choke. */
export interface CompressorMap {
  name: string;
  reference: string;
  speeds_corrected: number[];
  flow: Values[];
  pressure_ratio: Values[];
  efficiency: Values[];
  surge_flow: number[];
  surge_pressure_ratio: number[];
  measured_flow: number[];
  measured_pressure_ratio: number[];
  measured_speed?: number[];
}

export interface CardEntry {
  name: string;
  title: string;
  status: string;
  source: string;
  licence: string;
  where: "library" | "build";
  /** Why it cannot be used; empty where it can. */
  fault: string;
}

export interface Job {
  state: "waiting" | "running" | "done" | "failed" | "stopped";
  done: number;
  of: number;
  words: string;
  result?: unknown;
  faults?: Fault[];
}
