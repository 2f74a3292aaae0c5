import { describe, expect, it } from "vitest";
import type { CompressorMap } from "../lib/types";
import { islandsOf, levelsOf } from "./islands";

/** A sheared grid on which efficiency is a round hill in flow and pressure ratio: its islands must be circles. */
function hill(): CompressorMap {
  const flow: number[][] = [];
  const ratio: number[][] = [];
  const efficiency: number[][] = [];
  for (let row = 0; row < 41; row++) {
    const f: number[] = [];
    const p: number[] = [];
    const e: number[] = [];
    for (let column = 0; column < 61; column++) {
      const x = column / 60 + 0.2 * (row / 40);
      const y = 1 + row / 40;
      f.push(x);
      p.push(y);
      e.push(0.78 - (x - 0.6) ** 2 - (y - 1.5) ** 2);
    }
    flow.push(f);
    ratio.push(p);
    efficiency.push(e);
  }
  return { name: "", reference: "", speeds_corrected: [], flow, pressure_ratio: ratio, efficiency, surge_flow: [], surge_pressure_ratio: [], measured_flow: [], measured_pressure_ratio: [] };
}

describe("islands", () => {
  it("are levels on whole per cents below the peak, rising", () => {
    const levels = levelsOf(hill());
    expect(levels).toEqual([...levels].sort((a, b) => a - b));
    expect(Math.max(...levels)).toBeLessThan(0.78);
    for (const level of levels) expect(level * 100).toBeCloseTo(Math.round(level * 100), 9);
  });
  it("lie where the efficiency has that level, in spite of the slanting grid", () => {
    for (const island of islandsOf(hill())) {
      const radius = Math.sqrt(0.78 - island.level);
      if (radius > 0.35) continue; // those leave the grid
      const ring = island.rings[0] ?? [];
      expect(ring.length).toBeGreaterThan(8);
      for (const [flow, ratio] of ring) expect(Math.hypot(flow - 0.6, ratio - 1.5)).toBeCloseTo(radius, 2);
    }
  });
});
