/** Bands as one module-wide piece of work: run by a button, laid on the curves while the values they belong to stand. */
import { effect, signal } from "@preact/signals";
import { bands, changes, changesKey } from "../lib/state";
import type { Values } from "../lib/types";
import { Work } from "../work/work";

export interface Contributor {
  doubt: string;
  share: number | null;
  sensitivity: number | null;
}
export interface Headline {
  code: string;
  words: string;
  quantity: string;
  unit: string;
  nominal: number | null;
  low: number | null;
  middle: number | null;
  high: number | null;
  unexplained: number | null;
  answered: number | null;
  contributors: Contributor[];
}
export interface Doubt {
  name: string;
  words: string;
  status: string;
  nominal: string;
  band: string;
  source: string;
  measure: string;
}
export interface Banded {
  quantities: Record<string, { unit: string; values: Values }>;
  bands: {
    samples: number;
    seed: number;
    quantities: Record<string, { unit: string; low: Values; middle: Values; high: Values }>;
    headlines: Headline[];
    doubts: Doubt[];
    taken_as_exact: string[];
    notes: string[];
  };
}

export const banding = new Work<Banded>("bands", "Bands");
export const samples = signal(1000);
export const seed = signal(1);

export const draw = (): void => void banding.start({ samples: samples.value, seed: seed.value });

// the curves of every page take their bands from here
effect(() => {
  const found = banding.result.value;
  if (!found) return;
  const speeds = (found.quantities["engine_speed"]?.values ?? []).filter((value): value is number => value !== null);
  bands.value = { speeds, quantities: found.bands.quantities, of: banding.stale.value ? "other values" : changesKey(changes.value) };
});
