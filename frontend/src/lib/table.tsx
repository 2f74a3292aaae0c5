/**
 * A table that can be sorted by its headings and taken away as CSV.
 *
 * <Table name="what-if" caption="Cases" columns={[{key, title, unit?, align?}]} rows={[{key: number|string|null}]} />
 *
 * A cell is sorted and exported by its value and shown by `show` (a number in the user's unit, with its own decimals).
 */
import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { saveCsv } from "./export";
import { fixed } from "./format";

export type Cell = number | string | null;
export type Row = Record<string, Cell>;
export interface TableColumn {
  key: string;
  title: string;
  /** Shown under the heading and in the CSV's second row. */
  unit?: string;
  /** Decimals of a number; ignored with `show`. */
  decimals?: number;
  show?: (value: Cell, row: Row) => ComponentChildren;
  /** The cell that names its row. */
  heads?: boolean;
  sortable?: boolean;
}

/** Rows in order of one column; empty cells last whichever way round. */
export function sorted(rows: readonly Row[], key: string, down: boolean): Row[] {
  return [...rows].sort((a, b) => {
    const left = a[key] ?? null;
    const right = b[key] ?? null;
    if (left === null || right === null) return left === right ? 0 : left === null ? 1 : -1;
    const order = typeof left === "number" && typeof right === "number" ? left - right : String(left).localeCompare(String(right));
    return down ? -order : order;
  });
}

export function Table(props: { name: string; caption: string; columns: readonly TableColumn[]; rows: readonly Row[]; note?: string; hideCaption?: boolean }) {
  const [order, setOrder] = useState<{ key: string; down: boolean } | null>(null);
  const rows = order ? sorted(props.rows, order.key, order.down) : props.rows;
  const csv = () =>
    saveCsv(
      props.name,
      props.columns.map((column) => ({ name: column.title, unit: column.unit || "-", values: rows.map((row) => row[column.key] ?? null) })),
    );
  const turn = (key: string) => setOrder((now) => (now?.key !== key ? { key, down: false } : now.down ? null : { key, down: true }));
  return (
    <div class="table-box">
      <div class="table-scroll" tabIndex={0} role="region" aria-label={props.caption}>
        <table>
          <caption class={props.hideCaption ? "unseen" : ""}>{props.caption}</caption>
          <thead>
            <tr>
              {props.columns.map((column) => {
                const now = order?.key === column.key ? (order.down ? "descending" : "ascending") : "none";
                const sign = now === "ascending" ? " ▲" : now === "descending" ? " ▼" : "";
                return (
                  <th key={column.key} scope="col" aria-sort={now}>
                    {column.sortable === false ? (
                      column.title
                    ) : (
                      <button type="button" class="heading" onClick={() => turn(column.key)}>
                        {column.title}
                        <span aria-hidden="true">{sign}</span>
                      </button>
                    )}
                    {column.unit && <span class="unit">{column.unit}</span>}
                  </th>
                );
              })}
            </tr>
          </thead>
          <tbody>
            {rows.map((row, index) => (
              <tr key={index}>
                {props.columns.map((column) => {
                  const value = row[column.key] ?? null;
                  const shown = column.show
                    ? column.show(value, row)
                    : typeof value === "number"
                      ? fixed(value, column.decimals ?? 1)
                      : (value ?? "–");
                  return column.heads ? (
                    <th key={column.key} scope="row">
                      {shown}
                    </th>
                  ) : (
                    <td key={column.key} class={typeof value === "number" ? "number" : ""}>
                      {shown}
                    </td>
                  );
                })}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <div class="table-foot">
        {props.note && <p class="note">{props.note}</p>}
        <button type="button" class="quiet" onClick={csv} aria-label={`Save table as CSV: ${props.caption}`}>
          CSV
        </button>
      </div>
    </div>
  );
}
