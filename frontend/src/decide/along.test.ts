import { beforeEach, expect, it } from "vitest";
import { changes, setChange, written } from "../lib/state";
import { change, takeBack } from "./along";

const altitude = { key: "ambient.altitude", along: { "ambient.pressure": "1013.00 hPa QNH" } };
beforeEach(() => {
  written.value = { "ambient.altitude": "0 m", "ambient.pressure": "101.3 kPa" };
  takeBack("ambient.altitude");
  changes.value = {};
});

it("what comes along is laid, stays while the handle moves on, and goes with it", () => {
  change(altitude, "500 m");
  expect(changes.value).toEqual({ "ambient.altitude": "500 m", "ambient.pressure": "1013.00 hPa QNH" });
  // once laid, the server has nothing more to say along
  change({ ...altitude, along: {} }, "2000 m");
  expect(changes.value).toEqual({ "ambient.altitude": "2000 m", "ambient.pressure": "1013.00 hPa QNH" });
  change({ ...altitude, along: {} }, "0 m");
  expect(changes.value).toEqual({});
});

it("what was changed by hand since stays", () => {
  change(altitude, "500 m");
  setChange("ambient.pressure", "990 hPa QNH");
  takeBack("ambient.altitude");
  expect(changes.value).toEqual({ "ambient.pressure": "990 hPa QNH" });
});
