/**
 * Values as build.toml writes them, taken apart and put together again without losing how their owner wrote them: a
 * number keeps its unit and basis, a table keeps every key but the one that changed.
 */
import { significant } from "../lib/format";
import type { UnitChoice } from "../lib/types";

export interface Written {
  number: number;
  /** Everything behind the number: unit, basis, band. */
  rest: string;
}

const NUMBER = /^\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)(?![\d.])\s*(.*)$/;

/** "0.6 bar gauge" -> 0.6 and "bar gauge"; null for what does not begin with a number, or is a table. */
export function parse(text: string | null): Written | null {
  const match = NUMBER.exec(text ?? "");
  if (!match) return null;
  return { number: Number(match[1]), rest: (match[2] ?? "").trim() };
}

export function compose(number: number, rest: string): string {
  const text = significant(number, 6);
  return rest === "" ? text : rest.startsWith("%") ? `${text} ${rest}` : `${text} ${rest}`;
}

export interface Track {
  low: number;
  high: number;
  step: number;
}

/** 1, 2 or 5 times a power of ten, not above a 200th of the way: what one press of an arrow key moves. */
export function niceStep(width: number): number {
  const raw = width / 200;
  const power = 10 ** Math.floor(Math.log10(raw));
  return [5, 2, 1].map((factor) => factor * power).find((step) => step <= raw * 1.0001) ?? power;
}

/** How far a handle reaches to either side of the value written; further is typed. */
const REACH = 0.4;

/**
 * Where a slider may go, in the unit the value is written in: 40 % to either side of the value, inside the bounds beyond
 * which the program asks whether it was meant. Where the number's nought is a convention or a place among others
 * (temperature, angle, height), and for a value near nought, the whole way between the bounds. The value is always inside.
 */
export function trackOf(written: Written, si: number | null, bounds: { low: number | null; high: number | null }, units: readonly UnitChoice[], kind: string): Track {
  const { number } = written;
  const unit = units.find((choice) => written.rest === choice.unit || written.rest.startsWith(`${choice.unit} `));
  const scale = unit ?? (si !== null && number !== 0 ? { factor: si / number, offset: 0 } : null);
  // where the number's basis shifts it (gauge, flange), bounds in SI do not fit the number as written
  const fits = scale !== null && si !== null && Math.abs(number * scale.factor + scale.offset - si) <= 1e-6 * Math.max(1e-12, Math.abs(si));
  const inUnit = (bound: number | null) => (fits && scale && bound !== null ? (bound - scale.offset) / scale.factor : null);
  const [lowest, highest] = [inUnit(bounds.low), inUnit(bounds.high)];
  const whole = kind === "integer";
  // brought down to sea level, weather moves the air by a few per cent only
  const near = Math.abs(number) * (written.rest.endsWith("QNH") ? 0.06 : REACH);
  const far = whole || WHOLE_WAY.has(kind) || near < ((highest ?? 0) - (lowest ?? 0)) / 50;
  const spanned = near || 1;
  let low = far ? (lowest ?? (highest !== null && highest > 0 ? Math.min(0, number) : number - spanned)) : Math.max(lowest ?? -Infinity, number - spanned);
  let high = far ? (highest ?? number + spanned) : Math.min(highest ?? Infinity, number + spanned);
  low = Math.min(low, number);
  high = Math.max(high, number);
  if (whole) return { low: Math.floor(low), high: Math.max(Math.ceil(high), Math.floor(low) + 1), step: 1 };
  const step = niceStep(high - low);
  return { low: Math.floor(low / step + 1e-9) * step, high: Math.ceil(high / step - 1e-9) * step, step };
}
const WHOLE_WAY = new Set(["temperature", "angle", "altitude"]);

/** A table's text with another list of numbers under `key`. */
export function withList(text: string, key: string, numbers: readonly number[]): string {
  return text.replace(new RegExp(`(\\b${key}\\s*=\\s*)\\[[^\\]]*\\]`), (_, head: string) => `${head}[${numbers.map((number) => significant(number, 5)).join(", ")}]`);
}

/** The numbers under `key` of a table's text; null where there are none or one is no number. */
export function listOf(text: string | null, key: string): number[] | null {
  const match = new RegExp(`\\b${key}\\s*=\\s*\\[([^\\]]*)\\]`).exec(text ?? "");
  if (!match?.[1]) return null;
  const numbers = match[1].split(",").filter((item) => item.trim() !== "").map(Number);
  return numbers.length > 0 && numbers.every(Number.isFinite) ? numbers : null;
}
