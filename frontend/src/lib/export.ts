/**
 * What leaves the page: CSV from columns, PNG and SVG from one drawing function, a file saved under a speaking name.
 * Pictures are drawn anew on white paper from the data, so they do not depend on theme, window or zoom.
 */
import { CanvasSurface, SvgSurface, type Surface } from "./surface";
import { LIGHT, type Inks } from "./inks";
import { changes, form } from "./state";

export interface Column {
  /** Heading, as a name: "torque". */
  name: string;
  /** Second row: the unit; "-" for none. */
  unit: string;
  values: readonly (number | string | null)[];
}

/** RFC 4180, a row of names and a row of units, full precision; a missing value is an empty cell. */
export function csvOf(columns: readonly Column[]): string {
  const cell = (value: number | string | null | undefined) => {
    if (value === null || value === undefined || (typeof value === "number" && !Number.isFinite(value))) return "";
    const text = typeof value === "number" ? String(Number(value.toPrecision(7))) : value;
    // a cell that begins like a formula would be run by a spreadsheet
    const safe = typeof value === "string" && /^(?:[=+@\t\r]|-.)/.test(text) ? `'${text}` : text;
    return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
  };
  const rows = Math.max(0, ...columns.map((column) => column.values.length));
  const lines = [columns.map((column) => cell(column.name)), columns.map((column) => cell(column.unit))];
  for (let row = 0; row < rows; row++) lines.push(columns.map((column) => cell(column.values[row])));
  return lines.map((line) => line.join(",")).join("\r\n") + "\r\n";
}

export function save(name: string, content: Blob): void {
  const address = URL.createObjectURL(content);
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}

export function saveCsv(name: string, columns: readonly Column[]): void {
  save(`${fileName(name)}.csv`, new Blob([csvOf(columns)], { type: "text/csv;charset=utf-8" }));
}

/** Stands small under every picture: which build it shows, and what was changed for it. */
function footnote(surface: Surface, width: number, height: number): void {
  const build = form.peek();
  if (!build) return;
  const changed = Object.entries(changes.peek()).map(([key, text]) => `${key} = ${text === null ? "taken out" : text.startsWith("{") ? "a table" : text}`);
  const words = `${build.title || build.name}${changed.length > 0 ? ` with ${changed.join("; ")}` : ""}`;
  const most = Math.floor(width / 6);
  surface.text(12, height - 8, words.length > most ? `${words.slice(0, most)} …` : words, { ink: LIGHT.soft, size: 10.5 });
}

/** Draws a picture; called once per paper. */
export type Draw = (surface: Surface, width: number, height: number, inks: Inks) => void;

export function saveSvg(name: string, title: string, draw: Draw, width = 960, height = 560): void {
  const surface = new SvgSurface(width, height, title, LIGHT.sheet);
  draw(surface, width, height, LIGHT);
  footnote(surface, width, height);
  save(`${fileName(name)}.svg`, new Blob([surface.toString()], { type: "image/svg+xml" }));
}

export function savePng(name: string, draw: Draw, width = 960, height = 560, scale = 2): void {
  const canvas = document.createElement("canvas");
  canvas.width = width * scale;
  canvas.height = height * scale;
  const context = canvas.getContext("2d");
  if (!context) return;
  context.scale(scale, scale);
  context.fillStyle = LIGHT.sheet;
  context.fillRect(0, 0, width, height);
  const surface = new CanvasSurface(context);
  draw(surface, width, height, LIGHT);
  footnote(surface, width, height);
  canvas.toBlob((blob) => blob && save(`${fileName(name)}.png`, blob), "image/png");
}

/** Letters, digits and hyphens only. */
export function fileName(name: string): string {
  return name.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "") || "boostwright";
}
