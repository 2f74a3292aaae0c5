/** A plot drawn from its data, for PNG and SVG: same lines, dashes and labels as on the screen. */
import { fixed, tickDecimals, ticks } from "./format";
import { DASHES, type Inks } from "./inks";
import { niceRange, spread } from "./labels";
import { axisWords, kindOfLine, userValues, type PlotLine, type PlotSpec } from "./plot_spec";
import type { Points, Surface } from "./surface";
import { column, unitName, unitOf } from "./units";

const TOP = 64;
const LEFT = 64;
const BOTTOM = 66;
const RIGHT = 150;

/** Ends of one side's axis, in user units. */
export function rangeOf(spec: PlotSpec, right: boolean): [number, number] {
  const all: (number | null)[] = [];
  for (const line of spec.lines) {
    if (Boolean(line.right) !== right) continue;
    all.push(...userValues(spec, line));
    if (line.band) all.push(...column(kindOfLine(spec, line), line.band.low), ...column(kindOfLine(spec, line), line.band.high));
  }
  return niceRange(all, spec.fromZero ?? false);
}

export function drawPlot(surface: Surface, spec: PlotSpec, width: number, height: number, inks: Inks): void {
  const box = { x: LEFT, y: TOP, width: width - LEFT - RIGHT, height: height - TOP - BOTTOM };
  const speeds = column("rotational_speed", spec.speeds).map((value) => value ?? 0);
  const [x0, x1] = [speeds[0] ?? 0, speeds.at(-1) ?? 1];
  const ranges = [rangeOf(spec, false), rangeOf(spec, true)] as const;
  const px = (value: number) => box.x + ((value - x0) / (x1 - x0 || 1)) * box.width;
  const py = (value: number, right: boolean) => {
    const [low, high] = ranges[right ? 1 : 0];
    return box.y + box.height - ((value - low) / (high - low || 1)) * box.height;
  };
  surface.text(LEFT, 24, spec.title, { ink: inks.ink, size: 17, weight: 600 });
  surface.text(LEFT, 46, axisWords(spec), { ink: inks.soft, size: 13 });
  drawGrid(surface, spec, box, [x0, x1], ranges, px, py, inks);
  const points = (line: PlotLine, values: readonly (number | null)[]): Points =>
    values.map((value, index) => (value === null ? null : ([px(speeds[index] ?? 0), py(value, Boolean(line.right))] as const)));
  for (const line of spec.lines) {
    if (!line.band) continue;
    const kind = kindOfLine(spec, line);
    const low = points(line, column(kind, line.band.low)).filter((point) => point !== null);
    const high = points(line, column(kind, line.band.high)).filter((point) => point !== null);
    surface.fill([[...low, ...high.reverse()]], inks.lines[line.ink ?? 0], 0.14);
  }
  const ends: { line: PlotLine; x: number; y: number }[] = [];
  const letters: typeof ends = [];
  for (const line of spec.lines) {
    const path = points(line, userValues(spec, line));
    const thin = line.letter !== undefined || line.bound === true;
    surface.line(path, { ink: inks.lines[line.ink ?? 0], width: thin ? 1.2 : 2.2, dash: DASHES[line.dash ?? (line.letter ? 1 : (line.ink ?? 0))] ?? [] });
    const last = path.findLast((point) => point !== null);
    if (last && line.letter) letters.push({ line, x: last[0], y: last[1] });
    else if (last) ends.push({ line, x: last[0], y: last[1] });
  }
  letters.forEach(({ line, x, y }, index) =>
    surface.text(x - 9 - 12 * (index % 3), y, line.letter ?? "", { ink: inks.lines[line.ink ?? 0], size: 13, weight: 700, align: "center", halo: inks.sheet }),
  );
  const at = spread(ends.map((end) => end.y), 16, box.y, box.y + box.height);
  ends.forEach(({ line }, index) => {
    surface.text(box.x + box.width + (spec.rightKind ? 46 : 8), at[index] ?? 0, line.label, { ink: inks.lines[line.ink ?? 0], size: 13, weight: 500 });
  });
}

interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

function drawGrid(
  surface: Surface,
  spec: PlotSpec,
  box: Box,
  [x0, x1]: readonly [number, number],
  ranges: readonly [readonly [number, number], readonly [number, number]],
  px: (value: number) => number,
  py: (value: number, right: boolean) => number,
  inks: Inks,
): void {
  const bottom = box.y + box.height;
  const along = ticks(x0, x1, 7);
  for (const value of along) {
    surface.line([[px(value), box.y], [px(value), bottom]], { ink: inks.grid });
    surface.text(px(value), bottom + 16, fixed(value, tickDecimals(along)), { ink: inks.soft, size: 12, align: "center" });
  }
  const up = ticks(ranges[0][0], ranges[0][1], 5);
  for (const value of up) {
    surface.line([[box.x, py(value, false)], [box.x + box.width, py(value, false)]], { ink: inks.grid });
    surface.text(box.x - 8, py(value, false), fixed(value, tickDecimals(up)), { ink: inks.soft, size: 12, align: "right" });
  }
  if (spec.rightKind) {
    const marks = ticks(ranges[1][0], ranges[1][1], 5);
    for (const value of marks)
      surface.text(box.x + box.width + 6, py(value, true), fixed(value, tickDecimals(marks)), { ink: inks.soft, size: 12 });
  }
  surface.line([[box.x, bottom], [box.x + box.width, bottom]], { ink: inks.ink });
  surface.text(box.x + box.width / 2, bottom + 38, `engine speed, ${unitName(unitOf("rotational_speed").unit)}${spec.note ? `; ${spec.note}` : ""}`, { ink: inks.soft, size: 13, align: "center" });
}
