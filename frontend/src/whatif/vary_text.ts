/** What is picked on the page, in the words the what-if reads: "wastegate.valve_diameter=38, 44, 50 mm". */

export type Way = "list" | "range" | "choices" | "band" | "step" | "ends";

export interface Pick {
  /** Key, or several joined by " & " that take the same value. */
  keys: string;
  way: Way;
  /** Values parted by commas, for "list"; chosen words for "choices". */
  list: string;
  low: string;
  high: string;
  count: string;
  /** Half width for "step": "10 %". */
  step: string;
  unit: string;
}

export interface CardPick {
  kind: string;
  names: string[];
}

const items = (text: string) => text.split(",").map((item) => item.trim()).filter((item) => item !== "");

/** One line for the what-if; null while it is not complete. */
export function varyText(pick: Pick): string | null {
  const keys = pick.keys.trim();
  if (!keys) return null;
  const unit = pick.unit.trim();
  const behind = unit ? ` ${unit}` : "";
  switch (pick.way) {
    case "band":
      return keys;
    case "step":
      return pick.step.trim() ? `${keys}=+- ${pick.step.trim()}` : null;
    case "ends":
      return pick.low.trim() && pick.high.trim() ? `${keys}=${pick.low.trim()}, ${pick.high.trim()}${behind}` : null;
    case "range":
      return pick.low.trim() && pick.high.trim() && pick.count.trim() ? `${keys}=${pick.low.trim()}:${pick.high.trim()}:${pick.count.trim()}${behind}` : null;
    case "choices":
      return items(pick.list).length > 1 ? `${keys}=${items(pick.list).join(", ")}` : null;
    case "list":
      return items(pick.list).length > 1 ? `${keys}=${items(pick.list).join(", ")}${behind}` : null;
  }
}

export const cardText = (pick: CardPick): string | null => (pick.names.length > 0 ? `${pick.kind}=${pick.names.join(", ")}` : null);

/** How many values a pick stands for; 0 while it is not complete. */
export function valuesOf(pick: Pick): number {
  if (varyText(pick) === null) return 0;
  if (pick.way === "range") return Math.max(0, Math.floor(Number(pick.count)) || 0);
  if (pick.way === "list" || pick.way === "choices") return items(pick.list).length;
  return 2;
}

/** Cases that will be run beside the build as it stands. */
export function casesOf(picks: readonly Pick[], cards: readonly CardPick[], oneAtATime: boolean): number {
  const counts = [...picks.map(valuesOf), ...(oneAtATime ? [] : cards.map((card) => card.names.length))].filter((count) => count > 0);
  if (counts.length === 0) return 0;
  return oneAtATime ? 2 * counts.length : counts.reduce((product, count) => product * count, 1);
}

/** What stands behind a number in the file, without a band: "0.6 bar gauge +- 5 %" -> "bar gauge". */
export function unitBehind(text: string | null): string {
  const match = /^\s*[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?\s*(.*)$/.exec(text ?? "");
  return (match?.[1] ?? "").split(/\+\s*\/?\s*-|±/)[0]?.trim() ?? "";
}

/** A shell's double quotes round what needs them. */
const quoted = (text: string) => (/^[A-Za-z0-9_.=/-]+$/.test(text) ? text : `"${text.replace(/["\\$`]/g, "\\$&")}"`);

export function commandLine(build: string, lines: { option: string; text: string }[]): string {
  return ["boostwright whatif", quoted(build), ...lines.map(({ option, text }) => (text ? `${option} ${quoted(text)}` : option))].join(" ");
}
