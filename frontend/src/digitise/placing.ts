/** What a click or Enter does, and moving, taking out, choosing of what is there. */
import { say } from "../lib/state";
import { nearest, placeFor, valuesAt, type Place } from "./geometry";
import { axes, change, changeStroke, chosen, cross, follow, following, reading, step, stroke, tool, type Role } from "./reading";
import { view } from "./view";

const REACH = 9;
const WORDS: Record<Role, string> = { line: "line", island: "island", surge: "surge line" };

/** Begin a new stroke and choose it. */
export function newStroke(role: Role): void {
  const now = reading.value;
  if (!now) return;
  change({ strokes: [...now.strokes, { role, value: "", closed: role === "island", traced: false, points: [] }] });
  chosen.value = { stroke: now.strokes.length, point: -1 };
  tool.value = role;
  say(`New ${WORDS[role]}: type its value and set its points.`);
}

export function deleteStroke(number: number): void {
  const now = reading.value;
  if (!now) return;
  change({ strokes: now.strokes.filter((_, k) => k !== number) });
  chosen.value = { stroke: -1, point: -1 };
  say("Deleted. Undo brings it back.");
}

/** Where a place lies on the axes, in words; empty while they are not known. */
export function valueWords(place: Place): string {
  const found = axes.value;
  const now = reading.value;
  if (!found || !now) return "";
  const values = valuesAt(found.to_pixels, found.log, place);
  if (!values) return "";
  const shown = values.map((value) => (Math.abs(value) >= 1000 ? value.toFixed(0) : value.toPrecision(4)));
  return `${shown[0]} ${now.x.unit}, ${shown[1]} ${now.y.unit}`.replace(/ ,/, ",").trim();
}

/** Set a mark or a point where the cross is, or take up the one that is there. */
export function place(at: Place): void {
  const now = reading.value;
  if (!now || step.value > 2) return;
  const reach = REACH / view.value.scale;
  if (step.value === 1) {
    const there = nearest(now.marks.map((mark) => mark.pixel), at, reach);
    if (there >= 0) chosen.value = { stroke: -1, point: there };
    else if (tool.value === "mark") {
      change({ marks: [...now.marks, { pixel: at, x: null, y: null }] });
      chosen.value = { stroke: -1, point: now.marks.length };
      say(`Mark ${now.marks.length + 1} set: type its value.`);
    }
    return;
  }
  if (step.value !== 2) return;
  const own = stroke.value;
  const there = own ? nearest(own.points, at, reach) : -1;
  if (own && there >= 0 && !following.value) {
    chosen.value = { stroke: chosen.value.stroke, point: there };
    say(`Point ${there + 1} of ${own.points.length}. Arrow keys move it, Delete takes it out.`);
    return;
  }
  if (tool.value === "move") {
    now.strokes.forEach((other, k) => {
      const point = nearest(other.points, at, reach);
      if (point >= 0) chosen.value = { stroke: k, point };
    });
    return;
  }
  if (!own) {
    if (tool.value === "line" || tool.value === "island" || tool.value === "surge") newStroke(tool.value);
    place(at);
    return;
  }
  if (following.value) {
    void follow(at);
    return;
  }
  const number = chosen.value.stroke;
  const where = placeFor(own.points, at, own.closed);
  changeStroke(number, { points: [...own.points.slice(0, where), at, ...own.points.slice(where)], traced: false });
  chosen.value = { stroke: number, point: -1 };
  say(`Point ${where + 1} of ${own.points.length + 1}: ${valueWords(at)}`);
}

/** Move the chosen point or mark there; moves of one drag are one change. */
export function movePoint(to: Place, same: string): void {
  const now = reading.value;
  const { stroke: number, point } = chosen.value;
  if (!now || point < 0) return;
  if (number < 0) change({ marks: now.marks.map((mark, k) => (k === point ? { ...mark, pixel: to } : mark)) }, same);
  else {
    const own = now.strokes[number];
    if (own) changeStroke(number, { points: own.points.map((old, k) => (k === point ? to : old)), traced: false }, same);
  }
}

export function deletePoint(): void {
  const now = reading.value;
  const { stroke: number, point } = chosen.value;
  if (!now || point < 0) return;
  if (number < 0) change({ marks: now.marks.filter((_, k) => k !== point) });
  else {
    const own = now.strokes[number];
    if (own) changeStroke(number, { points: own.points.filter((_, k) => k !== point) });
  }
  chosen.value = { stroke: number, point: -1 };
  say("Taken out. Undo brings it back.");
}

/** Where the chosen point or mark is; null for none. */
export function chosenPlace(): Place | null {
  const { stroke: number, point } = chosen.value;
  if (point < 0) return null;
  return (number < 0 ? reading.value?.marks[point]?.pixel : reading.value?.strokes[number]?.points[point]) ?? null;
}

/** Go on to the next point (or mark) of what is in hand. */
export function nextPoint(by: number): void {
  const now = reading.value;
  if (!now) return;
  const { stroke: number, point } = chosen.value;
  const count = step.value === 1 ? now.marks.length : (now.strokes[number]?.points.length ?? 0);
  if (count === 0) return;
  const next = (point + by + count) % count;
  chosen.value = { stroke: step.value === 1 ? -1 : number, point: next };
  const there = chosenPlace();
  if (there) {
    cross.value = there;
    say(`${step.value === 1 ? "Mark" : "Point"} ${next + 1} of ${count}: ${valueWords(there)}`);
  }
}
