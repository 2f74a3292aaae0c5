/**
 * Altitude as ONE handle. A build that gives the air as station pressure would be left with sea-level air on a mountain;
 * so moving the altitude takes the pressure along, as the standard atmosphere falls with height (ISO 2533, troposphere),
 * from what the air is today brought down to sea level.
 */
import { changes, form, written } from "../lib/state";
import type { Changes } from "../lib/types";
import { choicesOf } from "../lib/units";
import { compose, parse } from "./value_text";

export const ALTITUDE_WORDS = "Moving it takes a station pressure along, as the standard atmosphere falls with height (ISO 2533).";

/** Pressure of the standard atmosphere over that at sea level; height in m, up to 11 000 m. */
export const shareOfSeaLevel = (height: number): number => (1 - 2.25577e-5 * height) ** 5.25588;

/** Station pressure at `to` of the air that has `pressure` at `from`. */
export function movedPressure(pressure: number, from: number, to: number): number {
  return (pressure * shareOfSeaLevel(to)) / shareOfSeaLevel(from);
}

const text = (key: string): string | null => (key in changes.peek() ? (changes.peek()[key] ?? null) : (written.peek()[key] ?? null));

function metres(of: string | null): number | null {
  const found = parse(of);
  const unit = choicesOf("length").find((choice) => choice.unit === (found?.rest || "m"));
  return found && unit ? found.number * unit.factor : null;
}

/** A change with those it must not come without. */
export function withCompanions(key: string, value: string | null): Changes {
  if (key !== "ambient.altitude") return { [key]: value };
  const pressure = parse(text("ambient.pressure"));
  const basis = text("ambient.pressure_basis") ?? basisAsRead();
  const [from, to] = [metres(text(key) ?? "0 m"), metres(value ?? "0 m")];
  if (!pressure || basis === "QNH" || from === null || to === null || from === to) return { [key]: value };
  // back at the file's own altitude, the file's own pressure: no rounding is left behind
  const back = value === (written.peek()[key] ?? null) && !("ambient.pressure_basis" in changes.peek()) ? written.peek()["ambient.pressure"] : null;
  const moved = Math.round(movedPressure(pressure.number, from, to) * 1e4) / 1e4;
  return { [key]: value, "ambient.pressure": back ?? compose(moved, pressure.rest) };
}

/** Basis as the server read it: it may stand in the value itself ("95 kPa station"). */
function basisAsRead(): string | undefined {
  return form.peek()?.sections.find((section) => section.name === "ambient")?.parameters.find((parameter) => parameter.key === "ambient.pressure")?.basis;
}
