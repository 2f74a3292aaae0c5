/** The handful of figures a case is judged by, from one answer. */
import type { LiveAnswer, Values } from "../lib/types";

export interface Figures {
  torque: number | null;
  torqueAt: number | null;
  power: number | null;
  powerAt: number | null;
  threshold: number | null;
  /** Drive-pressure ratio at the speed of most power, absolute. */
  driveRatio: number | null;
  /** Highest share of any limit, and which. */
  share: number | null;
  limit: string | null;
  limitAt: number | null;
}

function peak(values: Values | null | undefined): number {
  let best = -1;
  values?.forEach((value, index) => {
    if (value !== null && (best < 0 || value > (values[best] ?? -Infinity))) best = index;
  });
  return best;
}

export function figuresOf(answer: LiveAnswer, threshold: number | null): Figures {
  const { quantities: q, speeds } = answer;
  const torque = peak(q["torque"]);
  const power = peak(q["power"]);
  let share: Pick<Figures, "share" | "limit" | "limitAt"> = { share: null, limit: null, limitAt: null };
  for (const limit of answer.limits) {
    const most = peak(limit.use);
    const use = limit.use[most] ?? null;
    if (use !== null && (share.share === null || use > share.share)) share = { share: use, limit: limit.name, limitAt: speeds[most] ?? null };
  }
  return {
    torque: q["torque"]?.[torque] ?? null,
    torqueAt: speeds[torque] ?? null,
    power: q["power"]?.[power] ?? null,
    powerAt: speeds[power] ?? null,
    threshold,
    driveRatio: q["drive_pressure_ratio"]?.[power] ?? null,
    ...share,
  };
}
