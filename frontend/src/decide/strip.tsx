/**
 * The limit strip: engine speed along, one row a limit, its bar as high as the share of the limit in use. What binds is
 * hatched and marked, what is broken is solid with a cross: no need of colour.
 */
import { useEffect, useId, useLayoutEffect, useMemo, useRef, useState } from "preact/hooks";
import { DataTable } from "../lib/data_table";
import { saveCsv, type Column } from "../lib/export";
import { fixed, tickDecimals, ticks } from "../lib/format";
import { LIGHT, inks as themeInks, type Inks } from "../lib/inks";
import { PlotButtons } from "../lib/plot";
import { CanvasSurface, type Surface } from "../lib/surface";
import { cursor, settled } from "../lib/state";
import { column, unitName, unitOf } from "../lib/units";
import type { LimitUse } from "../lib/types";
import { limitTitle, limitWords } from "./limit_words";
import { binding, cursorIndex, limits, speeds } from "./reading";

const TITLE = "Limits in use";
const ROW = 21;
const FOOT = 34;

interface Strip {
  speeds: readonly number[];
  rows: readonly LimitUse[];
  binding: readonly (string | null)[];
}

/** Limits that have a share anywhere, the one nearest to its end first. */
export function rowsOf(all: readonly LimitUse[]): LimitUse[] {
  const most = (limit: LimitUse) => Math.max(-Infinity, ...limit.use.map((value) => value ?? -Infinity));
  return all.filter((limit) => most(limit) > -Infinity).sort((a, b) => most(b) - most(a));
}

/** The same, in an order that changes only when the hand rests: rows must not jump under a slider. */
function useRows(all: readonly LimitUse[]): LimitUse[] {
  const names = all.map((limit) => limit.name).join();
  const order = useMemo(() => rowsOf(all).map((limit) => limit.name), [settled.value, names]);
  const place = (limit: LimitUse) => {
    const at = order.indexOf(limit.name);
    return at < 0 ? order.length : at;
  };
  return rowsOf(all).sort((a, b) => place(a) - place(b));
}

const nameWidth = (width: number, inks: Inks) => Math.min(width * 0.42, 150 * inks.size);
const END = 52;

/** Left edge and width of each speed's cell. */
function cells(strip: Strip, width: number, inks: Inks): { x: number; width: number }[] {
  const left = nameWidth(width, inks);
  const room = width - left - END;
  const list = strip.speeds;
  const [low, high] = [list[0] ?? 0, list.at(-1) ?? 1];
  const at = (value: number) => left + ((value - low) / (high - low || 1)) * room;
  return list.map((value, index) => {
    const before = index === 0 ? value : (value + (list[index - 1] ?? value)) / 2;
    const after = index === list.length - 1 ? value : (value + (list[index + 1] ?? value)) / 2;
    return { x: at(before), width: Math.max(1, at(after) - at(before)) };
  });
}

export const heightOf = (rows: number, inks: Inks): number => (rows + 2) * ROW * inks.size + FOOT * inks.size;

/** Runs of speeds over which the same thing binds. */
export function runsOf(names: readonly (string | null)[]): { name: string | null; from: number; to: number }[] {
  const runs: { name: string | null; from: number; to: number }[] = [];
  names.forEach((name, index) => {
    const last = runs.at(-1);
    if (last && last.name === name) last.to = index;
    else runs.push({ name, from: index, to: index });
  });
  return runs;
}

/** Diagonal lines inside a box: `gap` apart, the denser the stronger. */
function hatch(surface: Surface, x: number, y: number, width: number, height: number, gap: number, ink: string): void {
  surface.clip(x, y, width, height, () => {
    for (let at = x - height; at < x + width; at += gap) surface.line([[at, y + height], [at + height, y]], { ink, width: 1 });
  });
}

function drawBinding(surface: Surface, strip: Strip, boxes: readonly { x: number; width: number }[], left: number, head: number, inks: Inks): void {
  const row = ROW * inks.size;
  const size = 12 * inks.size;
  surface.text(left - 8, head + row / 2 - 1, "what binds", { ink: inks.ink, size, align: "right", weight: 600 });
  runsOf(strip.binding).forEach((run, index) => {
    const [first, last] = [boxes[run.from], boxes[run.to]];
    if (!first || !last) return;
    const width = last.x + last.width - first.x;
    const over = strip.rows.some((limit) => limit.name === run.name);
    surface.fill([[[first.x, head], [first.x + width, head], [first.x + width, head + row - 4], [first.x, head + row - 4]]], over ? inks.limit : inks.grid, over ? 0.25 : index % 2 ? 0.35 : 0.9);
    if (over || run.name === null) hatch(surface, first.x, head, width, row - 4, 6, over ? inks.limit : inks.soft);
    surface.line([[first.x, head], [first.x, head + row - 4]], { ink: inks.ink });
    const words = run.name ? limitWords(run.name).replace(/^the /, "") : "no steady state";
    if (width > words.length * size * 0.56) surface.text(first.x + width / 2, head + row / 2 - 1, words, { ink: inks.ink, size, align: "center", halo: over || run.name === null ? inks.sheet : undefined });
  });
}

/** The limit most in use at each speed, whether or not it binds: what comes next. */
export function nearestOf(rows: readonly LimitUse[], count: number): (string | null)[] {
  return Array.from({ length: count }, (_, at) => {
    let best: LimitUse | null = null;
    for (const row of rows) if ((row.use[at] ?? -1) > (best?.use[at] ?? -1)) best = row;
    return best?.name ?? null;
  });
}

function drawNearest(surface: Surface, strip: Strip, boxes: readonly { x: number; width: number }[], left: number, top: number, inks: Inks): void {
  const row = ROW * inks.size;
  const size = 12 * inks.size;
  surface.text(left - 8, top + row / 2 - 1, "nearest limit", { ink: inks.ink, size, align: "right", weight: 600 });
  for (const run of runsOf(nearestOf(strip.rows, strip.speeds.length))) {
    const [first, last] = [boxes[run.from], boxes[run.to]];
    if (!first || !last || !run.name) continue;
    const width = last.x + last.width - first.x;
    const words = limitTitle(run.name);
    surface.line([[first.x, top + 2], [first.x, top + row - 4]], { ink: inks.ink });
    surface.line([[first.x, top + row - 4], [first.x + width, top + row - 4]], { ink: inks.soft, width: 0.7 });
    if (width > words.length * size * 0.56) surface.text(first.x + width / 2, top + row / 2 - 2, words, { ink: inks.ink, size, align: "center" });
  }
}

function drawStrip(surface: Surface, strip: Strip, width: number, head: number, inks: Inks, pointed: number): void {
  const row = ROW * inks.size;
  const size = 12 * inks.size;
  const left = nameWidth(width, inks);
  const boxes = cells(strip, width, inks);
  drawBinding(surface, strip, boxes, left, head, inks);
  drawNearest(surface, strip, boxes, left, head + row, inks);
  const top0 = head + 2 * row;
  strip.rows.forEach((limit, index) => {
    const top = top0 + index * row;
    const bottom = top + row - 3;
    const full = row - 6;
    surface.text(left - 8, top + row / 2 - 1, limitTitle(limit.name), { ink: inks.ink, size, align: "right" });
    surface.line([[left, bottom - full], [width - END, bottom - full]], { ink: inks.grid });
    surface.line([[left, bottom], [width - END, bottom]], { ink: inks.soft, width: 0.7 });
    boxes.forEach((box, at) => {
      const use = limit.use[at];
      if (use === null || use === undefined || use <= 0) return;
      const tall = Math.min(1, use) * full;
      const over = use > 1;
      const binds = strip.binding[at] === limit.name;
      const corner = [[box.x, bottom], [box.x, bottom - tall], [box.x + box.width, bottom - tall], [box.x + box.width, bottom]] as const;
      surface.fill([corner], over ? inks.limit : inks.lines[2], over ? 0.9 : 0.2 + 0.35 * Math.max(0, use - 0.5) * 2);
      if (binds && !over) hatch(surface, box.x, bottom - tall, box.width, tall, 5, inks.ink);
    });
    const share = limit.use[pointed];
    if (pointed >= 0) {
      const broken = (share ?? 0) > 1;
      surface.text(width - 2, top + row / 2 - 1, share === null || share === undefined ? "–" : `${fixed(share * 100, 0)}\u2009%${broken ? " ✕" : ""}`, { ink: broken ? inks.limit : inks.ink, size, weight: broken ? 700 : 400, align: "right" });
    }
  });
  drawSpeeds(surface, strip, boxes, width, top0 + strip.rows.length * row, inks);
  const box = boxes[pointed];
  if (box) surface.line([[box.x + box.width / 2, head], [box.x + box.width / 2, top0 + strip.rows.length * row]], { ink: inks.limit, width: 1.2 * inks.weight });
}

/** What binds, as runs along the foot, and the speeds. */
function drawSpeeds(surface: Surface, strip: Strip, boxes: readonly { x: number; width: number }[], width: number, top: number, inks: Inks): void {
  const user = column("rotational_speed", strip.speeds).map((value) => value ?? 0);
  const [low, high] = [user[0] ?? 0, user.at(-1) ?? 1];
  const left = boxes[0]?.x ?? 0;
  const right = width - END;
  const marks = ticks(low, high, width < 500 ? 4 : 8);
  const size = 12 * inks.size;
  for (const value of marks) {
    const x = left + ((value - low) / (high - low || 1)) * (right - left);
    surface.line([[x, top], [x, top + 4]], { ink: inks.soft });
    surface.text(x, top + 13 * inks.size, fixed(value, tickDecimals(marks)), { ink: inks.soft, size, align: "center" });
  }
  surface.text(right + 4, top + 13 * inks.size, unitName(unitOf("rotational_speed").unit), { ink: inks.soft, size });
}

function columnsOf(strip: Strip): Column[] {
  return [
    { name: "engine_speed", unit: unitOf("rotational_speed").unit, values: column("rotational_speed", strip.speeds) },
    ...strip.rows.map((limit) => ({ name: limit.name, unit: "%", values: limit.use.map((value) => (value === null ? null : value * 100)) })),
    { name: "binds", unit: "-", values: strip.binding.map((name) => name ?? "") },
  ];
}

export function LimitStrip() {
  const inks = themeInks.value;
  const heading = useId();
  const box = useRef<HTMLDivElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const [width, setWidth] = useState(0);
  const strip: Strip = { speeds: speeds.value, rows: useRows(limits.value), binding: binding.value };
  const height = heightOf(strip.rows.length, inks);
  const pointed = cursorIndex.value;

  useEffect(() => {
    const holder = box.current;
    if (!holder) return;
    const seen = new ResizeObserver(() => setWidth(holder.clientWidth));
    seen.observe(holder);
    return () => seen.disconnect();
  }, []);
  useLayoutEffect(() => {
    const paper = canvas.current;
    if (!paper || width < 50) return;
    const ratio = devicePixelRatio || 1;
    paper.width = Math.round(width * ratio);
    paper.height = Math.round(height * ratio);
    paper.style.height = `${height}px`;
    const context = paper.getContext("2d");
    if (!context) return;
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    drawStrip(new CanvasSurface(context), strip, width, 0, inks, pointed);
  });

  const point = (event: PointerEvent) => {
    const paper = canvas.current;
    if (!paper) return;
    const x = event.clientX - paper.getBoundingClientRect().left;
    const index = cells(strip, width, inks).findIndex((cell) => x >= cell.x && x <= cell.x + cell.width);
    const speed = strip.speeds[index];
    if (speed !== undefined) cursor.value = speed;
  };
  const draw = (surface: Surface, wide: number, _height: number, on: Inks) => {
    surface.text(12, 24, TITLE, { ink: on.ink, size: 17, weight: 600 });
    drawStrip(surface, strip, wide, 44, on, -1);
  };
  return (
    <figure class="plot strip" aria-labelledby={heading}>
      <figcaption>
        <h3 id={heading}>{TITLE}</h3>
        <span class="unit">bar: share of the limit; hatched: binds; solid with ✕: exceeded</span>
        <PlotButtons name="limits" title={TITLE} draw={draw} csv={() => saveCsv("limits", columnsOf(strip))} height={44 + heightOf(strip.rows.length, LIGHT) + 20} />
      </figcaption>
      <div class="strip-box" ref={box} aria-hidden="true">
        <canvas ref={canvas} onPointerMove={point} onPointerDown={point} />
      </div>
      <DataTable title={TITLE} columns={() => columnsOf(strip)} />
    </figure>
  );
}
