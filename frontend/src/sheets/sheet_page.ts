/** A sheet in the words of its PDF, block by block; and the sheets as one module-wide piece of work. */
import { Work } from "../work/work";

export interface Column {
  heading: string;
  unit: string;
  left: boolean;
}
export interface Check {
  mark: string;
  loud: boolean;
  question: string;
  figure: string;
  mend: string;
}
export type Block =
  | { kind: "table"; heading: string; columns: Column[]; rows: string[][]; note: string }
  | { kind: "pairs"; heading: string; rows: [string, string][]; boxes: boolean }
  | { kind: "checks"; heading: string; rows: Check[] }
  | { kind: "prose"; heading: string; lines: string[]; numbered: boolean };
export interface SheetPage {
  title: string;
  build: string;
  lines: string[];
  verdict: string;
  columns: number;
  cautions: string[];
  blocks: Block[];
}

export const SHEETS: readonly [name: string, title: string, words: string][] = [
  ["order-sheet", "Order sheet", "what to buy, and which guesses its choice rests on"],
  ["go-no-go", "Go / no-go", "before first fire, first boost, first full pull"],
  ["dyno-card", "Dyno card", "what to watch and where to stop"],
  ["pocket-card", "Pocket card", "the few numbers to carry"],
];

export const writing = new Work<Record<string, unknown>>("sheets", "Sheets");
