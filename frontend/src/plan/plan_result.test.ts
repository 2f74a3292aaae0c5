import { expect, test } from "vitest";
import { peak, spans } from "./plan_result";

test("neighbours of one name are one stretch", () => {
  expect(spans(["spool", "spool", "egt", "spool"])).toEqual([
    { name: "spool", first: 0, last: 1 },
    { name: "egt", first: 2, last: 2 },
    { name: "spool", first: 3, last: 3 },
  ]);
  expect(spans([])).toEqual([]);
});

test("the peak passes over gaps", () => {
  expect(peak([null, 3, 9, null, 4])).toEqual({ value: 9, at: 2 });
  expect(peak([null])).toBeNull();
});
