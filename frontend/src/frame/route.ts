/** Which page the address names: everything behind the #. */
import { signal } from "@preact/signals";
import { takeToken } from "../lib/api";
import { again } from "../lib/running";
import { PAGES, type Page, type StageName } from "../pages";

const read = () => (location.hash.startsWith("#/") ? location.hash.slice(1) : "/decide");
export const route = signal("/decide");

/** Follow the address; once the token is out of it. */
export function startRoute(): void {
  route.value = read();
  addEventListener("hashchange", () => {
    // the server was started anew and its new link opened in the same tab
    if (location.hash.includes("token=")) {
      takeToken();
      again();
    }
    route.value = read();
  });
}

export const STAGES: readonly { name: StageName; title: string }[] = [
  { name: "decide", title: "Decide" },
  { name: "make", title: "Make" },
  { name: "measure", title: "Measure" },
  { name: "fit", title: "Fit" },
];

export const stageOf = (path: string): StageName => (STAGES.find((stage) => path.split("/")[1] === stage.name)?.name ?? "decide");

export function pageOf(path: string): Page | null {
  return PAGES.find((page) => page.path === path) ?? null;
}
