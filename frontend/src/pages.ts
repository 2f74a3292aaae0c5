/**
 * Every page of the screen, one line each: where it lives behind the #, what it is called, which stage it belongs to.
 * `load` fetches a page's own chunk the first time it is opened. A page's component gets no properties; what it needs
 * stands in lib/state.
 */
import type { ComponentType } from "preact";
import { Decide } from "./decide/decide";

export type StageName = "decide" | "make" | "measure" | "fit";
export interface Page {
  path: string;
  title: string;
  stage: StageName;
  component?: ComponentType;
  load?: () => Promise<{ default: ComponentType }>;
}

export const PAGES: readonly Page[] = [
  { path: "/decide", title: "Curves", stage: "decide", component: Decide },
  { path: "/decide/plan", title: "Plan", stage: "decide", load: () => import("./plan/plan") },
  { path: "/decide/what-if", title: "What-if", stage: "decide", load: () => import("./whatif/whatif") },
  { path: "/decide/bands", title: "Bands", stage: "decide", load: () => import("./bands/bands") },
  { path: "/decide/digitise", title: "Read a picture", stage: "decide", load: () => import("./digitise/digitiser") },
  { path: "/decide/sheets", title: "Sheets", stage: "decide", load: () => import("./sheets/sheets") },
];
