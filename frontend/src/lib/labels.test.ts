import { describe, expect, it } from "vitest";
import { niceRange, nearest, resample, spread } from "./labels";

describe("labels at line ends", () => {
  it("stay where they are wanted when there is room", () => {
    expect(spread([10, 40, 80], 12, 0, 100)).toEqual([10, 40, 80]);
  });
  it("part, keep their order and stay inside", () => {
    const found = spread([98, 97, 99], 12, 0, 100);
    expect(found).toEqual([88, 76, 100]);
    for (const at of found) expect(at).toBeLessThanOrEqual(100);
  });
});

describe("axis range", () => {
  it("ends on round numbers round the data and passes gaps over", () => {
    expect(niceRange([12, null, 387], true)).toEqual([0, 400]);
    expect(niceRange([812, 948, Number.NaN], false)).toEqual([800, 950]);
  });
  it("has width for a single value, and for none", () => {
    const [low, high] = niceRange([5], false);
    expect(low).toBeLessThan(5);
    expect(high).toBeGreaterThan(5);
    expect(niceRange([], false)).toEqual([0, 1]);
  });
});

describe("curves on other speeds", () => {
  it("are read by straight lines and are nothing outside or beside a gap", () => {
    expect(resample([100, 200, 300], [1, 3, null], [50, 100, 150, 250, 300])).toEqual([null, 1, 2, null, null]);
  });
  it("are handed through where the speeds are the same", () => {
    expect(resample([1, 2], [5, null], [1, 2])).toEqual([5, null]);
  });
  it("nearest speed", () => {
    expect(nearest([100, 200, 300], 260)).toBe(2);
  });
});
