import { expect, test } from "vitest";
import { find } from "./search";

const named = (key: string, words = "", status = "default") => ({ key, words, status });
const ALL = [
  named("coolant.housing", "Does water or oil cool the bearing housing?"),
  named("turbine.choked_flow", "Flow the turbine swallows when choked", "written"),
  named("turbine.choked_flow_pressure", "Reference pressure"),
  named("turbine.a_r", "Area over radius"),
  named("wastegate.valve_diameter", "Diameter of the valve head", "written"),
  named("wastegate.spring_rating", "Boost that cracks the valve", "written"),
  named("exhaust.bore", "Bore of the pipe"),
];
const keys = (typed: string) => find(ALL, typed).map((one) => one.key);

test("the trade's word leads to the key that decides it", () => {
  expect(keys("housing")[0]).toBe("turbine.choked_flow");
  expect(keys("housing")).toContain("coolant.housing");
  expect(keys("A/R")[0]).toBe("turbine.choked_flow");
  expect(keys("gate")[0]).toBe("wastegate.valve_diameter");
  expect(keys("spring")[0]).toBe("wastegate.spring_rating");
});

test("a key in full comes alone, also where others begin with it", () => {
  expect(keys("turbine.choked_flow")).toEqual(["turbine.choked_flow"]);
});

test("parts of names and explaining words find too; nonsense finds nothing", () => {
  expect(keys("valve diam")).toEqual(["wastegate.valve_diameter"]);
  expect(keys("swallows")).toEqual(["turbine.choked_flow"]);
  expect(keys("unicorn")).toEqual([]);
  expect(keys("  ")).toEqual([]);
});
