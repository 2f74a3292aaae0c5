import { expect, test } from "vitest";
import { LIGHT } from "../lib/inks";
import { SvgSurface } from "../lib/surface";
import { byReach, drawTornado, scaleOf, type Bar } from "./tornado_drawing";

const bar = (keys: string, atLow: number | null, atHigh: number | null): Bar => ({ keys, low: "a", high: "b", atLow, atHigh });

test("what moves most stands first, also where both ends lie on one side", () => {
  const order = byReach([bar("still", 10, 10), bar("one side", 14, 12), bar("wide", 9, 13), bar("none", null, null)], 10);
  expect(order.map((one) => one.keys)).toEqual(["one side", "wide", "still", "none"]);
});

test("the scale holds every end and the value now", () => {
  const [low, high] = scaleOf([bar("a", 4, null), bar("b", null, 12)], 10);
  expect(low).toBeLessThan(4);
  expect(high).toBeGreaterThan(12);
  const [left, right] = scaleOf([bar("a", 0, 0)], 0);
  expect(right).toBeGreaterThan(left);
});

test("the picture names every key and both of its ends", () => {
  const surface = new SvgSurface(960, 560, "Tornado", "#fff");
  drawTornado(surface, [bar("turbine.choked_flow", 8, 12)], 10, "Tornado", String, 960, 560, LIGHT);
  expect(surface.toString()).toContain("turbine.choked_flow");
  expect(surface.toString()).toContain("a .. b");
});
