/**
 * A plot over engine speed (uPlot), with everything that belongs to one: title with unit, labels at the line ends, the
 * shared speed cursor, held cases, bands, CSV / PNG / SVG, and a table for those who do not see it.
 *
 * <Plot spec={spec} />            see PlotSpec; redraws when given another one
 *
 * The cursor is the signal `cursor` of lib/state (rad/s): pointing at a plot sets it, and every plot shows it.
 */
import { effect } from "@preact/signals";
import { useId, useLayoutEffect, useRef } from "preact/hooks";
import uPlot from "uplot";
import { save, saveCsv, savePng, saveSvg } from "./export";
import { fixed, tickDecimals } from "./format";
import { DASHES, inks as themeInks, type Inks } from "./inks";
import { nearest, spread } from "./labels";
import { drawPlot, rangeOf } from "./plot_drawing";
import { axisWords, columnsOf, kindOfLine, userValues, type PlotLine, type PlotSpec } from "./plot_spec";
import { FONT } from "./surface";
import { DataTable } from "./data_table";
import { cursor } from "./state";
import { column, unitName, unitOf } from "./units";

export type { PlotLine, PlotSpec } from "./plot_spec";
export { save };

/** What makes a new uPlot necessary instead of new data in the old one. */
function structure(spec: PlotSpec, inks: Inks): string {
  const lines = spec.lines.map((line) => [line.key, line.ink, line.dash, line.right, line.letter, line.bound]);
  const units = [unitOf(spec.kind).unit, spec.rightKind && unitOf(spec.rightKind).unit, unitOf("rotational_speed").unit];
  return JSON.stringify([lines, units, inks.sheet, inks.weight, spec.fromZero]);
}

function dataOf(spec: PlotSpec): uPlot.AlignedData {
  const speeds = column("rotational_speed", spec.speeds) as number[];
  return [speeds, ...spec.lines.map((line) => userValues(spec, line))];
}

/** Shaded bands, under the lines. */
function drawBands(plot: uPlot, spec: PlotSpec, inks: Inks): void {
  const { ctx } = plot;
  const speeds = column("rotational_speed", spec.speeds);
  for (const line of spec.lines) {
    if (!line.band) continue;
    const scale = line.right ? "right" : "y";
    const kind = kindOfLine(spec, line);
    const low = column(kind, line.band.low);
    const high = column(kind, line.band.high);
    ctx.save();
    ctx.beginPath();
    const put = (index: number, value: number | null | undefined) => {
      const at = speeds[index];
      if (value !== null && value !== undefined && at !== null && at !== undefined)
        ctx.lineTo(plot.valToPos(at, "x", true), plot.valToPos(value, scale, true));
    };
    for (let index = 0; index < low.length; index++) put(index, low[index]);
    for (let index = high.length - 1; index >= 0; index--) put(index, high[index]);
    ctx.closePath();
    ctx.globalAlpha = 0.16;
    ctx.fillStyle = inks.lines[line.ink ?? 0];
    ctx.fill();
    ctx.restore();
  }
}

/** Names at the line ends instead of a legend. */
function drawEnds(plot: uPlot, spec: PlotSpec, inks: Inks): void {
  const { ctx, bbox } = plot;
  const ratio = uPlot.pxRatio;
  const ends = spec.lines.flatMap((line, index) => {
    const values = plot.data[index + 1] ?? [];
    let last = values.length - 1;
    while (last >= 0 && (values[last] === null || values[last] === undefined)) last--;
    if (last < 0) return [];
    const x = plot.valToPos(plot.data[0][last] as number, "x", true);
    return [{ line, x, y: plot.valToPos(values[last] as number, line.right ? "right" : "y", true) }];
  });
  const size = 12.5 * inks.size * ratio;
  const named = ends.filter((end) => end.line.letter === undefined);
  drawLetters(ctx, ends, size, bbox.left + bbox.width, inks);
  const at = spread(named.map((end) => end.y), size * 1.12, bbox.top + size / 2, bbox.top + bbox.height - size / 2);
  ctx.save();
  ctx.textBaseline = "middle";
  named.forEach(({ line }, index) => {
    ctx.font = `500 ${size}px ${FONT}`;
    ctx.fillStyle = inks.lines[line.ink ?? 0];
    ctx.textAlign = "left";
    ctx.fillText(line.label, bbox.left + bbox.width + (spec.rightKind ? 40 : 6) * ratio, at[index] ?? 0);
  });
  ctx.restore();
}

/** A held case's letter sits on the end of its own line, inside the plot: there is no doubt which it is. */
function drawLetters(ctx: CanvasRenderingContext2D, ends: readonly { line: PlotLine; x: number; y: number }[], size: number, edge: number, inks: Inks): void {
  ctx.save();
  ctx.font = `700 ${size}px ${FONT}`;
  ctx.textAlign = "center";
  ctx.textBaseline = "middle";
  ctx.lineJoin = "round";
  ctx.lineWidth = size * 0.3;
  ctx.strokeStyle = inks.sheet;
  ends.filter((end) => end.line.letter !== undefined).forEach(({ line, x, y }, index) => {
    // held cases end at one speed: their letters stand in steps, so that near lines do not hide each other
    const at = Math.min(x, edge) - size * (0.7 + 0.9 * (index % 3));
    ctx.strokeText(line.letter ?? "", at, y);
    ctx.fillStyle = inks.lines[line.ink ?? 0];
    ctx.fillText(line.letter ?? "", at, y);
  });
  ctx.restore();
}

function labelRoom(spec: PlotSpec, inks: Inks): number {
  const longest = Math.max(0, ...spec.lines.map((line) => (line.letter ? 0 : line.label.length)));
  return Math.min(120, 12 + longest * 6.7 * inks.size) + (spec.rightKind ? 8 : 0);
}

function options(read: () => PlotSpec, inks: Inks, width: number, height: number): uPlot.Options {
  const spec = read();
  const font = `${12 * inks.size}px ${FONT}`;
  const axis: uPlot.Axis = { stroke: inks.soft, font, grid: { stroke: inks.grid, width: 1 }, ticks: { show: false } };
  const marks = (_: uPlot, values: number[]) => values.map((value) => fixed(value, tickDecimals(values)));
  const axes: uPlot.Axis[] = [
    { ...axis, size: 30, space: 54 * inks.size, values: marks, gap: 4 },
    { ...axis, scale: "y", size: 46 * inks.size, space: 26, values: marks, gap: 4 },
  ];
  if (spec.rightKind) axes.push({ ...axis, scale: "right", side: 1, size: 40, space: 26, values: marks, gap: 4, grid: { show: false } });
  return {
    width,
    height,
    padding: [8, labelRoom(spec, inks), 0, 0],
    legend: { show: false },
    cursor: {
      y: false,
      drag: { x: false, y: false, setScale: false },
      points: { size: 7 },
      // uPlot's own mouse handling would hide the cursor when the pointer leaves; ours stays where it was put
      bind: { mousedown: () => null, mouseup: () => null, mousemove: () => null, mouseleave: () => null, mouseenter: () => null, click: () => null, dblclick: () => null },
    },
    scales: {
      x: { time: false },
      y: { range: () => rangeOf(read(), false) },
      right: { range: () => rangeOf(read(), true) },
    },
    axes,
    series: [
      {},
      ...spec.lines.map((line): uPlot.Series => {
        const thin = line.letter !== undefined || line.bound === true;
        return {
          scale: line.right ? "right" : "y",
          stroke: inks.lines[line.ink ?? 0],
          width: (thin ? 1.1 : 2) * inks.weight,
          dash: [...(DASHES[line.dash ?? (line.letter ? 1 : (line.ink ?? 0))] ?? [])],
          points: { show: false },
          spanGaps: false,
        };
      }),
    ],
    hooks: { drawAxes: [(plot) => drawBands(plot, read(), inks)], draw: [(plot) => drawEnds(plot, read(), inks)] },
  };
}

/** Put the shared cursor on a plot. */
function place(plot: uPlot, spec: PlotSpec, speed: number | null): void {
  if (speed === null || spec.speeds.length === 0) return;
  const at = plot.data[0][nearest(spec.speeds, speed)];
  if (at === undefined) return;
  plot.setCursor({ left: plot.valToPos(at, "x"), top: 1 }, false);
}

export function Plot(props: { spec: PlotSpec; height?: number }) {
  const { spec } = props;
  const inks = themeInks.value;
  const box = useRef<HTMLDivElement>(null);
  const plot = useRef<uPlot | null>(null);
  /** What the plot at hand was made for: other lines than those cannot be put into it. */
  const madeFor = useRef("");
  const latest = useRef(spec);
  latest.current = spec;
  const heading = useId();
  const shape = structure(spec, inks);
  const height = (props.height ?? 232) * (inks.size > 1 ? 1.1 : 1);

  useLayoutEffect(() => {
    const holder = box.current;
    if (!holder) return;
    const made = new uPlot(options(() => latest.current, inks, Math.max(200, holder.clientWidth), height), dataOf(latest.current), holder);
    plot.current = made;
    madeFor.current = shape;
    const point = (event: PointerEvent) => {
      const left = event.clientX - made.over.getBoundingClientRect().left;
      const speeds = latest.current.speeds;
      const at = made.posToIdx(left);
      cursor.value = speeds[Math.min(speeds.length - 1, Math.max(0, at))] ?? null;
    };
    made.over.addEventListener("pointermove", point);
    made.over.addEventListener("pointerdown", point);
    const resized = new ResizeObserver(() => {
      made.setSize({ width: Math.max(200, holder.clientWidth), height });
      place(made, latest.current, cursor.peek());
    });
    resized.observe(holder);
    const stop = effect(() => place(made, latest.current, cursor.value));
    return () => {
      stop();
      resized.disconnect();
      made.destroy();
      plot.current = null;
    };
  }, [shape, height]);

  // before the next frame, not after it: a slider is felt at once
  useLayoutEffect(() => {
    if (!plot.current || madeFor.current !== shape) return;
    plot.current.setData(dataOf(spec));
    place(plot.current, spec, cursor.peek());
  }, [spec]);

  const draw = (surface: Parameters<typeof drawPlot>[0], width: number, tall: number, on: Inks) => drawPlot(surface, spec, width, tall, on);
  const hasPoints = spec.lines.some((line) => line.values.some((value) => value !== null));
  return (
    <figure class="plot" aria-labelledby={heading}>
      <figcaption>
        <h3 id={heading}>{spec.title}</h3>
        <span class="unit">{axisWords(spec)}</span>
        <PlotButtons name={spec.name} title={spec.title} draw={draw} csv={() => saveCsv(spec.name, columnsOf(spec))} />
      </figcaption>
      <div class="plot-box" ref={box} aria-hidden="true" />
      {!hasPoints && spec.empty && <p class="plot-empty">{spec.empty}</p>}
      <p class="axis-words">
        engine speed, {unitName(unitOf("rotational_speed").unit)}
        {spec.note && ` · ${spec.note}`}
      </p>
      <DataTable title={spec.title} columns={() => columnsOf(spec)} />
    </figure>
  );
}

/** CSV, PNG, SVG of one picture. */
export function PlotButtons(props: { name: string; title: string; draw: Parameters<typeof savePng>[1]; csv: () => void; height?: number }) {
  const { name, title, draw, csv, height } = props;
  return (
    <span class="take-away">
      <button type="button" class="quiet" onClick={csv} aria-label={`Save as CSV: ${title}`}>
        CSV
      </button>
      <button type="button" class="quiet" onClick={() => savePng(name, draw, 960, height)} aria-label={`Save as PNG: ${title}`}>
        PNG
      </button>
      <button type="button" class="quiet" onClick={() => saveSvg(name, title, draw, 960, height)} aria-label={`Save as SVG: ${title}`}>
        SVG
      </button>
    </span>
  );
}
