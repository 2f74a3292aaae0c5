/** What a key of build.toml is called on the page. */
import { sentence, words } from "../lib/format";

/** Words that say nothing without the part they belong to. */
const BARE = new Set(["card", "kind", "count", "given_as", "pressure", "temperature", "altitude", "bore", "name", "layout", "target", "plumbing", "outlet"]);

/** "turbine.choked_flow" -> "Choked flow"; "turbine.card" -> "Turbine card". */
export function nameOf(key: string): string {
  const [section, last] = key.includes(".") ? [key.split(".")[0] ?? "", key.split(".").at(-1) ?? ""] : ["", key];
  if (key === "boost_control.target") return "Boost target";
  if (section === "ambient") return sentence(words(last === "altitude" ? last : `ambient_${last}`));
  return sentence(words(BARE.has(last) && section ? `${section}_${last}` : last));
}

/** What the trade also says for it, beside the field's name. */
export const ALSO: Record<string, string> = {
  "turbine.choked_flow": "the size of the housing",
  "wastegate.spring_rating": "the spring",
  "wastegate.valve_diameter": "the size of the gate",
  "exhaust.pressure_drop": "the exhaust system's back-pressure",
};
