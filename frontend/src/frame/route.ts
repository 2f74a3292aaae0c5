/** Which page the address names: everything behind the #. */
import { signal } from "@preact/signals";
import { PAGES, type Page, type StageName } from "../pages";

const read = () => location.hash.replace(/^#/, "") || "/decide";
export const route = signal(read());
addEventListener("hashchange", () => {
  route.value = read();
});

export const STAGES: readonly { name: StageName; title: string; words: string }[] = [
  { name: "decide", title: "Decide", words: "what to buy, with its consequences" },
  { name: "make", title: "Make", words: "what the workshop needs" },
  { name: "measure", title: "Measure", words: "what the logs say" },
  { name: "fit", title: "Fit", words: "what was learnt from them" },
];

export const stageOf = (path: string): StageName => (STAGES.find((stage) => path.split("/")[1] === stage.name)?.name ?? "decide");

export function pageOf(path: string): Page | null {
  return PAGES.find((page) => page.path === path) ?? null;
}
