/**
 * Theme and inks. The page takes its colours from CSS custom properties; canvases cannot, so the same few are read
 * from there. Lines differ in dash as well as hue, so that they can be told apart in grey.
 */
import { effect, signal } from "@preact/signals";

export type Theme = "light" | "dark" | "outdoors";
export interface Inks {
  /** Ground of a plot. */
  sheet: string;
  ink: string;
  soft: string;
  grid: string;
  /** Inks of lines 1, 2, 3, 4. */
  lines: readonly [string, string, string, string];
  limit: string;
  /** Fills of the efficiency islands, outermost and innermost. */
  islands: readonly [string, string];
  /** Factor on line widths. */
  weight: number;
  /** Factor on letter sizes. */
  size: number;
}

/** Paper white: also what exports are drawn with. */
export const LIGHT: Inks = {
  sheet: "#ffffff",
  ink: "#1d2b3a",
  soft: "#55606b",
  grid: "#e3e1d9",
  lines: ["#1d2b3a", "#9a3b26", "#28677f", "#6d5400"],
  limit: "#9a3b26",
  islands: ["#f1f0ea", "#cfd3d1"],
  weight: 1,
  size: 1,
};
const DARK: Inks = {
  sheet: "#171d24",
  ink: "#e9e5da",
  soft: "#a9b2ba",
  grid: "#2b343d",
  lines: ["#e9e5da", "#f2a083", "#86c5de", "#dcbf66"],
  limit: "#f2a083",
  islands: ["#1d252d", "#3a4854"],
  weight: 1,
  size: 1,
};
const OUTDOORS: Inks = {
  sheet: "#ffffff",
  ink: "#000000",
  soft: "#1f1f1f",
  grid: "#b9b9b9",
  lines: ["#000000", "#8a1500", "#00406b", "#4d3800"],
  limit: "#8a1500",
  islands: ["#f4f4f4", "#c4c4c4"],
  weight: 1.6,
  size: 1.15,
};
const BY_THEME: Record<Theme, Inks> = { light: LIGHT, dark: DARK, outdoors: OUTDOORS };

export const DASHES: readonly (readonly number[])[] = [[], [9, 3], [2.5, 2.5], [10, 3, 2, 3]];

const STORE = "boostwright.theme";
function remembered(): Theme {
  const kept = localStorage.getItem(STORE);
  if (kept === "light" || kept === "dark" || kept === "outdoors") return kept;
  return matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light";
}

export const theme = signal<Theme>("light");
/** Inks of the theme in hand. */
export const inks = signal<Inks>(LIGHT);

export function startTheme(): void {
  theme.value = remembered();
  // paper is white whatever the screen is
  const paper = matchMedia("print");
  const onPaper = signal(paper.matches);
  paper.addEventListener("change", () => (onPaper.value = paper.matches));
  effect(() => {
    document.documentElement.dataset["theme"] = theme.value;
    inks.value = onPaper.value ? LIGHT : BY_THEME[theme.value];
  });
}

export function chooseTheme(next: Theme): void {
  theme.value = next;
  localStorage.setItem(STORE, next);
}
