/** Figures of merit in the user's units. */
import { fixed } from "../lib/format";
import { decimalsOf, kindOf, toUser, unitName, unitOf } from "../lib/units";
import type { Case, Figure } from "./whatif_result";

export const kindOfFigure = (name: string, figure: Figure | undefined): string => kindOf(name, figure?.unit ?? "1");

export function unitOfFigure(name: string, figure: Figure | undefined): string {
  return [unitName(unitOf(kindOfFigure(name, figure)).unit), figure?.basis && figure.unit === "Pa" ? figure.basis : ""].filter(Boolean).join(" ");
}

export function decimalsOfFigure(name: string, figure: Figure | undefined): number {
  const kind = kindOfFigure(name, figure);
  return name === "limits_exceeded" ? 0 : kind === "power" ? 1 : decimalsOf(kind);
}

export function userFigure(name: string, figure: Figure | undefined, value: number | null | undefined): number | null {
  return value === null || value === undefined ? null : toUser(kindOfFigure(name, figure), value);
}

export function shownFigure(name: string, figure: Figure | undefined, one: Case): string {
  const value = userFigure(name, figure, one.figures[name]);
  if (value === null) return name === "threshold" && one.threshold_below_lowest_speed ? "below the lowest speed" : "–";
  return fixed(value, decimalsOfFigure(name, figure));
}
