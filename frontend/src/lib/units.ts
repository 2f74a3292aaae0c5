/**
 * Units on the screen: SI inside, the user's own unit per kind of quantity at the edge, remembered in this browser.
 *
 * loadUnits            asks the server for the table (the same one the Python side reads and prints with)
 * unitOf(kind)         the unit now chosen (reads a signal: a component that calls it redraws on a change)
 * chooseUnit(kind, u)  choose and remember
 * toUser, toSi         numbers across the edge
 * kindOf(name, si)     kind of quantity of a named result ("surge_margin", "1") -> "share"
 * shown(name, si, v)   "1 650 rpm", "78.2 kPa gauge", "12 %": text for people
 */
import { signal } from "@preact/signals";
import { fixed } from "./format";
import { get } from "./api";
import type { UnitChoice, UnitTable } from "./types";

const STORE = "boostwright.units";

/** Used until the server has answered, and for kinds it does not name. */
const BUILT_IN: UnitTable = {
  rotational_speed: [{ unit: "rpm", factor: (2 * Math.PI) / 60, offset: 0 }],
  pressure: [{ unit: "kPa", factor: 1e3, offset: 0 }],
  temperature: [{ unit: "degC", factor: 1, offset: 273.15 }],
  temperature_difference: [{ unit: "K", factor: 1, offset: 0 }],
  torque: [{ unit: "Nm", factor: 1, offset: 0 }],
  power: [{ unit: "kW", factor: 1e3, offset: 0 }],
  mass_flow: [{ unit: "kg/s", factor: 1, offset: 0 }],
  volume_flow: [{ unit: "L/h", factor: 1e-3 / 3600, offset: 0 }],
  force: [{ unit: "kN", factor: 1e3, offset: 0 }],
  angle: [{ unit: "deg", factor: Math.PI / 180, offset: 0 }],
  length: [{ unit: "mm", factor: 1e-3, offset: 0 }],
  specific_fuel_consumption: [{ unit: "g/kWh", factor: 1e-3 / 3.6e6, offset: 0 }],
  share: [{ unit: "%", factor: 0.01, offset: 0 }],
  dimensionless: [{ unit: "", factor: 1, offset: 0 }],
};

/** The order in which the units dialog lists the kinds, in words. */
export const KINDS_SHOWN: readonly (readonly [kind: string, words: string])[] = [
  ["pressure", "Pressure"],
  ["temperature", "Temperature"],
  ["torque", "Torque"],
  ["power", "Power"],
  ["mass_flow", "Mass flow"],
  ["volume_flow", "Volume flow"],
  ["rotational_speed", "Speed of rotation"],
  ["force", "Force"],
  ["length", "Length"],
];

const OF_SI: Record<string, string> = {
  "rad/s": "rotational_speed",
  Pa: "pressure",
  K: "temperature",
  Nm: "torque",
  W: "power",
  "kg/s": "mass_flow",
  "m3/s": "volume_flow",
  N: "force",
  rad: "angle",
  m: "length",
  "kg/J": "specific_fuel_consumption",
};

const SHARE = /(_margin|_efficiency|efficiency|_duty|_share|fraction|recovery|effectiveness)$/;
const DIFFERENCE = /(_error|_offset|_spread)$/;

export const table = signal<UnitTable>(BUILT_IN);
const chosen = signal<Record<string, string>>(read());

function read(): Record<string, string> {
  try {
    const text = localStorage.getItem(STORE);
    return text ? (JSON.parse(text) as Record<string, string>) : {};
  } catch {
    return {};
  }
}

export async function loadUnits(): Promise<void> {
  const answer = await get<UnitTable>("/api/units");
  // a default of the screen's own where there is one: the server's lists begin with what files are written in
  const ordered = Object.entries(answer).map(([kind, list]) => {
    const first = BUILT_IN[kind]?.[0]?.unit;
    const own = list.find((choice) => choice.unit === first);
    return [kind, own ? [own, ...list.filter((choice) => choice !== own)] : list] as const;
  });
  table.value = { ...BUILT_IN, ...Object.fromEntries(ordered) };
}

export function choicesOf(kind: string): UnitChoice[] {
  return table.value[kind] ?? BUILT_IN[kind] ?? [{ unit: "", factor: 1, offset: 0 }];
}

export function unitOf(kind: string): UnitChoice {
  const list = choicesOf(kind);
  const wanted = chosen.value[kind];
  return list.find((choice) => choice.unit === wanted) ?? list[0] ?? { unit: "", factor: 1, offset: 0 };
}

export function chooseUnit(kind: string, unit: string): void {
  chosen.value = { ...chosen.value, [kind]: unit };
  try {
    localStorage.setItem(STORE, JSON.stringify(chosen.value));
  } catch {
    // a browser that keeps nothing still shows the unit until it is closed
  }
}

export function toUser(kind: string, si: number): number {
  const { factor, offset } = unitOf(kind);
  return (si - offset) / factor;
}

export function toSi(kind: string, user: number): number {
  const { factor, offset } = unitOf(kind);
  return user * factor + offset;
}

/** A column of SI numbers in the user's unit; null and NaN stay gaps. */
export function column(kind: string, si: readonly (number | null)[]): (number | null)[] {
  const { factor, offset } = unitOf(kind);
  return si.map((value) => (value === null || !Number.isFinite(value) ? null : (value - offset) / factor));
}

export function kindOf(name: string, siUnit: string): string {
  if (siUnit === "1" || siUnit === "") return SHARE.test(name) ? "share" : "dimensionless";
  if (siUnit === "K" && DIFFERENCE.test(name)) return "temperature_difference";
  return OF_SI[siUnit] ?? "dimensionless";
}

/** What a pressure is counted from, as it must stand beside the number. */
export function basisOf(name: string): string {
  if (name === "boost" || name === "rail_pressure" || name === "pump_outlet_pressure") return "gauge";
  return /^pressure_|_pressure$|^target$/.test(name) ? "absolute" : "";
}

/** Decimals that mean something for a number in this unit. */
export function decimalsOf(kind: string): number {
  const { unit } = unitOf(kind);
  if (kind === "dimensionless") return 2;
  return DECIMALS[unit] ?? 1;
}
const DECIMALS: Record<string, number> = {
  rpm: 0, krpm: 1, "rad/s": 1, Nm: 0, "lbf*ft": 0, kW: 1, PS: 0, "hp (mechanical)": 0, W: 0, degC: 0, degF: 0, K: 0,
  kPa: 1, Pa: 0, hPa: 0, bar: 3, psi: 1, atm: 3, mbar: 0, MPa: 4, inHg: 1, mmHg: 0, "kg/s": 4, "g/s": 1, "kg/min": 2,
  "kg/h": 0, "lb/min": 1, "%": 0, deg: 1, kN: 1, "g/kWh": 0, mm: 1, m: 4, "L/h": 0, "cm3/min": 0,
};

/** "78.2 kPa": unit as people write it. */
export function withUnit(kind: string, si: number | null | undefined, decimals = decimalsOf(kind)): string {
  if (si === null || si === undefined || !Number.isFinite(si)) return "no value";
  const unit = unitName(unitOf(kind).unit);
  const text = fixed(toUser(kind, si), decimals);
  return unit ? `${text}\u00a0${unit}` : text;
}

export function shown(name: string, siUnit: string, si: number | null | undefined): string {
  const basis = basisOf(name);
  const text = withUnit(kindOf(name, siUnit), si);
  return basis && text !== "no value" ? `${text} ${basis}` : text;
}

/** Unit as it is printed: degree signs and dots instead of the file's own spelling. */
export function unitName(unit: string): string {
  return unit.replace(/^deg([CFR])$/, "°$1").replace(/^deg$/, "°").replaceAll("*", "·");
}
