import { beforeEach, expect, it } from "vitest";
import { changes, setChange, written } from "../lib/state";
import { take } from "./take";
import { trying, type Case } from "./whatif_result";

const tried = (name: string, ...settings: string[]) => ({ name, settings }) as unknown as Case;
const larger = tried("larger", "turbine.choked_flow=0.03 kg/s*sqrt(K)/kPa");
const softer = tried("softer", "wastegate.spring_rating=0.5 bar gauge");

beforeEach(() => {
  written.value = { "engine.bore": "83 mm", "engine.stroke": "92 mm" };
  trying.of.value = { "engine.bore": "83.5 mm" };
  changes.value = trying.of.value;
});

it("a case is laid over what it was tried on, and another takes its place", () => {
  take(larger);
  expect(changes.value).toEqual({ "engine.bore": "83.5 mm", "turbine.choked_flow": "0.03 kg/s*sqrt(K)/kPa" });
  take(softer);
  expect(changes.value).toEqual({ "engine.bore": "83.5 mm", "wastegate.spring_rating": "0.5 bar gauge" });
});

it("what was typed or taken back since it was tried stays", () => {
  setChange("engine.stroke", "93 mm");
  setChange("engine.bore", "83 mm");
  take(larger);
  expect(changes.value).toEqual({ "engine.stroke": "93 mm", "turbine.choked_flow": "0.03 kg/s*sqrt(K)/kPa" });
  setChange("engine.bore", "84 mm");
  take(softer);
  expect(changes.value).toEqual({ "engine.bore": "84 mm", "engine.stroke": "93 mm", "wastegate.spring_rating": "0.5 bar gauge" });
});
