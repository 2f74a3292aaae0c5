import { expect, test } from "vitest";
import { changesOf, springText, targetText } from "./settings";

test("settings become changes; an empty one takes its key out", () => {
  expect(changesOf(["turbine.choked_flow=0.03 kg/s*sqrt(K)/kPa", "ambient.relative_humidity=", "a.b=x=y"])).toEqual({
    "turbine.choked_flow": "0.03 kg/s*sqrt(K)/kPa",
    "ambient.relative_humidity": null,
    "a.b": "x=y",
  });
});

test("a target is written in rpm and kPa absolute, gaps left out", () => {
  const rpm = Math.PI / 30;
  expect(targetText([1500 * rpm, 2000 * rpm, 2500 * rpm], [null, 151000, 143000.0004])).toBe(
    '{ speed = [2000, 2500], unit = "rpm", value = [151, 143], value_unit = "kPa", value_basis = "absolute" }',
  );
  expect(targetText([1500 * rpm], [151000])).toBeNull();
});

test("a spring is written in bar gauge", () => {
  expect(springText(45000.00001)).toBe("0.45 bar gauge");
});
