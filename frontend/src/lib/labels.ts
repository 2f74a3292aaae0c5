/** Geometry of plots: labels that do not lie on each other, ranges that do not twitch, curves on other speeds. */
import { ticks } from "./format";

/** Positions as near as may be to those wanted, at least `gap` apart and inside [low, high]; order kept. */
export function spread(wanted: readonly number[], gap: number, low: number, high: number): number[] {
  const order = wanted.map((_, index) => index).sort((a, b) => (wanted[a] ?? 0) - (wanted[b] ?? 0));
  const found = new Array<number>(wanted.length).fill(0);
  let floor = low;
  for (const index of order) {
    const at = Math.max(wanted[index] ?? 0, floor);
    found[index] = at;
    floor = at + gap;
  }
  let ceiling = high;
  for (const index of [...order].reverse()) {
    const at = Math.min(found[index] ?? 0, ceiling);
    found[index] = at;
    ceiling = at - gap;
  }
  return found;
}

/** Axis ends on round numbers round the data, so that a slider does not shake the axis at every step. */
export function niceRange(values: Iterable<number | null>, fromZero: boolean, count = 5): [number, number] {
  let low = Infinity;
  let high = -Infinity;
  for (const value of values) {
    if (value === null || !Number.isFinite(value)) continue;
    if (value < low) low = value;
    if (value > high) high = value;
  }
  if (low > high) return [0, 1];
  if (fromZero && low > 0) low = 0;
  if (high === low) {
    high += Math.abs(high) * 0.1 || 1;
    low -= fromZero ? 0 : Math.abs(low) * 0.1 || 1;
  }
  const marks = ticks(low, high, count);
  const step = marks.length > 1 ? (marks[1] ?? 1) - (marks[0] ?? 0) : (high - low) / 2;
  return [Math.floor(low / step + 1e-6) * step, Math.ceil(high / step - 1e-6) * step];
}

/** A curve read at other speeds by straight lines; null outside it and beside a gap. */
export function resample(x: readonly number[], y: readonly (number | null)[], at: readonly number[]): (number | null)[] {
  if (x.length === at.length && x.every((value, index) => value === at[index])) return [...y];
  return at.map((wanted) => {
    const after = x.findIndex((value) => value >= wanted - 1e-9);
    if (after < 0) return null;
    const right = y[after] ?? null;
    const x1 = x[after] ?? 0;
    if (Math.abs(x1 - wanted) < 1e-9 || right === null) return Math.abs(x1 - wanted) < 1e-9 ? right : null;
    const left = after > 0 ? (y[after - 1] ?? null) : null;
    const x0 = x[after - 1] ?? 0;
    return left === null ? null : left + ((right - left) * (wanted - x0)) / (x1 - x0);
  });
}

/** Index of the speed nearest to the one wanted. */
export function nearest(speeds: readonly number[], wanted: number): number {
  let best = 0;
  for (let index = 1; index < speeds.length; index++)
    if (Math.abs((speeds[index] ?? 0) - wanted) < Math.abs((speeds[best] ?? 0) - wanted)) best = index;
  return best;
}
