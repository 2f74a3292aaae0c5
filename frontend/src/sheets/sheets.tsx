/** Sheets: order sheet, go / no-go, dyno card and pocket card of the plan, to read, print, or take as PDF. */
import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { faultsOf, file, get } from "../lib/api";
import { FaultList } from "../frame/faults";
import { fileName, save } from "../lib/export";
import type { Fault } from "../lib/types";
import { WorkState } from "../work/progress";
import { SHEETS, writing, type SheetPage } from "./sheet_page";
import { SheetView } from "./sheet_view";
import "./sheets.css";

const chosen = signal(SHEETS[0]?.[0] ?? "");
const pages = signal<Record<string, SheetPage>>({});
/** Address of the job the pages are from. */
const from = signal("");
const faults = signal<Fault[]>([]);

async function load(): Promise<void> {
  const address = writing.address;
  try {
    const found = await Promise.all(SHEETS.map(async ([name]) => [name, await get<SheetPage>(`${address}/sheets/${name}`)] as const));
    pages.value = Object.fromEntries(found);
    from.value = address;
    faults.value = [];
  } catch (error) {
    faults.value = faultsOf(error);
  }
}

async function savePdf(name: string): Promise<void> {
  try {
    save(`${fileName(name)}.pdf`, await file(`${from.value}/sheets/${name}.pdf`));
  } catch (error) {
    faults.value = faultsOf(error);
  }
}

export default function SheetsPage() {
  const done = writing.result.value;
  useEffect(() => void writing.adopt(), []);
  useEffect(() => {
    if (done && from.value !== writing.address) void load();
  }, [done]);
  const page = done && from.value === writing.address ? pages.value[chosen.value] : undefined;
  return (
    <div class="work sheets">
      <header class="work-head">
        <h1>Sheets</h1>
        <p class="lead">What goes to the shop, to the first start and to the dyno: filled from the plan of the values now on the screen.</p>
      </header>
      <aside class="work-asked" aria-label="Which sheet">
        <fieldset class="ways">
          <legend>Sheet</legend>
          {SHEETS.map(([name, title, words]) => (
            <label key={name}>
              <input type="radio" name="sheet" checked={chosen.value === name} onChange={() => (chosen.value = name)} /> <span>{title}</span>
              <small>{words}</small>
            </label>
          ))}
        </fieldset>
        <button type="button" class="main" disabled={writing.running.value} onClick={() => void writing.start({})}>
          {done ? "Fill in again" : "Fill in the sheets"}
        </button>
        <WorkState work={writing} />
        {faults.value.length > 0 && (
          <div role="alert">
            <FaultList faults={faults.value} />
          </div>
        )}
        {page && (
          <p class="take-row">
            <button type="button" onClick={() => window.print()}>
              Print this sheet
            </button>
            <button type="button" onClick={() => void savePdf(chosen.value)}>
              Save as PDF
            </button>
          </p>
        )}
      </aside>
      <div class="work-answer">
        {page ? <SheetView page={page} /> : <p class="waiting">{writing.running.value ? "The sheets appear here. First the plan is made, unless it is there already." : "Not filled in yet. It takes as long as a plan, some ten seconds."}</p>}
      </div>
    </div>
  );
}
