/** What a plot over engine speed is made of. Numbers are SI; the plot turns them into the user's units. */
import { column, unitName, unitOf } from "./units";

export interface PlotLine {
  /** Name of the quantity: heads the CSV column. */
  key: string;
  /** Stands at the line's end, and in the readout: short. */
  label: string;
  values: readonly (number | null)[];
  /** 0..3; dash follows the ink unless given. */
  ink?: 0 | 1 | 2 | 3;
  dash?: 0 | 1 | 2 | 3;
  /** On the right axis, with `rightKind` as its unit. */
  right?: boolean;
  /** A case held beside this one: thin, dashed, its letter at the end. */
  letter?: string;
  /** A bound, not a result: thin, with its words. */
  bound?: boolean;
  band?: { low: readonly (number | null)[]; high: readonly (number | null)[] } | null;
}

export interface PlotSpec {
  /** File name of what is saved. */
  name: string;
  title: string;
  /** Engine speeds, rad/s. */
  speeds: readonly number[];
  kind: string;
  /** "absolute", "gauge": stands beside the unit. */
  basis?: string;
  rightKind?: string;
  lines: readonly PlotLine[];
  fromZero?: boolean;
  /** Said under the plot: what is shaded. */
  note?: string;
  /** Shown in the middle when no line has a point. */
  empty?: string;
}

export const kindOfLine = (spec: PlotSpec, line: PlotLine): string => (line.right && spec.rightKind ? spec.rightKind : spec.kind);

/** "torque, Nm; power, kW, right": what the axes are. */
export function axisWords(spec: PlotSpec): string {
  const of = (kind: string) => unitName(unitOf(kind).unit) || "ratio";
  const left = [of(spec.kind), spec.basis].filter(Boolean).join(" ");
  if (!spec.rightKind) return left;
  return `left: ${left}, right: ${of(spec.rightKind)}`;
}

export function userValues(spec: PlotSpec, line: PlotLine): (number | null)[] {
  return column(kindOfLine(spec, line), line.values);
}

export function columnsOf(spec: PlotSpec) {
  const speed = unitOf("rotational_speed").unit;
  const of = (line: PlotLine) => {
    const kind = kindOfLine(spec, line);
    return [unitOf(kind).unit, line.right ? "" : spec.basis].filter(Boolean).join(" ") || "-";
  };
  const nameOf = (line: PlotLine) => (line.letter ? `${line.key} (case ${line.letter})` : line.key);
  return [
    { name: "engine_speed", unit: speed, values: column("rotational_speed", spec.speeds) },
    ...spec.lines.flatMap((line) => [
      { name: nameOf(line), unit: of(line), values: userValues(spec, line) },
      ...(line.band
        ? [
            { name: `${nameOf(line)} low`, unit: of(line), values: column(kindOfLine(spec, line), line.band.low) },
            { name: `${nameOf(line)} high`, unit: of(line), values: column(kindOfLine(spec, line), line.band.high) },
          ]
        : []),
    ]),
  ];
}
