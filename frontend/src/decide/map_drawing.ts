/** The compressor map drawn on a surface: islands, speed lines, surge line, operating line. Screen and export alike. */
import { fixed, tickDecimals, ticks } from "../lib/format";
import { DASHES, type Inks } from "../lib/inks";
import { niceRange } from "../lib/labels";
import type { Points, Surface } from "../lib/surface";
import type { CompressorMap, Values } from "../lib/types";
import { toUser, unitName, unitOf } from "../lib/units";
import type { Island } from "./islands";

export interface OperatingLine {
  letter: string | null;
  speeds: readonly number[];
  flow: Values;
  ratio: Values;
}
export interface MapView {
  map: CompressorMap;
  islands: readonly Island[];
  lines: readonly OperatingLine[];
  title: string;
}
export interface Frame {
  x: number;
  y: number;
  width: number;
  height: number;
  px: (flow: number) => number;
  py: (ratio: number) => number;
}

/** Where the map lies on paper: its own extent, so that it stands still while the operating line moves. */
export function frameOf(map: CompressorMap, width: number, height: number, head: number, inks: Inks): Frame {
  const flows: (number | null)[] = map.flow.flat().map((value) => (value === null ? null : toUser("mass_flow", value)));
  const [, x1] = niceRange(flows, true, 6);
  const [, y1] = niceRange([1, ...map.pressure_ratio.flat()], false, 6);
  const [left, right, bottom] = [44 * inks.size, 46 * inks.size, 44 * inks.size];
  const box = { x: left, y: head + 8, width: width - left - right, height: height - head - 8 - bottom };
  return {
    ...box,
    px: (flow) => box.x + (toUser("mass_flow", flow) / (x1 || 1)) * box.width,
    py: (ratio) => box.y + box.height - ((ratio - 1) / (y1 - 1 || 1)) * box.height,
  };
}

/** Everything that stands still: drawn once and kept. */
export function drawMap(surface: Surface, view: MapView, frame: Frame, inks: Inks): void {
  const { map } = view;
  drawAxes(surface, map, frame, inks);
  surface.clip(frame.x, frame.y, frame.width, frame.height, () => {
    view.islands.forEach((island, index) => {
      const share = view.islands.length > 1 ? index / (view.islands.length - 1) : 1;
      const rings = island.rings.map((ring): Points => ring.map(([flow, ratio]) => [frame.px(flow), frame.py(ratio)] as const));
      surface.fill(rings, mixed(inks.islands[0], inks.islands[1], share));
      for (const ring of rings) surface.line(ring, { ink: inks.soft, width: 0.6 * inks.weight });
    });
    map.flow.forEach((row, index) => {
      const measured = isMeasured(map, index);
      const path = pathOf(row, map.pressure_ratio[index] ?? [], frame);
      surface.line(path, { ink: inks.ink, width: (measured ? 1 : 0.7) * inks.weight, dash: measured ? [] : [4, 3] });
    });
    surface.line(pathOf(map.surge_flow, map.surge_pressure_ratio, frame), { ink: inks.limit, width: 2 * inks.weight, dash: DASHES[3] });
  });
  drawNames(surface, view, frame, inks);
}

const isMeasured = (map: CompressorMap, index: number): boolean => {
  const speed = map.speeds_corrected[index] ?? 0;
  if (!map.measured_speed) return map.measured_flow.length > 0;
  return map.measured_speed.some((value) => Math.abs(value - speed) < 1e-6 * speed);
};

function pathOf(flow: readonly (number | null)[], ratio: readonly (number | null)[], frame: Frame): Points {
  return flow.map((value, index) => {
    const up = ratio[index];
    return value === null || up === null || up === undefined ? null : ([frame.px(value), frame.py(up)] as const);
  });
}

function drawAxes(surface: Surface, map: CompressorMap, frame: Frame, inks: Inks): void {
  const bottom = frame.y + frame.height;
  const size = 12 * inks.size;
  const span = niceRange(map.flow.flat().map((value) => (value === null ? null : toUser("mass_flow", value))), true, 6)[1];
  const along = ticks(0, span, frame.width < 420 ? 4 : 6);
  for (const value of along) {
    const x = frame.x + (value / span) * frame.width;
    surface.line([[x, frame.y], [x, bottom]], { ink: inks.grid });
    surface.text(x, bottom + size, fixed(value, tickDecimals(along)), { ink: inks.soft, size, align: "center" });
  }
  const top = niceRange([1, ...map.pressure_ratio.flat()], false, 6)[1];
  const up = ticks(1, top, 6);
  for (const value of up) {
    surface.line([[frame.x, frame.py(value)], [frame.x + frame.width, frame.py(value)]], { ink: inks.grid });
    surface.text(frame.x - 7, frame.py(value), fixed(value, tickDecimals(up)), { ink: inks.soft, size, align: "right" });
  }
  surface.text(frame.x + frame.width / 2, bottom + 2.5 * size, `corrected air flow of one compressor, ${unitName(unitOf("mass_flow").unit)}`, { ink: inks.soft, size, align: "center" });
}

function drawNames(surface: Surface, view: MapView, frame: Frame, inks: Inks): void {
  const { map } = view;
  const size = 11 * inks.size;
  let lowest = -Infinity;
  map.flow.forEach((row, index) => {
    const last = row.findLastIndex((value, at) => value !== null && map.pressure_ratio[index]?.[at] !== null);
    const [flow, ratio] = [row[last], map.pressure_ratio[index]?.[last]];
    if (flow === null || flow === undefined || ratio === null || ratio === undefined || ratio < 1) return;
    const [x, y] = [frame.px(flow), frame.py(ratio)];
    // near the origin the operating line begins, and there is no room for both
    if (!isMeasured(map, index) && (frame.width < 420 || x < frame.x + frame.width * 0.34)) return;
    if (x < lowest) return; // two labels must not lie on each other
    lowest = x + size * 1.2;
    const rpm = toUser("rotational_speed", map.speeds_corrected[index] ?? 0);
    surface.text(x + 4, y, fixed(rpm >= 10_000 ? rpm / 1000 : rpm, 0) + (rpm >= 10_000 ? "k" : ""), { ink: inks.soft, size, halo: inks.sheet });
  });
  drawLevels(surface, view, frame, inks);
  const at = Math.floor(map.surge_flow.length * 0.72);
  const [flow, ratio] = [map.surge_flow[at], map.surge_pressure_ratio[at]];
  if (flow !== undefined && ratio !== undefined) surface.text(frame.px(flow) - 8, frame.py(ratio), "surge", { ink: inks.limit, size, align: "right", weight: 600 });
}

/** Each island's level on its own edge, as far from the other levels as it can be. */
function drawLevels(surface: Surface, view: MapView, frame: Frame, inks: Inks): void {
  const size = 10.5 * inks.size;
  const put: [number, number][] = [];
  for (const island of [...view.islands].reverse()) {
    let best: { x: number; y: number; room: number } | null = null;
    for (const [flow, ratio] of island.inside) {
      const [x, y] = [frame.px(flow), frame.py(ratio)];
      if (y < frame.y + size || x > frame.x + frame.width - 3 * size || y > frame.y + frame.height * 0.7) continue;
      const room = put.reduce((least, [px, py]) => Math.min(least, Math.hypot(px - x, (py - y) * 1.8)), 90);
      // of equal room the higher place: above the operating line, where the map is empty
      if (best === null || room > best.room + 1 || (room > best.room - 1 && y < best.y)) best = { x, y, room };
    }
    if (!best || best.room < 3.2 * size) continue;
    put.push([best.x, best.y]);
    surface.text(best.x, best.y, `${Math.round(island.level * 100)}\u2009%`, { ink: inks.soft, size, align: "center", halo: inks.sheet });
  }
}

/** Operating line: coloured from low to high engine speed, with marks that say the same in grey. */
export function drawOperating(surface: Surface, view: MapView, frame: Frame, inks: Inks, speed: number | null): void {
  const own = view.lines.find((line) => line.letter === null);
  for (const line of view.lines) {
    const path = pathOf(line.flow, line.ratio, frame);
    if (line.letter === null) continue;
    surface.line(path, { ink: inks.ink, width: 1.1 * inks.weight, dash: DASHES[1] });
    const end = path.findLast((point) => point !== null);
    if (end) surface.text(end[0] + 5, end[1], line.letter, { ink: inks.ink, size: 13 * inks.size, weight: 700, halo: inks.sheet });
  }
  if (!own) return;
  const path = pathOf(own.flow, own.ratio, frame);
  const count = Math.max(1, path.length - 1);
  for (let index = 1; index < path.length; index++) {
    const [a, b] = [path[index - 1], path[index]];
    if (!a || !b) continue;
    surface.line([a, b], { ink: mixed(inks.lines[2], inks.lines[1], index / count), width: 2.6 * inks.weight });
  }
  marks(surface, own, path, inks);
  if (speed !== null) {
    const at = own.speeds.reduce((best, value, index) => (Math.abs(value - speed) < Math.abs((own.speeds[best] ?? 0) - speed) ? index : best), 0);
    const point = path[at];
    if (point) surface.mark(point[0], point[1], "circle", 6 * inks.size, { ink: inks.ink, width: 2 }, inks.sheet);
  }
}

/** A mark with its engine speed each time some ten steps along the paper lie between. */
function marks(surface: Surface, own: OperatingLine, path: Points, inks: Inks): void {
  const put: [number, number][] = [];
  const order = [path.findIndex((point) => point !== null), path.findLastIndex((point) => point !== null), ...path.keys()];
  for (const index of order) {
    const point = path[index];
    if (!point || put.some(([x, y]) => Math.hypot(x - point[0], y - point[1]) < 44 * inks.size)) continue;
    put.push([point[0], point[1]]);
    const rpm = toUser("rotational_speed", own.speeds[index] ?? 0);
    surface.mark(point[0], point[1], "diamond", 4, { ink: inks.ink, width: 1.2 }, inks.sheet);
    surface.text(point[0] + 9, point[1] + 13 * inks.size, fixed(rpm, 0), { ink: inks.ink, size: 11 * inks.size, halo: inks.sheet });
  }
}

/** Between two inks, hexadecimal. */
export function mixed(from: string, to: string, share: number): string {
  const part = (text: string, at: number) => Number.parseInt(text.slice(at, at + 2), 16);
  const hex = (at: number) => Math.round(part(from, at) + (part(to, at) - part(from, at)) * share).toString(16).padStart(2, "0");
  return `#${hex(1)}${hex(3)}${hex(5)}`;
}
