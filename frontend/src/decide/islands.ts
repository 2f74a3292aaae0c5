/**
 * Efficiency islands of a map whose grid follows the speed lines: contoured in the grid's own coordinates (d3-contour),
 * then carried over to flow and pressure ratio, so that no resampling blurs the surge side.
 */
import { contours } from "d3-contour";
import type { CompressorMap } from "../lib/types";

export interface Island {
  level: number;
  /** Rings of [flow, pressure ratio], SI. */
  rings: [number, number][][];
  /** Places on the rings that are no edge of the map: where the level may be written. */
  inside: [number, number][];
}

/** Levels a map is read by: dense near the peak, as maps are printed. */
const BELOW_PEAK = [0, 2, 4, 8, 13, 20, 30]; // per cent

export function levelsOf(map: CompressorMap): number[] {
  let best = 0;
  for (const row of map.efficiency) for (const value of row) if (value !== null && value > best) best = value;
  const top = Math.ceil(best * 100 - 1e-9) - 1;
  return BELOW_PEAK.map((below) => (top - below) / 100)
    .filter((level) => level > 0.2)
    .reverse();
}

export function islandsOf(map: CompressorMap): Island[] {
  const rows = map.flow.length;
  const columns = map.flow[0]?.length ?? 0;
  if (rows < 2 || columns < 2) return [];
  const values: number[] = [];
  for (const row of map.efficiency) for (const value of row) values.push(value ?? -1);
  const make = contours().size([columns, rows]).smooth(true).thresholds(levelsOf(map));
  return make(values).map((found) => {
    const places = found.coordinates.flatMap((polygon) => polygon.map((ring) => ring.map(([x, y]) => [(x ?? 0) - 0.5, (y ?? 0) - 0.5] as const)));
    const free = ([x, y]: readonly [number, number]) => x > 2 && x < columns - 3 && y > 0.5 && y < rows - 1.5;
    return {
      level: found.value,
      rings: places.map((ring) => ring.map(([x, y]) => carried(map, x, y))),
      inside: places.flatMap((ring) => ring.filter(free).map(([x, y]) => carried(map, x, y))),
    };
  });
}

/** A place of the grid (column, row, fractional) on the map. */
function carried(map: CompressorMap, column: number, row: number): [number, number] {
  const rows = map.flow.length;
  const columns = map.flow[0]?.length ?? 1;
  const c = Math.min(columns - 1, Math.max(0, column));
  const r = Math.min(rows - 1, Math.max(0, row));
  const [c0, r0] = [Math.min(columns - 2, Math.floor(c)), Math.min(rows - 2, Math.floor(r))];
  const [u, v] = [c - c0, r - r0];
  const mix = (grid: (number | null)[][]) => {
    const pick = (rr: number, cc: number) => grid[rr]?.[cc] ?? 0;
    return (1 - v) * ((1 - u) * pick(r0, c0) + u * pick(r0, c0 + 1)) + v * ((1 - u) * pick(r0 + 1, c0) + u * pick(r0 + 1, c0 + 1));
  };
  return [mix(map.flow), mix(map.pressure_ratio)];
}
