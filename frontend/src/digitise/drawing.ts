/** Everything that is drawn over the picture. Marks differ in shape, lines in dash: it reads in grey too. */
import type { Inks } from "../lib/inks";
import { CanvasSurface, FONT, type Mark as Shape, type Points } from "../lib/surface";
import { contour, pixelOf, type Place } from "./geometry";
import type { AxesFound, Chosen, Fit, Reading, Role } from "./reading";
import { sheet, toScreen, view } from "./view";

const SHAPES: Record<Role, Shape> = { line: "circle", island: "diamond", surge: "triangle" };
// the picture is paper, whatever the theme: these read on white
const INKS: Record<Role, string> = { line: "#1d5fa8", island: "#9a5b00", surge: "#a02020" };
const FITTED = "#0b7a4b";
const MARK = "#a0108a";
const HALO = "#ffffff";

export interface Scene {
  picture: ImageBitmap;
  reading: Reading;
  chosen: Chosen;
  cross: Place;
  crossShown: boolean;
  axes: AxesFound | null;
  fit: Fit | null;
  step: number;
  inks: Inks;
}

export function draw(context: CanvasRenderingContext2D, scene: Scene): void {
  const { width, height } = sheet.value;
  const { scale, x, y } = view.value;
  context.fillStyle = scene.inks.grid;
  context.fillRect(0, 0, width, height);
  context.imageSmoothingEnabled = scale < 3;
  context.drawImage(scene.picture, x, y, scene.picture.width * scale, scene.picture.height * scale);
  const surface = new CanvasSurface(context);
  const line = (places: readonly Place[], ink: string, thick: number, dash: number[] = []) =>
    surface.line(places.map(toScreen) as Points, { ink, width: thick * scene.inks.weight, dash });
  if (scene.step === 1) for (const grid of scene.axes?.grid ?? []) line(grid, FITTED, 0.8, [6, 4]);
  if (scene.step >= 3 && scene.fit) fitted(surface, scene, line);
  const taken: { x: number; y: number; wide: number }[] = [];
  /** Write at the first of the places that is free; a word that must be seen goes to the first in any case. */
  const words = (places: readonly Place[], text: string, ink: string, must: boolean, size = 12) => {
    const high = size * scene.inks.size;
    context.font = `600 ${high}px ${FONT}`;
    const wide = context.measureText(text).width;
    const spots = places.map((place) => {
      const [u, v] = toScreen(place);
      return { x: u > width - wide - 14 ? u - 7 - wide : u + 7, y: Math.max(8, v - 9), wide };
    });
    const free = spots.find((spot) => taken.every((other) => spot.x > other.x + other.wide || spot.x + spot.wide < other.x || Math.abs(spot.y - other.y) > high + 3));
    const spot = free ?? (must ? spots[0] : undefined);
    if (!spot) return;
    taken.push(spot);
    ground(context, text, spot.x, spot.y, "left", high);
    surface.text(spot.x, spot.y, text, { ink, size: high, weight: 600, halo: HALO });
  };
  scene.reading.strokes.forEach((stroke, number) => {
    const own = number === scene.chosen.stroke;
    const ink = INKS[stroke.role];
    const through = scene.fit?.overlay?.curves[String(number + 1)];
    if (scene.step >= 3 && through) line(through, ink, 1.2);
    else line(stroke.closed && stroke.points[0] ? [...stroke.points, stroke.points[0]] : stroke.points, ink, own ? 2 : 1.2);
    if (scene.step < 3 || own)
      stroke.points.forEach((place, k) => {
        const [u, v] = toScreen(place);
        const picked = own && k === scene.chosen.point;
        const size = (picked ? 6 : own ? 4 : 2.5) * scene.inks.weight;
        surface.mark(u, v, SHAPES[stroke.role], size, { ink, width: picked ? 3 : 1.4 }, picked ? "#ffd34d" : HALO);
      });
    const at = (share: number) => stroke.points[Math.round(share * (stroke.points.length - 1))];
    const places = (stroke.role === "line" ? [1, 0, 0.5] : [0.5, 0.3, 0.7, 0.1, 0.9, 0, 1]).map(at).filter((place): place is Place => place !== undefined);
    words(places, stroke.value || (stroke.role === "surge" ? "surge" : "value?"), ink, own);
  });
  if (scene.step <= 2)
    scene.reading.marks.forEach((mark, k) => {
      const [u, v] = toScreen(mark.pixel);
      const picked = scene.chosen.stroke < 0 && k === scene.chosen.point;
      surface.mark(u, v, "cross", picked ? 8 : 6, { ink: HALO, width: 4 });
      surface.mark(u, v, "cross", picked ? 8 : 6, { ink: MARK, width: picked ? 3 : 2 });
      words([mark.pixel], `${k + 1}: ${short(mark.x)}, ${short(mark.y)}`, MARK, true);
      const found = scene.axes;
      if (!found || mark.x === null || mark.y === null) return;
      const should = pixelOf(found.to_pixels, found.log, mark.x, mark.y);
      if (should) line([mark.pixel, should], MARK, 2);
    });
  if (scene.crossShown) crossHair(surface, scene);
}

function fitted(surface: CanvasSurface, scene: Scene, line: (places: readonly Place[], ink: string, thick: number, dash?: number[]) => void): void {
  const found = scene.fit?.overlay?.surface;
  if (found) {
    for (const level of found.levels) {
      const pieces = contour(found.pixels, found.efficiency, level);
      const points: (readonly [number, number] | null)[] = [];
      for (const [a, b] of pieces) points.push(toScreen(a), toScreen(b), null);
      surface.line(points, { ink: FITTED, width: 2 * scene.inks.weight, dash: [7, 4] });
      const middle = pieces[Math.floor(pieces.length / 3)]?.[0];
      if (middle) {
        const [u, v] = toScreen(middle);
        ground(surface.context, `${(100 * level).toFixed(1).replace(/\.0$/, "")} %`, u, v, "center", 11 * scene.inks.size);
        surface.text(u, v, `${(100 * level).toFixed(1).replace(/\.0$/, "")} %`, { ink: FITTED, size: 11 * scene.inks.size, weight: 600, halo: HALO, align: "center" });
      }
    }
  }
  for (const island of scene.fit?.islands ?? [])
    island.pixels.forEach((place, k) => {
      const miss = island.residuals[k];
      const [u, v] = toScreen(place);
      if (miss === null || miss === undefined) surface.mark(u, v, "cross", 4, { ink: INKS.island, width: 1.5 });
      else surface.mark(u, v, "circle", Math.min(14, 2 + 600 * Math.abs(miss)), { ink: INKS.island, width: 1.4 });
    });
  for (const read of scene.fit?.lines ?? [])
    read.pixels.forEach((place, k) => {
      const [u, v] = toScreen(place);
      const beyond = read.known[k] === "extrapolated";
      surface.mark(u, v, beyond ? "square" : "circle", beyond ? 4 : 2.5, { ink: INKS.line, width: 1.4 }, beyond ? HALO : INKS.line);
    });
  for (const read of scene.fit?.curves ?? []) line(read.pixels, INKS.line, 1.4);
}

const short = (value: number | null) => (value === null ? "–" : String(Number(value.toPrecision(5))));

/** White paper under a label, so that it does not read together with what is printed there. */
function ground(context: CanvasRenderingContext2D, text: string, x: number, y: number, align: "left" | "right" | "center", size: number): void {
  context.font = `600 ${size}px ${FONT}`;
  const wide = context.measureText(text).width;
  const left = align === "left" ? x : align === "right" ? x - wide : x - wide / 2;
  context.globalAlpha = 0.85;
  context.fillStyle = HALO;
  context.fillRect(left - 2, y - size / 2 - 2, wide + 4, size + 4);
  context.globalAlpha = 1;
}

const GLASS = 132;

/** The cross, and a magnifying glass with what lies round it: beside the cross, on the side with room. */
function crossHair(surface: CanvasSurface, scene: Scene): void {
  const { context } = surface;
  const [u, v] = toScreen(scene.cross);
  for (const [ink, width] of [
    [HALO, 3],
    ["#111111", 1],
  ] as const) {
    surface.line([[u - 14, v], [u - 3, v], null, [u + 3, v], [u + 14, v]], { ink, width });
    surface.line([[u, v - 14], [u, v - 3], null, [u, v + 3], [u, v + 14]], { ink, width });
  }
  const times = Math.max(4, 2 * view.value.scale);
  const half = GLASS / 2 / times;
  const left = u + 30 + GLASS < sheet.value.width ? u + 30 : u - 30 - GLASS;
  const top = Math.min(Math.max(4, v - GLASS - 18), sheet.value.height - GLASS - 4);
  context.save();
  context.beginPath();
  context.rect(left, top, GLASS, GLASS);
  context.clip();
  context.fillStyle = scene.inks.grid;
  context.fillRect(left, top, GLASS, GLASS);
  context.imageSmoothingEnabled = false;
  context.drawImage(scene.picture, scene.cross[0] - half, scene.cross[1] - half, 2 * half, 2 * half, left, top, GLASS, GLASS);
  context.restore();
  const middle: Place = [left + GLASS / 2, top + GLASS / 2];
  surface.line([[left, middle[1]], [middle[0] - 5, middle[1]], null, [middle[0] + 5, middle[1]], [left + GLASS, middle[1]]], { ink: "#c01818", width: 1 });
  surface.line([[middle[0], top], [middle[0], middle[1] - 5], null, [middle[0], middle[1] + 5], [middle[0], top + GLASS]], { ink: "#c01818", width: 1 });
  surface.line([[left, top], [left + GLASS, top], [left + GLASS, top + GLASS], [left, top + GLASS], [left, top]], { ink: scene.inks.ink, width: 1.5 });
}
