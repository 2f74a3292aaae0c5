/** The operating line on the compressor map. Two canvases: the map stands still, the line moves over it. */
import { useEffect, useId, useLayoutEffect, useMemo, useRef, useState } from "preact/hooks";
import { DataTable } from "../lib/data_table";
import { saveCsv, type Column } from "../lib/export";
import { inks as themeInks, type Inks } from "../lib/inks";
import { PlotButtons } from "../lib/plot";
import { CanvasSurface, type Surface } from "../lib/surface";
import { cursor, held, settled } from "../lib/state";
import { column, unitOf } from "../lib/units";
import { islandsOf } from "./islands";
import { drawMap, drawOperating, frameOf, type MapView, type OperatingLine } from "./map_drawing";
import { compressorMap, speeds, values } from "./reading";

const TITLE = "Operating line on the compressor map";

function lines(): OperatingLine[] {
  const own: OperatingLine = { letter: null, speeds: speeds.value, flow: values("corrected_flow"), ratio: values("compressor_pressure_ratio") };
  const others = held.value.map((item): OperatingLine => ({
    letter: item.letter,
    speeds: item.answer.speeds,
    flow: item.answer.quantities["corrected_flow"] ?? [],
    ratio: item.answer.quantities["compressor_pressure_ratio"] ?? [],
  }));
  return [...others, own];
}

function columnsOf(view: MapView): Column[] {
  return view.lines.flatMap((line) => {
    const name = (text: string) => (line.letter ? `${text} (case ${line.letter})` : text);
    return [
      { name: name("engine_speed"), unit: unitOf("rotational_speed").unit, values: column("rotational_speed", line.speeds) },
      { name: name("corrected_flow"), unit: unitOf("mass_flow").unit, values: column("mass_flow", line.flow) },
      { name: name("compressor_pressure_ratio"), unit: "-", values: line.ratio },
    ];
  });
}

/** A canvas of the size asked for, sharp on the screen at hand, empty. */
function ready(canvas: HTMLCanvasElement, width: number, height: number): CanvasSurface | null {
  const ratio = devicePixelRatio || 1;
  if (canvas.width !== Math.round(width * ratio) || canvas.height !== Math.round(height * ratio)) {
    canvas.width = Math.round(width * ratio);
    canvas.height = Math.round(height * ratio);
  }
  const context = canvas.getContext("2d");
  if (!context) return null;
  context.setTransform(ratio, 0, 0, ratio, 0, 0);
  context.clearRect(0, 0, width, height);
  return new CanvasSurface(context);
}

export function MapPlot() {
  const map = compressorMap.value;
  const inks = themeInks.value;
  const flowUnit = unitOf("mass_flow").unit;
  const heading = useId();
  const box = useRef<HTMLDivElement>(null);
  const under = useRef<HTMLCanvasElement>(null);
  const over = useRef<HTMLCanvasElement>(null);
  const [size, setSize] = useState<[number, number]>([0, 0]);
  const islands = useMemo(() => (map ? islandsOf(map) : []), [map]);
  const view: MapView | null = map ? { map, islands, lines: lines(), title: TITLE } : null;

  useEffect(() => {
    const holder = box.current;
    if (!holder) return;
    const seen = new ResizeObserver(() => setSize([holder.clientWidth, holder.clientHeight]));
    seen.observe(holder);
    return () => seen.disconnect();
  }, [map === null]);

  useEffect(() => {
    if (!view || !under.current || size[0] < 50) return;
    const surface = ready(under.current, size[0], size[1]);
    if (surface) drawMap(surface, view, frameOf(view.map, size[0], size[1], 0, inks), inks);
  }, [map, size, inks, flowUnit]);

  const speed = cursor.value;
  useLayoutEffect(() => {
    if (!view || !over.current || size[0] < 50) return;
    const surface = ready(over.current, size[0], size[1]);
    if (surface) drawOperating(surface, view, frameOf(view.map, size[0], size[1], 0, inks), inks, speed);
  });

  const point = (event: PointerEvent) => {
    const canvas = over.current;
    const own = view?.lines.at(-1);
    if (!canvas || !view || !own) return;
    const place = canvas.getBoundingClientRect();
    const frame = frameOf(view.map, size[0], size[1], 0, inks);
    let best = { far: 60, speed: null as number | null };
    own.speeds.forEach((at, index) => {
      const [flow, ratio] = [own.flow[index], own.ratio[index]];
      if (flow === null || flow === undefined || ratio === null || ratio === undefined) return;
      const far = Math.hypot(frame.px(flow) - (event.clientX - place.left), frame.py(ratio) - (event.clientY - place.top));
      if (far < best.far) best = { far, speed: at };
    });
    if (best.speed !== null) cursor.value = best.speed;
  };

  if (!view)
    return (
      <figure class="plot map-plot" aria-labelledby={heading}>
        <figcaption>
          <h3 id={heading}>{TITLE}</h3>
        </figcaption>
        <p class="soft">{settled.value ? "No compressor, no map." : "Waiting for the whole prediction…"}</p>
      </figure>
    );
  const draw = (surface: Surface, width: number, height: number, on: Inks) => {
    surface.text(44, 24, `${TITLE}: ${view.map.name}`, { ink: on.ink, size: 17, weight: 600 });
    const frame = frameOf(view.map, width, height - 14, 40, on);
    drawMap(surface, view, frame, on);
    drawOperating(surface, view, frame, on, null);
  };
  return (
    <figure class="plot map-plot" aria-labelledby={heading}>
      <figcaption>
        <h3 id={heading}>{TITLE}</h3>
        <span class="unit">pressure ratio, total to total</span>
        <PlotButtons name="compressor-map" title={TITLE} draw={draw} csv={() => saveCsv("operating-line", columnsOf(view))} />
      </figcaption>
      <div class="map-box" ref={box} aria-hidden="true">
        <canvas ref={under} />
        <canvas ref={over} onPointerMove={point} onPointerDown={point} />
      </div>
      <p class="axis-words">
        {view.map.name}; corrected to {view.map.reference}. At line ends: corrected shaft speed, rpm. Dashed: extrapolated.
      </p>
      <DataTable title={TITLE} columns={() => columnsOf(view)} />
    </figure>
  );
}
