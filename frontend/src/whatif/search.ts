/** Finding a key by what people call it: by its name, its explaining words, or the trade's word for the choice behind it. */

export interface Named {
  key: string;
  words: string;
  status: string;
}

/** What is bought, and the key that decides it. */
const MEANT: readonly [word: RegExp, keys: readonly string[]][] = [
  [/^(turbine )?housing|^a\/?r$|^turbine$|^turbo$/, ["turbine.choked_flow"]],
  [/^(waste)?gate$|^valve$/, ["wastegate.valve_diameter", "wastegate.branch_bore"]],
  [/^spring$/, ["wastegate.spring_rating"]],
  [/^(inter)?cooler$|^charge cooler$/, ["charge_cooler.effectiveness", "charge_cooler.pressure_drop"]],
  [/^exhaust$|^downpipe$|^silencer$|^back-?pressure$/, ["exhaust.pressure_drop", "exhaust.bore"]],
  [/^filter$|^air ?filter$/, ["intake.pressure_drop"]],
  [/^take-?off$|^branch$/, ["wastegate.takeoff_angle", "wastegate.branch_bore"]],
  [/^injectors?$/, ["fuel_system.injector_flow"]],
  [/^weather$|^day$|^air$/, ["ambient.temperature", "ambient.pressure"]],
  [/^height$|^altitude$/, ["ambient.altitude"]],
  [/^mixture$|^lambda$/, ["fuel.lambda_target"]],
];

const plain = (text: string) => text.trim().toLowerCase().replaceAll("_", " ");

function score(one: Named, typed: string, tokens: readonly string[], meant: readonly string[]): number {
  const key = plain(one.key.replace(".", " "));
  const last = plain(one.key.split(".")[1] ?? "");
  const words = plain(one.words);
  let sum = meant.includes(one.key) ? 400 - 50 * meant.indexOf(one.key) : 0;
  for (const token of tokens) {
    if (last.startsWith(token)) sum += 40;
    else if (key.includes(token)) sum += 25;
    else if (words.includes(token)) sum += 8;
    else if (sum < 150) return 0;
  }
  if (sum === 0) return 0;
  return sum + (one.status === "written" ? 6 : 0) + (plain(one.key) === typed ? 500 : 0);
}

/** Keys that fit, the likeliest first; a key written out in full comes alone. */
export function find<One extends Named>(all: readonly One[], typed: string, most = 8): One[] {
  const text = plain(typed);
  if (text === "") return [];
  const exact = all.filter((one) => one.key === typed.trim());
  if (exact.length > 0) return exact;
  const meant = MEANT.filter(([word]) => word.test(text)).flatMap(([, keys]) => keys);
  const tokens = text.split(/[\s.:]+/).filter(Boolean);
  return all
    .map((one) => ({ one, points: score(one, text, tokens, meant) }))
    .filter(({ points }) => points > 0)
    .sort((a, b) => b.points - a.points)
    .slice(0, most)
    .map(({ one }) => one);
}
