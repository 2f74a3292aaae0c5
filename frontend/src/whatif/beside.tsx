/** Two to five cases side by side: their curves and their figures. */
import { Plot, type PlotLine, type PlotSpec } from "../lib/plot";
import { Table, type Row } from "../lib/table";
import type { Values } from "../lib/types";
import { decimalsOfFigure, unitOfFigure, userFigure } from "./figures";
import { figureChoice, type WhatIf } from "./whatif_result";

const LETTERS = ["A", "B", "C", "D", "E"];
const CURVES: readonly (Omit<PlotSpec, "speeds" | "lines"> & { quantity: string })[] = [
  { quantity: "torque", name: "beside-torque", title: "Torque", kind: "torque", fromZero: true },
  { quantity: "power", name: "beside-power", title: "Power", kind: "power", fromZero: true },
  { quantity: "pressure_im", name: "beside-boost", title: "Intake manifold pressure", kind: "pressure", basis: "absolute" },
  { quantity: "drive_pressure_ratio", name: "beside-drive-ratio", title: "Drive-pressure ratio", kind: "dimensionless" },
  { quantity: "egt_reading", name: "beside-egt", title: "EGT reading", kind: "temperature" },
];

export function Beside({ found }: { found: WhatIf }) {
  const cases = found.side_by_side;
  if (cases.length < 2) return null;
  const rows = Object.keys(found.figures).map((name): Row => {
    const row: Row = { figure: figureChoice(name), unit: unitOfFigure(name, found.figures[name]) };
    cases.forEach(({ case: called }, index) => {
      const one = found.cases.find((candidate) => candidate.name === called);
      row[LETTERS[index] ?? ""] = userFigure(name, found.figures[name], one?.figures[name]);
    });
    return row;
  });
  const decimals = new Map(Object.keys(found.figures).map((name) => [figureChoice(name), decimalsOfFigure(name, found.figures[name])]));
  return (
    <section class="side-by-side" aria-labelledby="beside">
      <h2 id="beside">Side by side</h2>
      <ul class="letters">
        {cases.map(({ case: called }, index) => (
          <li key={called}>
            <strong>{LETTERS[index]}</strong> {called}
          </li>
        ))}
      </ul>
      <div class="answer-plots">
        {CURVES.map(({ quantity, ...rest }) => (
          <Plot key={quantity} spec={{ ...rest, speeds: found.engine_speed.values, lines: lines(found, quantity) }} />
        ))}
      </div>
      <Table
        name="side-by-side"
        caption="Figures side by side"
        columns={[
          { key: "figure", title: "figure", heads: true, sortable: false },
          { key: "unit", title: "unit", sortable: false },
          ...cases.map((_, index) => {
            const letter = LETTERS[index] ?? "";
            return { key: letter, title: letter, sortable: false, show: (value: unknown, row: Row) => (typeof value === "number" ? value.toFixed(decimals.get(String(row["figure"])) ?? 1) : "–") };
          }),
        ]}
        rows={rows}
      />
    </section>
  );
}

function lines(found: WhatIf, quantity: string): PlotLine[] {
  return found.side_by_side.map(({ prediction }, index): PlotLine => {
    const values: Values = prediction.quantities[quantity]?.values ?? [];
    const ink = (index % 4) as 0 | 1 | 2 | 3;
    return { key: `${quantity} ${LETTERS[index]}`, label: LETTERS[index] ?? "", values, ink, dash: index === 4 ? 1 : ink };
  });
}
