import { beforeEach, expect, it } from "vitest";
import { changes, formOf, setChange, written } from "../lib/state";
import { change, takeBack } from "./along";

const altitude = { key: "ambient.altitude", along: { "ambient.pressure": "1013.00 hPa QNH" } };
beforeEach(() => {
  written.value = { "ambient.altitude": "0 m", "ambient.pressure": "101.3 kPa" };
  takeBack("ambient.altitude");
  changes.value = {};
  formOf.value = {};
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

it("what was changed by hand since is not laid over when the handle moves on", () => {
  change(altitude, "500 m");
  setChange("ambient.pressure", "990 hPa QNH");
  change({ ...altitude, along: {} }, "2000 m");
  expect(changes.value).toEqual({ "ambient.altitude": "2000 m", "ambient.pressure": "990 hPa QNH" });
});

it("a pressure typed before the server has answered is not laid over; one it has seen is brought along", () => {
  setChange("ambient.pressure", "95 kPa");
  change(altitude, "500 m");
  expect(changes.value).toEqual({ "ambient.altitude": "500 m", "ambient.pressure": "95 kPa" });
  takeBack("ambient.altitude");
  formOf.value = changes.value;
  change({ ...altitude, along: { "ambient.pressure": "950.00 hPa QNH" } }, "500 m");
  expect(changes.value).toEqual({ "ambient.altitude": "500 m", "ambient.pressure": "950.00 hPa QNH" });
});

it("a handle that goes through the file's own value and on still brings along, before the server has answered", () => {
  change(altitude, "500 m");
  formOf.value = changes.value;
  change({ ...altitude, along: {} }, "0 m");
  change({ ...altitude, along: {} }, "300 m");
  expect(changes.value).toEqual({ "ambient.altitude": "300 m", "ambient.pressure": "1013.00 hPa QNH" });
  // once it has, only what it says counts: another file may hold another weather
  change({ ...altitude, along: {} }, "0 m");
  formOf.value = {};
  change({ ...altitude, along: {} }, "300 m");
  expect(changes.value).toEqual({ "ambient.altitude": "300 m" });
});
