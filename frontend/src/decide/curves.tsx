/** The curves: torque and power, pressures, exhaust temperatures, phasing; held cases as thin lines, bands as fill. */
import { Plot, type PlotLine, type PlotSpec } from "../lib/plot";
import { resample } from "../lib/labels";
import { bandsNow, form, held, live } from "../lib/state";
import type { Values } from "../lib/types";
import { limits, speeds, values } from "./reading";

type Ink = 0 | 1 | 2 | 3;

function result(key: string, label: string, ink: Ink, right = false): PlotLine[] {
  const found = values(key);
  if (found.length === 0) return [];
  const own: PlotLine = { key, label, values: found, ink, right, band: bandOf(key) };
  const others = held.value.map((item): PlotLine => {
    const theirs = item.answer.quantities[key] ?? [];
    return { key, label, letter: item.letter, values: resample(item.answer.speeds, theirs, speeds.value), ink, right };
  });
  return [own, ...others];
}

function bandOf(key: string): PlotLine["band"] {
  const all = bandsNow.value;
  const found = all?.quantities[key];
  if (!all || !found) return null;
  return { low: resample(all.speeds, found.low, speeds.value), high: resample(all.speeds, found.high, speeds.value) };
}

function bound(key: string, label: string, of: Values, ink: Ink): PlotLine[] {
  return of.some((value) => value !== null) ? [{ key, label, values: of, ink, dash: 2, bound: true }] : [];
}

const limitOf = (name: string): Values => limits.value.find((limit) => limit.name === name)?.limit ?? [];

const fieldOf = (key: string) => form.value?.sections.find((section) => section.name === key.split(".")[0])?.parameters.find((parameter) => parameter.key === key);

/** What the engine gave before the turbo, beside what the model says of it without one. */
function known(key: string): Values {
  const curve = live.value?.mode === "no-turbo" ? fieldOf(key)?.curve : null;
  return curve ? resample(curve.axis_si, curve.values_si, speeds.value) : [];
}

/** The boost target of the build, absolute, at the speeds of the curves. */
function target(): Values {
  if (live.value && live.value.mode !== "target") return [];
  const field = fieldOf("boost_control.target");
  const curve = field?.curve;
  if (curve && curve.values_si.length > 0) {
    const [first, last] = [curve.values_si[0] ?? null, curve.values_si.at(-1) ?? null];
    const [low, high] = [curve.axis_si[0] ?? 0, curve.axis_si.at(-1) ?? 0];
    const inside = resample(curve.axis_si, curve.values_si, speeds.value);
    return inside.map((value, index) => value ?? ((speeds.value[index] ?? 0) < low ? first : (speeds.value[index] ?? 0) > high ? last : null));
  }
  return field?.si ? speeds.value.map(() => field.si) : [];
}

export function torqueSpec(): PlotSpec {
  return {
    name: "torque-and-power",
    title: "Torque and power",
    speeds: speeds.value,
    kind: "torque",
    rightKind: "power",
    fromZero: true,
    note: shaded(),
    lines: [...result("torque", "torque", 0), ...result("power", "power", 1, true), ...bound("torque_cap", "torque cap", limitOf("torque-cap"), 3), ...bound("known_torque", "known torque", known("breathing.known_torque"), 2), ...bound("known_power", "known power", known("breathing.known_power"), 2).map((line) => ({ ...line, right: true }))],
  };
}

export function pressureSpec(): PlotSpec {
  return {
    name: "pressures",
    title: "Boost and pressures",
    speeds: speeds.value,
    kind: "pressure",
    basis: "absolute",
    note: shaded(),
    lines: [
      ...result("pressure_em", "exhaust man.", 1),
      ...result("pressure_im", "intake man.", 0),
      ...bound("target", "target", target(), 2),
    ],
  };
}

export function temperatureSpec(): PlotSpec {
  return {
    name: "exhaust-temperatures",
    title: "Exhaust temperatures",
    speeds: speeds.value,
    kind: "temperature",
    note: shaded(),
    lines: [
      ...result("temperature_em", "gas", 1),
      ...result("egt_reading", "probe reads", 0),
      ...bound("egt_limit", "limit", limitOf("egt"), 3),
    ],
  };
}

export function phasingSpec(): PlotSpec {
  const early = values("knock_limited_phasing_early");
  const late = values("knock_limited_phasing_late");
  // the one shade here is the knock limit's own band, wide as it is; those of samples would hide it
  const plain = (lines: PlotLine[]) => lines.map((line) => ({ ...line, band: null }));
  const lines = plain(result("knock_limited_phasing", "knock limit", 1)).map((line) => (line.letter === undefined && early.length > 0 ? { ...line, band: { low: early, high: late } } : line));
  return {
    name: "phasing-and-knock",
    title: "Phasing and knock",
    speeds: speeds.value,
    kind: "angle",
    basis: "after top dead centre, half burned",
    note: lines.some((line) => line.band) ? "shaded: where the knock limit may lie" : undefined,
    lines: [...lines, ...plain(result("angle_half_burned", "as run", 0)), ...plain(result("best_phasing", "best torque", 2))],
    empty: live.value ? "Knock is not predicted for this fuel." : undefined,
  };
}

/** What is shaded in a plot, in words; the knock limit's band is always there. */
const shaded = (): string | undefined => (bandsNow.value ? "shaded: 5 to 95 % of the samples" : undefined);

export function Curves() {
  return (
    <>
      <Plot spec={torqueSpec()} />
      <Plot spec={pressureSpec()} />
      <Plot spec={temperatureSpec()} />
      <Plot spec={phasingSpec()} />
    </>
  );
}
