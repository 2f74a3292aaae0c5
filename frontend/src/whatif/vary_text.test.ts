import { expect, test } from "vitest";
import { cardText, casesOf, commandLine, unitBehind, valuesOf, varyText, type Pick } from "./vary_text";

const empty: Pick = { keys: "wastegate.valve_diameter", way: "list", list: "", low: "", high: "", count: "", step: "", unit: "mm" };

test("each way of picking is a line the what-if reads", () => {
  expect(varyText({ ...empty, list: "38, 44 ,50" })).toBe("wastegate.valve_diameter=38, 44, 50 mm");
  expect(varyText({ ...empty, way: "range", low: "0.022", high: "0.032", count: "6", unit: "kg/s*sqrt(K)/kPa" })).toBe(
    "wastegate.valve_diameter=0.022:0.032:6 kg/s*sqrt(K)/kPa",
  );
  expect(varyText({ ...empty, way: "step", step: "10 %" })).toBe("wastegate.valve_diameter=+- 10 %");
  expect(varyText({ ...empty, way: "ends", low: "38", high: "50" })).toBe("wastegate.valve_diameter=38, 50 mm");
  expect(varyText({ ...empty, way: "band" })).toBe("wastegate.valve_diameter");
  expect(varyText({ ...empty, way: "choices", list: "gardel, idelchik", unit: "" })).toBe("wastegate.valve_diameter=gardel, idelchik");
});

test("what is not complete is no line and no case", () => {
  expect(varyText(empty)).toBeNull();
  expect(varyText({ ...empty, list: "38" })).toBeNull();
  expect(varyText({ ...empty, keys: " " })).toBeNull();
  expect(varyText({ ...empty, way: "range", low: "1", high: "2" })).toBeNull();
  expect(valuesOf(empty)).toBe(0);
  expect(cardText({ kind: "compressor", names: [] })).toBeNull();
});

test("cases multiply; one at a time they add up", () => {
  const three = { ...empty, list: "1, 2, 3" };
  const four = { ...empty, way: "range" as const, low: "1", high: "4", count: "4" };
  const cards = [{ kind: "compressor", names: ["a", "b"] }];
  expect(casesOf([three, four], cards, false)).toBe(24);
  expect(casesOf([three, empty], [], false)).toBe(3);
  expect(casesOf([{ ...empty, way: "band" }, { ...empty, way: "step", step: "5 %" }], cards, true)).toBe(4);
  expect(casesOf([empty], [], false)).toBe(0);
});

test("the unit in the file is kept, its band is not", () => {
  expect(unitBehind("0.6 bar gauge +- 0.05 bar")).toBe("bar gauge");
  expect(unitBehind("44 mm")).toBe("mm");
  expect(unitBehind("0.72 ± 0.1")).toBe("");
  expect(unitBehind(null)).toBe("");
});

test("the command line is what a shell would take", () => {
  expect(commandLine("estate", [{ option: "--vary", text: "a.b=1, 2 mm" }, { option: "--one-at-a-time", text: "" }])).toBe(
    'boostwright whatif estate --vary "a.b=1, 2 mm" --one-at-a-time',
  );
});
