/** Numbers and words as text. Thousands are parted by a thin space, minus is a true minus: columns stay even. */

const THIN = "\u2009";

/** `digits` decimals, thousands parted: 12345.6 -> "12 345.6". */
export function fixed(value: number, digits: number): string {
  if (!Number.isFinite(value)) return "–";
  const text = Math.abs(value).toFixed(digits);
  const [whole = "", part] = text.split(".");
  const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, THIN) : whole;
  const zero = Number(text) === 0;
  return (value < 0 && !zero ? "−" : "") + grouped + (part ? `.${part}` : "");
}

/** As `fixed`, always with a sign: for differences. */
export function signed(value: number, digits: number): string {
  const text = fixed(value, digits);
  return value > 0 && Number(value.toFixed(digits)) !== 0 ? `+${text}` : text;
}

/** `digits` significant digits, as a file would hold it: no grouping, no trailing noise. */
export function significant(value: number, digits: number): string {
  return String(Number(value.toPrecision(digits)));
}

/** "boost-target" -> "boost target"; abbreviations of the trade keep their capitals. */
export function words(name: string): string {
  return name.replace(/[-_]/g, " ").replace(/\b(egt|a r|sae|qnh)\b/g, (short) => (short === "a r" ? "A/R" : short.toUpperCase()));
}

/** First letter large. */
export function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** Round numbers for an axis: between `low` and `high`, about `count` of them. */
export function ticks(low: number, high: number, count: number): number[] {
  if (!(high > low)) return [low];
  const raw = (high - low) / Math.max(1, count);
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 5, 10].map((factor) => factor * power).find((candidate) => candidate >= raw * 0.999) ?? raw;
  const found: number[] = [];
  for (let at = Math.ceil(low / step - 1e-9); at * step <= high + step * 1e-9; at++) found.push(Number((at * step).toPrecision(12)));
  return found;
}

/** Decimals that axis marks need to be written exactly. */
export function tickDecimals(values: readonly number[]): number {
  for (let digits = 0; digits < 6; digits++)
    if (values.every((value) => Math.abs(value * 10 ** digits - Math.round(value * 10 ** digits)) < 1e-6 * Math.max(1, Math.abs(value)))) return digits;
  return 6;
}
