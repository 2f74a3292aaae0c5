/** Every case, ranked; ticked ones go side by side. */
import { useState } from "preact/hooks";
import { limitTitle } from "../decide/limit_words";
import { file } from "../lib/api";
import { save } from "../lib/export";
import { Table, type Row, type TableColumn } from "../lib/table";
import { withUnit } from "../lib/units";
import { compare, layBeside } from "./asked";
import { decimalsOfFigure, shownFigure, unitOfFigure, userFigure } from "./figures";
import { TakeButtons } from "./take";
import { figureChoice, figureName, trying, type Case, type WhatIf } from "./whatif_result";

const COLUMNS = ["threshold", "peak_power", "peak_power_speed", "peak_torque", "mean_torque", "drive_pressure_ratio", "drive_pressure_ratio_most", "creep_floor", "surge_margin", "choke_margin", "shaft_speed", "egt_reading"];
const FIRST = 40;
const MOST_SHOWN = 1000;
const MOST_BESIDE = 5;

export function Ranked({ found }: { found: WhatIf }) {
  const [all, setAll] = useState(false);
  const currency = found.cases.find((one) => one.currency)?.currency ?? "";
  const priced = found.cases.some((one) => one.price !== null && one.number > 0);
  const names = [found.ranked_by, ...COLUMNS.filter((name) => name !== found.ranked_by)];
  const order = [...found.ranked, ...found.cases.filter((one) => one.reason).map((one) => one.number)];
  const rows = order.slice(0, all ? MOST_SHOWN : FIRST).map((number, index): Row => {
    const one = found.cases[number] as Case;
    const row: Row = { rank: one.reason ? null : index + 1, name: one.name, number, price: one.price, over: trouble(one) };
    for (const name of names) row[name] = userFigure(name, found.figures[name], one.figures[name]);
    return row;
  });
  const figure = (name: string): TableColumn => ({
    key: name,
    title: name === found.ranked_by ? figureChoice(name) : figureName(name),
    unit: unitOfFigure(name, found.figures[name]),
    decimals: decimalsOfFigure(name, found.figures[name]),
    show: (_, row) => {
      const one = found.cases[Number(row["number"])];
      const text = one ? shownFigure(name, found.figures[name], one) : "–";
      return name === found.ranked_by ? <strong>{text}</strong> : text;
    },
  });
  return (
    <div class="ranked">
      <Table
        name="what-if"
        caption={`Ranked by ${figureChoice(found.ranked_by)}, ${found.figures[found.ranked_by]?.better === "less" ? "lowest" : "highest"} first`}
        columns={[
          { key: "rank", title: "rank", decimals: 0 },
          { key: "name", title: "case", heads: true, show: (_, row) => <CaseCell one={found.cases[Number(row["number"])] as Case} /> },
          { key: "number", title: "to the screen", show: (_, row) => <PutCell one={found.cases[Number(row["number"])] as Case} /> },
          ...(priced ? [{ key: "price", title: "price", unit: currency, decimals: 0 }] : []),
          ...names.slice(0, 1).map(figure),
          { key: "over", title: "trouble" },
          ...names.slice(1).map(figure),
        ]}
        rows={rows}
        note="The table scrolls sideways where it is wider than the page. Take puts a case onto the screen, hold keeps it as a letter beside the curves; ticked cases can be laid side by side. Cases over a limit or without a steady state somewhere stand below the others. Pressures are absolute; a threshold is a lower bound, since a gear and a ramp move it up."
      />
      <p class="take-row">
        <button type="button" disabled={compare.value.length < 2 || trying.running.value} onClick={layBeside}>
          Lay {compare.value.length > 1 ? `${compare.value.length} cases` : "ticked cases"} side by side
        </button>
        {order.length > FIRST && (
          <button type="button" onClick={() => setAll(!all)}>
            {all ? `First ${FIRST} only` : order.length > MOST_SHOWN ? `Show the first ${MOST_SHOWN}` : `Show all ${order.length}`}
          </button>
        )}
        <button type="button" onClick={() => void saveTable()}>
          Every case as CSV
        </button>
        <button type="button" onClick={() => save("what-if.json", new Blob([JSON.stringify(found, null, 1)], { type: "application/json" }))}>
          Everything as JSON
        </button>
      </p>
    </div>
  );
}

async function saveTable(): Promise<void> {
  save("what-if.csv", await file(`${trying.address}/table.csv`));
}

function CaseCell({ one }: { one: Case }) {
  const ticked = compare.value.includes(one.number);
  const full = compare.value.length >= MOST_BESIDE && !ticked;
  const turn = () => (compare.value = ticked ? compare.value.filter((number) => number !== one.number) : [...compare.value, one.number]);
  return (
    <label class="tick">
      <input type="checkbox" checked={ticked} disabled={full || one.reason !== ""} onChange={turn} aria-label={`Compare ${one.name}`} /> <span>{one.name}</span>
    </label>
  );
}

function PutCell({ one }: { one: Case }) {
  return one.reason ? null : <TakeButtons one={one} />;
}

function trouble(one: Case): string {
  if (one.reason) return one.reason;
  const span = ([low, high]: [number, number]) => (low === high ? withUnit("rotational_speed", low, 0) : `${withUnit("rotational_speed", low, 0).replace(/\s\S+$/, "")} to ${withUnit("rotational_speed", high, 0)}`);
  return [...Object.entries(one.exceeded).map(([name, at]) => `${limitTitle(name)} ${span(at)}`), ...Object.entries(one.unsteady).map(([name, at]) => `${name.replaceAll("-", " ")} ${span(at)}`)].join("; ") || "none";
}
