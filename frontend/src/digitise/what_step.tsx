/** Step 1: what the picture shows. Nothing is guessed from it. */
import { change, facts, reading, type Axis } from "./reading";

const AXES: Record<string, [Axis, Axis]> = {
  compressor: [
    { of: "corrected_flow", unit: "", log: false },
    { of: "pressure_ratio", unit: "", log: false },
  ],
  turbine: [
    { of: "expansion_ratio", unit: "", log: false },
    { of: "corrected_flow", unit: "", log: false },
  ],
  curve: [
    { of: "", unit: "", log: false },
    { of: "", unit: "", log: false },
  ],
  "known-curve": [
    { of: "rotational_speed", unit: "rpm", log: false },
    { of: "torque", unit: "", log: false },
  ],
};

export function WhatStep() {
  const now = reading.value;
  if (!now) return null;
  return (
    <fieldset>
      <legend>What does the picture show?</legend>
      {Object.entries(facts.value?.what ?? {}).map(([what, words]) => (
        <label class="dig-tick" key={what}>
          <input
            type="radio"
            name="dig-what"
            checked={now.what === what}
            onChange={() => {
              const [x, y] = AXES[what] ?? AXES["known-curve"]!;
              change({ what, x, y });
            }}
          />
          <span>{words}</span>
        </label>
      ))}
    </fieldset>
  );
}
