/** The figures of a picture as a table, folded away until somebody asks. */
import { useState } from "preact/hooks";
import type { Column } from "./export";
import { fixed } from "./format";

const digits = (value: number) => (Math.abs(value) >= 1000 ? 0 : Math.abs(value) >= 100 ? 1 : Math.abs(value) >= 1 ? 2 : 4);

export function DataTable(props: { title: string; columns: () => readonly Column[] }) {
  const [open, setOpen] = useState(false);
  const columns = open ? props.columns() : [];
  const rows = Math.max(0, ...columns.map((column) => column.values.length));
  return (
    <details class="data" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary aria-label={`Figures as a table: ${props.title}`}>Table</summary>
      {open && (
        <div class="table-scroll" tabIndex={0} role="region" aria-label={`Table: ${props.title}`}>
          <table>
            <thead>
              <tr>
                {columns.map((column) => (
                  <th key={column.name} scope="col">
                    {column.name.replaceAll("_", " ")}
                    <span class="unit">{column.unit}</span>
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {Array.from({ length: rows }, (_, row) => (
                <tr key={row}>
                  {columns.map((column) => {
                    const value = column.values[row] ?? null;
                    return <td key={column.name} class="number">{typeof value === "number" ? fixed(value, digits(value)) : (value ?? "–")}</td>;
                  })}
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </details>
  );
}
