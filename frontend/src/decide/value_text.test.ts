import { describe, expect, it } from "vitest";
import { curveText } from "./curve_field";
import { compose, listOf, parse, trackOf, withList } from "./value_text";

const bar = { unit: "bar", factor: 1e5, offset: 0 };
const celsius = { unit: "degC", factor: 1, offset: 273.15 };
const open = { low: null, high: null };

describe("a value as written", () => {
  it("comes apart and together with its unit and basis", () => {
    expect(parse("0.6 bar gauge")).toEqual({ number: 0.6, rest: "bar gauge" });
    expect(parse("1e-3")).toEqual({ number: 0.001, rest: "" });
    expect(parse("{ speed = [1] }")).toBeNull();
    expect(parse(null)).toBeNull();
    expect(parse("3.5.1 mm")).toBeNull();
    expect(compose(0.65, "bar gauge")).toBe("0.65 bar gauge");
    expect(compose(0.30000000000000004, "")).toBe("0.3");
  });
});

describe("where a slider may go", () => {
  it("40 % to either side, inside the bounds that are asked about, in the unit written", () => {
    const track = trackOf({ number: 0.6, rest: "bar gauge" }, 6e4, { low: 1.5e4, high: 8e4 }, [bar], "pressure");
    expect(track.low).toBeCloseTo(0.36, 9);
    expect(track.high).toBeCloseTo(0.8, 9);
    expect((track.high - track.low) / track.step).toBeGreaterThanOrEqual(195);
  });
  it("temperatures and angles the whole way, with their offset", () => {
    const track = trackOf({ number: 20, rest: "degC" }, 293.15, { low: 243.15, high: 323.15 }, [celsius], "temperature");
    expect(track.low).toBeCloseTo(-30, 6);
    expect(track.high).toBeCloseTo(50, 6);
  });
  it("from nought the whole way, though nothing bounds it below", () => {
    const height = trackOf({ number: 0, rest: "m" }, 0, { low: null, high: 4500 }, [{ unit: "m", factor: 1, offset: 0 }], "length");
    expect(height).toEqual({ low: 0, high: 4500, step: 20 });
  });
  it("without bounds, or where the basis shifts the number, by the number alone", () => {
    const free = trackOf({ number: 10, rest: "mm" }, 0.01, open, [], "length");
    expect([free.low, free.high]).toEqual([6, 14]);
    const shifted = trackOf({ number: 0.6, rest: "bar gauge" }, 161325, { low: 1e5, high: 3e5 }, [bar], "pressure");
    expect(shifted.low).toBeCloseTo(0.36, 6);
  });
  it("whole numbers in whole steps, and a value outside its bounds stays reachable", () => {
    expect(trackOf({ number: 5, rest: "" }, 5, { low: 1, high: 12 }, [], "integer")).toEqual({ low: 1, high: 12, step: 1 });
    expect(trackOf({ number: 3, rest: "bar" }, 3e5, { low: 1e4, high: 2e5 }, [bar], "pressure").high).toBeCloseTo(3, 6);
  });
});

describe("a table as written", () => {
  const text = '{ speed = [2500, 3500], unit = "rpm", value = [165, 180], value_unit = "kPa" }';
  it("changes one list and nothing else", () => {
    expect(withList(text, "value", [170, 185.5])).toBe('{ speed = [2500, 3500], unit = "rpm", value = [170, 185.5], value_unit = "kPa" }');
    expect(listOf(text, "speed")).toEqual([2500, 3500]);
    expect(listOf('{ value = ["a"] }', "value")).toBeNull();
  });
});

describe("from a value to a curve", () => {
  it("says the same at every speed, with unit and basis where tables have them", () => {
    expect(curveText("1.8 bar absolute", { example: "", basis_choices: ["absolute", "gauge"] })).toBe(
      '{ speed = [1500, 3000, 4500, 6000], unit = "rpm", value = [1.8, 1.8, 1.8, 1.8], value_unit = "bar", value_basis = "absolute" }',
    );
    expect(curveText("0.9", { example: "", basis_choices: [] })).toBe('{ speed = [1500, 3000, 4500, 6000], unit = "rpm", value = [0.9, 0.9, 0.9, 0.9] }');
    expect(curveText("by a rule", { example: "", basis_choices: [] })).toBeNull();
  });
});
