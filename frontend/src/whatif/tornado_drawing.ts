/** The tornado on paper, for PNG and SVG: two lanes a key, low end hatched above, high end solid below. */
import type { Inks } from "../lib/inks";
import type { Surface } from "../lib/surface";
import { ticks } from "../lib/format";

export interface Bar {
  keys: string;
  low: string;
  high: string;
  /** Figure at the low and the high end, in the user's unit; null where there is none. */
  atLow: number | null;
  atHigh: number | null;
}

/** Bars that move most first; those without any value last. */
export function byReach(bars: readonly Bar[], now: number): Bar[] {
  const reach = (bar: Bar) => Math.max(Math.abs((bar.atLow ?? now) - now), Math.abs((bar.atHigh ?? now) - now), Math.abs((bar.atHigh ?? now) - (bar.atLow ?? now)));
  return [...bars].sort((a, b) => reach(b) - reach(a));
}

/** Left and right end of the scale: everything, with a little room. */
export function scaleOf(bars: readonly Bar[], now: number): [number, number] {
  const values = [now, ...bars.flatMap((bar) => [bar.atLow, bar.atHigh]).filter((value): value is number => value !== null)];
  const low = Math.min(...values);
  const high = Math.max(...values);
  const room = (high - low) * 0.06 || Math.abs(now) * 0.05 || 1;
  return [low - room, high + room];
}

export function drawTornado(surface: Surface, bars: readonly Bar[], now: number, title: string, text: (value: number) => string, width: number, height: number, inks: Inks): void {
  const left = width * 0.34;
  const right = width - 20;
  const top = 56;
  const [low, high] = scaleOf(bars, now);
  const x = (value: number) => left + ((value - low) / (high - low)) * (right - left);
  surface.text(14, 22, title, { ink: inks.ink, size: 16, weight: 600 });
  const row = Math.min(52, (height - top - 40) / Math.max(1, bars.length));
  const bottom = top + row * bars.length;
  for (const tick of ticks(low, high, 6)) {
    surface.line([[x(tick), top - 4], [x(tick), bottom]], { ink: inks.grid });
    surface.text(x(tick), bottom + 14, text(tick), { ink: inks.soft, size: 11, align: "center" });
  }
  bars.forEach((bar, index) => {
    const y = top + row * index;
    surface.text(left - 10, y + row * 0.36, bar.keys, { ink: inks.ink, size: 12, align: "right" });
    surface.text(left - 10, y + row * 0.7, `${bar.low} .. ${bar.high}`, { ink: inks.soft, size: 10, align: "right" });
    lane(surface, x(now), bar.atLow === null ? null : x(bar.atLow), y + row * 0.18, row * 0.28, inks, false);
    lane(surface, x(now), bar.atHigh === null ? null : x(bar.atHigh), y + row * 0.52, row * 0.28, inks, true);
  });
  surface.line([[x(now), top - 8], [x(now), bottom]], { ink: inks.ink, width: 1.5 });
  surface.text(x(now), top - 16, `now ${text(now)}`, { ink: inks.ink, size: 11, align: "center" });
  surface.text(14, bottom + 32, "low end: outlined, upper; high end: solid, lower", { ink: inks.soft, size: 11 });
}

function lane(surface: Surface, from: number, to: number | null, y: number, tall: number, inks: Inks, solid: boolean): void {
  if (to === null) return;
  const box = [[from, y], [to, y], [to, y + tall], [from, y + tall], [from, y]] as const;
  surface.fill([box], inks.ink, solid ? 0.85 : 0.12);
  surface.line(box, { ink: inks.ink });
}
