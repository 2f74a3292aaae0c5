import { expect, test } from "vitest";
import { contour, joined, nearest, pixelOf, placeFor, valuesAt, type Place } from "./geometry";

const TILTED = [
  [10, 1, 100],
  [-2, -90, 800],
  [0.001, 0.0005, 1],
];

test("values at a place go back to the place, in perspective and over decades", () => {
  for (const log of [
    [false, false],
    [true, false],
  ]) {
    const place = pixelOf(TILTED, log, 12.5, 3) as Place;
    const values = valuesAt(TILTED, log, place) as Place;
    expect(values[0]).toBeCloseTo(12.5, 9);
    expect(values[1]).toBeCloseTo(3, 9);
  }
  expect(pixelOf(TILTED, [true, false], -1, 3)).toBeNull();
});

test("a new point goes between its neighbours, or on at the nearer end", () => {
  const line: Place[] = [
    [0, 0],
    [100, 0],
    [200, 0],
  ];
  expect(placeFor(line, [50, 4], false)).toBe(1);
  expect(placeFor(line, [150, 4], false)).toBe(2);
  expect(placeFor(line, [260, 20], false)).toBe(3);
  expect(placeFor(line, [-30, 5], false)).toBe(0);
  expect(placeFor([...line, [200, 100], [0, 100]], [2, 50], true)).toBe(5);
});

test("the nearest point within reach", () => {
  expect(nearest([[0, 0], [10, 0]], [8, 1], 5)).toBe(1);
  expect(nearest([[0, 0], [10, 0]], [5, 8], 5)).toBe(-1);
});

test("a contour of a slope is a straight line", () => {
  const places: Place[][] = [0, 1, 2].map((i) => [0, 1, 2].map((j) => [i * 10, j * 10] as Place));
  const values = places.map((row) => row.map((place) => place[0]));
  const pieces = contour(places, values, 5);
  expect(pieces.length).toBe(2);
  for (const piece of pieces) for (const end of piece) expect(end[0]).toBeCloseTo(5);
  expect(contour(places, [[null, 0, 0], [10, 10, 10], [20, 20, 20]], 5).length).toBe(1);
});

test("a further stretch of a line is put on at the nearer end, once", () => {
  const line: Place[] = [
    [0, 0],
    [50, 0],
  ];
  expect(joined([], line)).toEqual(line);
  const more: Place[] = [
    [40, 1],
    [60, 0],
    [90, 0],
  ];
  expect(joined(line, more)).toEqual([...line, [60, 0], [90, 0]]);
  expect(joined(line, [...more].reverse())).toEqual([...line, [60, 0], [90, 0]]);
  expect(joined(line, [[-40, 0], [-10, 0], [5, 1]])).toEqual([[-40, 0], [-10, 0], ...line]);
  expect(joined(line, [[10, 1], [30, -1]])).toEqual(line);
});
