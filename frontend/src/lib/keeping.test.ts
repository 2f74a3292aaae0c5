import { expect, it } from "vitest";
import { readKept } from "./keeping";

it("what was kept comes back; what is no change does not", () => {
  expect(readKept('{"changes": {"a.b": "1 mm", "a.c": null, "a.d": 3}, "was": {"a.b": "2 mm", "a.d": 3}, "when": 5}')).toEqual({ changes: { "a.b": "1 mm", "a.c": null }, was: { "a.b": "2 mm" }, when: 5 });
  expect(readKept('{"changes": {"a.b": "1 mm"}, "when": 5}')).toEqual({ changes: { "a.b": "1 mm" }, was: {}, when: 5 });
  expect(readKept('{"changes": {}}')).toBeNull();
  expect(readKept("{broken")).toBeNull();
  expect(readKept(null)).toBeNull();
});
