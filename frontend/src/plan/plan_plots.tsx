/** The plan over engine speed: pressures absolute or gauge, torque and power, base duty. */
import { signal } from "@preact/signals";
import { Plot, type PlotLine, type PlotSpec } from "../lib/plot";
import type { Values } from "../lib/types";
import { peak, quantity, type Plan } from "./plan_result";

type Basis = "absolute" | "gauge";
const basis = signal<Basis>("absolute");
const plumbing = signal("");

const PORTS: Record<string, string> = {
  lower: "solenoid on the lower port",
  upper: "solenoid on the upper port",
  both: "solenoid on both ports",
};

export function PlanPlots({ plan }: { plan: Plan }) {
  return (
    <>
      <div class="choices-row" role="radiogroup" aria-label="Pressures are">
        <span>Pressures are</span>
        {(["absolute", "gauge"] as const).map((choice) => (
          <label key={choice}>
            <input type="radio" name="plan-basis" checked={basis.value === choice} onChange={() => (basis.value = choice)} /> {choice}
          </label>
        ))}
        {basis.value === "gauge" && <span class="note">at the barometer of the plan's own day</span>}
      </div>
      <div class="answer-plots">
        <Plot spec={pressures(plan, basis.value)} height={270} />
        <Plot spec={torquePower(plan)} height={270} />
        <Plot spec={temperatures(plan)} />
        {Object.keys(plan.base_duty).length > 0 && <Duty plan={plan} />}
      </div>
    </>
  );
}

export function pressures(plan: Plan, on: Basis): PlotSpec {
  const less = on === "gauge" ? plan.pressure_amb : 0;
  const of = (values: Values): Values => values.map((value) => (value === null ? null : value - less));
  return {
    name: `plan-boost-${on}`,
    title: "Boost target and what bounds it",
    speeds: plan.speeds,
    kind: "pressure",
    basis: on,
    fromZero: on === "gauge",
    empty: "No boost is inside the limits at any speed.",
    lines: [
      { key: "target", label: "target", values: of(plan.target), ink: 0 },
      { key: "ceiling", label: "ceiling", values: of(plan.ceiling), ink: 1 },
      { key: "gate_shut", label: "gate shut", values: of(plan.spool), ink: 3 },
      { key: "creep_floor", label: "creep floor", values: of(plan.floor), ink: 2 },
    ],
  };
}

/** A quantity where there is a target; elsewhere the gate stands open and the figures are those of no plan. */
const held = (plan: Plan, name: string): Values => quantity(plan, name).map((value, index) => (plan.target[index] === null ? null : value));

function torquePower(plan: Plan): PlotSpec {
  return {
    name: "plan-torque-power",
    title: "Torque and power with the target held",
    speeds: plan.speeds,
    kind: "torque",
    rightKind: "power",
    fromZero: true,
    lines: [
      { key: "torque", label: "torque", values: held(plan, "torque"), ink: 0, band: plan.bands["torque"] ?? null },
      { key: "power", label: "power", values: held(plan, "power"), ink: 1, right: true, band: plan.bands["power"] ?? null },
    ],
  };
}

function temperatures(plan: Plan): PlotSpec {
  const egt = plan.prediction.limits.find((limit) => limit.quantity === "egt_reading");
  const lines: PlotLine[] = [
    { key: "egt_reading", label: "EGT reading", values: held(plan, "egt_reading"), ink: 1, band: plan.bands["egt_reading"] ?? null },
    { key: "temperature_em", label: "gas", values: held(plan, "temperature_em"), ink: 0 },
  ];
  if (egt) lines.push({ key: "egt_limit", label: "limit", values: egt.limit, ink: 3, bound: true });
  return { name: "plan-temperatures", title: "Exhaust temperature with the target held", speeds: plan.speeds, kind: "temperature", lines };
}

function Duty({ plan }: { plan: Plan }) {
  const kinds = Object.keys(plan.base_duty);
  const kind = kinds.includes(plumbing.value) ? plumbing.value : (kinds[0] ?? "");
  const values = plan.base_duty[kind] ?? [];
  const most = peak(values);
  return (
    <div class="plot-with-choice">
      <label class="inline">
        Base duty for{" "}
        <select value={kind} onChange={(event) => (plumbing.value = event.currentTarget.value)}>
          {kinds.map((name) => (
            <option key={name} value={name}>
              {PORTS[name] ?? name}
            </option>
          ))}
        </select>
      </label>
      <Plot
        spec={{
          name: `plan-base-duty-${kind}`,
          title: "Base duty of the boost solenoid",
          speeds: plan.speeds,
          kind: "share",
          fromZero: true,
          empty: "No duty holds the target with this plumbing.",
          lines: [{ key: `base_duty_${kind}`, label: most ? "base duty" : "", values, ink: 0 }],
        }}
      />
    </div>
  );
}
