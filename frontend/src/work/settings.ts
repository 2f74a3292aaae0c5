/** Settings as the tasks write them ("section.key=text"), and values as build.toml would hold them. */
import { significant } from "../lib/format";
import type { Changes } from "../lib/types";

/** ["turbine.choked_flow=0.03 kg/s*sqrt(K)/kPa", "ambient.humidity="] -> changes; nothing behind "=" takes a key out. */
export function changesOf(settings: readonly string[]): Changes {
  const found: Changes = {};
  for (const setting of settings) {
    const at = setting.indexOf("=");
    if (at < 1) continue;
    const text = setting.slice(at + 1).trim();
    found[setting.slice(0, at).trim()] = text === "" ? null : text;
  }
  return found;
}

/** A table over engine speed as boost_control.target holds it, in rpm and kPa absolute; gaps are left out. */
export function targetText(speeds: readonly number[], pressures: readonly (number | null)[]): string | null {
  const known = speeds.flatMap((speed, index) => {
    const pressure = pressures[index];
    return pressure === null || pressure === undefined ? [] : [[(speed * 30) / Math.PI, pressure / 1e3] as const];
  });
  if (known.length < 2) return null;
  const list = (place: 0 | 1) => known.map((pair) => significant(pair[place], 6)).join(", ");
  return `{ speed = [${list(0)}], unit = "rpm", value = [${list(1)}], value_unit = "kPa", value_basis = "absolute" }`;
}

/** A spring's rating [Pa gauge] as wastegate.spring_rating holds it. */
export const springText = (rating: number): string => `${significant(rating / 1e5, 4)} bar gauge`;
