/** What the last answers say at a speed, and which curves there are: live first, the settled prediction for the rest. */
import { computed } from "@preact/signals";
import { resample, nearest } from "../lib/labels";
import { cursor, live, settled } from "../lib/state";
import type { LimitUse, Values } from "../lib/types";

export const speeds = computed<readonly number[]>(() => live.value?.speeds ?? settled.value?.quantities["engine_speed"]?.values.map((value) => value ?? 0) ?? []);
export const cursorIndex = computed(() => (cursor.value === null || speeds.value.length === 0 ? -1 : nearest(speeds.value, cursor.value)));

/** A quantity along `speeds`; empty where nobody gives it. */
export function values(name: string): Values {
  const quick = live.value?.quantities[name];
  if (quick) return quick;
  const slow = settled.value?.quantities;
  const found = slow?.[name];
  if (!found) return [];
  return resample(slow?.["engine_speed"]?.values.map((value) => value ?? 0) ?? [], found.values, speeds.value);
}

export function at(name: string): number | null {
  return values(name)[cursorIndex.value] ?? null;
}

export const limits = computed<readonly LimitUse[]>(() => {
  const slow = settled.value;
  const quick = live.value?.limits;
  if (quick) return quick.map((limit) => ({ ...limit, source: limit.source ?? slow?.limits.find((item) => item.name === limit.name)?.source }));
  return [];
});

/** Name of what binds at each speed. */
export const binding = computed<readonly (string | null)[]>(() => live.value?.binding ?? settled.value?.binding_limit ?? []);

/** The compressor map, redrawn only when another one comes. */
export const compressorMap = computed(() => settled.value?.compressor_map ?? null);
