import { beforeEach, expect, it } from "vitest";
import { changes, written } from "../lib/state";
import { table } from "../lib/units";
import { movedPressure, shareOfSeaLevel, withCompanions } from "./altitude";

beforeEach(() => {
  table.value = { ...table.value, length: [{ unit: "m", factor: 1, offset: 0 }, { unit: "ft", factor: 0.3048, offset: 0 }] };
  written.value = { "ambient.altitude": "0 m", "ambient.pressure": "101.3 kPa", "ambient.pressure_basis": "station" };
  changes.value = {};
});

it("the standard atmosphere of ISO 2533: 89 875, 79 495 and 54 020 Pa at 1, 2 and 5 km", () => {
  for (const [height, pressure] of [[1000, 89875], [2000, 79495], [5000, 54020]] as const)
    expect(101325 * shareOfSeaLevel(height)).toBeCloseTo(pressure, -1.2);
  expect(movedPressure(79495, 2000, 1000)).toBeCloseTo(89875, -1.2);
});

it("moving the altitude takes a station pressure along, and back again", () => {
  const up = withCompanions("ambient.altitude", "2000 m");
  // 79 495 Pa of the standard's table, brought down by today's 101.3 over 101.325
  expect(up["ambient.pressure"]).toMatch(/^79\.47\d+ kPa$/);
  expect(Number.parseFloat(up["ambient.pressure"] ?? "")).toBeCloseTo((79.495 * 101.3) / 101.325, 2);
  changes.value = up;
  expect(withCompanions("ambient.altitude", "0 m")).toEqual({ "ambient.altitude": "0 m", "ambient.pressure": "101.3 kPa" });
});

it("feet are feet, and QNH needs no help", () => {
  expect(Number.parseFloat(withCompanions("ambient.altitude", "6561.68 ft")["ambient.pressure"] ?? "")).toBeCloseTo((79.495 * 101.3) / 101.325, 2);
  written.value = { ...written.value, "ambient.pressure_basis": "QNH" };
  expect(withCompanions("ambient.altitude", "2000 m")).toEqual({ "ambient.altitude": "2000 m" });
});
