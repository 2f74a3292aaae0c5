import { describe, expect, it } from "vitest";
import { csvOf, fileName } from "./export";
import { fixed, signed, tickDecimals, ticks } from "./format";
import { merged } from "./state";
import { kindOf, shown, toSi, toUser, unitName } from "./units";

describe("numbers", () => {
  it("thousands parted from five digits on, true minus, no minus nought", () => {
    expect(fixed(6500, 0)).toBe("6500");
    expect(fixed(84000.4, 0)).toBe("84\u2009000");
    expect(fixed(-1.25, 1)).toBe("−1.3");
    expect(fixed(-0.001, 1)).toBe("0.0");
    expect(signed(0.04, 1)).toBe("0.0");
    expect(signed(12.3, 0)).toBe("+12");
  });
  it("ticks on 1, 2, 5", () => {
    expect(ticks(0, 400, 5)).toEqual([0, 100, 200, 300, 400]);
    expect(ticks(0.9, 1.8, 5)).toEqual([1, 1.2, 1.4, 1.6, 1.8]);
    expect(tickDecimals([1, 1.2])).toBe(1);
    expect(tickDecimals([70, 72.5, 75])).toBe(1);
    expect(tickDecimals([0.02, 0.025])).toBe(3);
    expect(tickDecimals([0, 100])).toBe(0);
  });
});

describe("units", () => {
  it("temperature has an offset, a difference has none", () => {
    expect(toUser("temperature", 293.15)).toBeCloseTo(20, 9);
    expect(toSi("temperature", 20)).toBeCloseTo(293.15, 9);
    expect(kindOf("probe_radiation_error", "K")).toBe("temperature_difference");
  });
  it("margins are shares, ratios are not, pressures say their basis", () => {
    expect(kindOf("surge_margin", "1")).toBe("share");
    expect(kindOf("drive_pressure_ratio", "1")).toBe("dimensionless");
    expect(shown("boost", "Pa", 78000)).toBe("78.0\u00a0kPa gauge");
    expect(shown("pressure_em", "Pa", 201300)).toBe("201.3\u00a0kPa absolute");
    expect(shown("boost", "Pa", null)).toBe("no value");
    expect(unitName("degC")).toBe("°C");
  });
});

describe("CSV", () => {
  it("quotes what needs it, leaves gaps empty and defuses formulas", () => {
    const text = csvOf([
      { name: "torque", unit: "Nm", values: [1.5, null, -2] },
      { name: "words", unit: "-", values: ['a "b", c', "=1+1"] },
    ]);
    expect(text).toBe('torque,words\r\nNm,-\r\n1.5,"a ""b"", c"\r\n,\'=1+1\r\n-2,\r\n');
  });
  it("file names hold letters, digits and hyphens", () => {
    expect(fileName("Torque & power: A/B")).toBe("torque-power-a-b");
  });
});

describe("changes over the file", () => {
  it("fall away when they say what the file says", () => {
    const file = { "turbine.choked_flow": "0.025 x" };
    const changed = merged({}, { "turbine.choked_flow": "0.027 x" }, file);
    expect(changed).toEqual({ "turbine.choked_flow": "0.027 x" });
    expect(merged(changed, { "turbine.choked_flow": "0.025 x" }, file)).toEqual({});
    expect(merged({}, { "fuel.card": null }, file)).toEqual({});
    expect(merged({}, { "turbine.choked_flow": null }, file)).toEqual({ "turbine.choked_flow": null });
  });
});
