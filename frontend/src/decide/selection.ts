/** Which part's fields are open, remembered for this tab; and how to get to a key from elsewhere on the page. */
import { signal } from "@preact/signals";
import { PARTS, partOf, type Part } from "./parts";

const STORE = "boostwright.part";
const kept = () => PARTS.find((part) => part.id === sessionStorage.getItem(STORE)) ?? PARTS.find((part) => part.id === "turbine");
export const chosenPart = signal<Part>((typeof sessionStorage === "undefined" ? undefined : kept()) ?? (PARTS[0] as Part));

export function choosePart(part: Part): void {
  chosenPart.value = part;
  sessionStorage.setItem(STORE, part.id);
}

/** Open the part a key belongs to and put the focus into its field. */
export function showKey(key: string): void {
  choosePart(partOf(key));
  const elsewhere = !/^#\/decide$/.test(location.hash);
  if (elsewhere) location.hash = "#/decide";
  // the field is drawn on the next turn; a folded group round it has to open first
  setTimeout(() => {
    const field = document.getElementById(fieldId(key));
    for (let box = field?.closest("details"); box; box = box.parentElement?.closest("details")) box.open = true;
    field?.scrollIntoView({ block: "center", behavior: "auto" });
    field?.focus();
  }, elsewhere ? 120 : 30);
}

/**
 * The key whose field had the focus last. Its field stays in its place on the page, whatever group it now belongs to:
 * it must not be taken away under a hand that types or drags.
 */
export let entered = "";
export const enter = (key: string): void => void (entered = key);

export const fieldId = (key: string): string => `field-${key.replaceAll(".", "-")}`;
