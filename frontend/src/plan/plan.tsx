/** Plan: the most torque inside every limit on every day, what binds where, and what to buy next. */
import { useEffect } from "preact/hooks";
import { Field } from "../decide/field";
import { springText, targetText } from "../work/settings";
import { form, say, setChanges } from "../lib/state";
import { fixed, sentence } from "../lib/format";
import { toUser, unitName, unitOf, withUnit } from "../lib/units";
import { WorkState } from "../work/progress";
import { Binding } from "./binding";
import { PlanPlots } from "./plan_plots";
import { peak, planning, quantity, type Plan } from "./plan_result";
import { Holds, Parts, Releases, share, TargetTable, WantedText } from "./plan_tables";

const ASKED = ["risk", "spike", "colder_by", "hotter_by", "altitude"];
const FURTHER = ["spike_limits", "samples", "seed"];

export default function PlanPage() {
  const plan = planning.result.value;
  useEffect(() => void planning.adopt(), []);
  return (
    <div class="work">
      <header class="work-head">
        <h1>Plan</h1>
        <p class="lead">A boost target over engine speed that keeps every limit on every day below, the spring under it, and what to buy next.</p>
      </header>
      <aside class="work-asked" aria-label="What the plan must keep">
        <Asked />
        <button type="button" class="main" disabled={planning.running.value} onClick={() => void planning.start({})}>
          {plan ? "Plan again" : "Plan"}
        </button>
        <WorkState work={planning} />
      </aside>
      <div class="work-answer">{plan ? <Answer plan={plan} /> : <Nothing />}</div>
    </div>
  );
}

function Nothing() {
  if (planning.running.value) return <p class="waiting">The table appears here. You can leave this page meanwhile: the work goes on.</p>;
  return <p class="waiting">No plan yet. It takes some ten seconds; the curves stay live meanwhile.</p>;
}

function Asked() {
  const section = form.value?.sections.find((one) => one.name === "plan");
  if (!section) return null;
  const of = (names: readonly string[]) => names.flatMap((name) => section.parameters.filter((parameter) => parameter.key === `plan.${name}`));
  return (
    <>
      <h2>What it must keep</h2>
      <div class="fields">
        {of(ASKED).map((parameter) => (
          <Field key={parameter.key} parameter={parameter} section="plan" />
        ))}
      </div>
      <details>
        <summary>The draw of days</summary>
        <div class="fields">
          {of(FURTHER).map((parameter) => (
            <Field key={parameter.key} parameter={parameter} section="plan" />
          ))}
        </div>
      </details>
    </>
  );
}

function Answer({ plan }: { plan: Plan }) {
  const answered = plan.target.some((value) => value !== null);
  return (
    <>
      <Headline plan={plan} />
      {answered && <Use plan={plan} />}
      <PlanPlots plan={plan} />
      <Binding plan={plan} />
      <Holds plan={plan} />
      <Risk plan={plan} />
      <WantedText plan={plan} />
      <h2>What to do about it</h2>
      <Releases plan={plan} />
      <Parts plan={plan} />
      <h2>The table</h2>
      <TargetTable plan={plan} />
    </>
  );
}

function Headline({ plan }: { plan: Plan }) {
  const torque = peak(quantity(plan, "torque").map((value, index) => (plan.target[index] === null ? null : value)));
  const power = peak(quantity(plan, "power").map((value, index) => (plan.target[index] === null ? null : value)));
  if (!torque || !power)
    return (
      <p class="answer-line bad" role="alert">
        No boost is inside the limits at any speed. Below stands what binds.
      </p>
    );
  const missing = plan.target.filter((value) => value === null).length;
  const band = (name: string, kind: string, at: number) => {
    const found = plan.bands[name];
    const low = found?.low[at];
    const high = found?.high[at];
    if (low === null || low === undefined || high === null || high === undefined) return "";
    return ` (9 of 10 days ${fixed(toUser(kind, low), 0)} to ${fixed(toUser(kind, high), 0)} ${unitName(unitOf(kind).unit)})`;
  };
  const at = (index: number) => withUnit("rotational_speed", plan.speeds[index] ?? null, 0);
  return (
    <p class="answer-line">
      Most torque <strong>{withUnit("torque", torque.value)}</strong>
      {band("torque", "torque", torque.at)} at {at(torque.at)}; most power <strong>{withUnit("power", power.value)}</strong>
      {band("power", "power", power.at)} at {at(power.at)}.
      {missing > 0 && (
        <strong>
          {" "}
          At {missing} of {plan.target.length} speeds no boost is inside the limits.
        </strong>
      )}
    </p>
  );
}

function Use({ plan }: { plan: Plan }) {
  const text = targetText(plan.speeds, plan.target);
  if (!text) return null;
  // a table that ends short would be read as level beyond its end, where nothing is inside
  if (plan.target.includes(null))
    return (
      <p class="use">
        <button type="button" disabled>
          Use this target
        </button>
        <span class="note">Not before boost can be held at every speed: see what is in the way below.</span>
      </p>
    );
  const spring = plan.spring?.chosen && plan.spring.chosen.rating !== plan.spring.fitted.rating ? springText(plan.spring.chosen.rating) : null;
  const use = () => {
    setChanges({ "boost_control.target": text, "prediction.mode": "target", ...(spring ? { "wastegate.spring_rating": spring } : {}) });
    say(`Laid over the build: the plan's table as boost target${spring ? `, and the spring it was made for, ${spring}` : ""}. Save to build.toml to keep it.`);
  };
  return (
    <p class="use">
      <button type="button" class="main" onClick={use}>
        Use this target
      </button>
      {spring && <span class="note">with the spring it was made for, {spring}</span>}
      <span class="risk-caution">{plan.prediction.cautions[0]}</span>
    </p>
  );
}

function Risk({ plan }: { plan: Plan }) {
  const { risk, spring } = plan;
  const over = Object.entries(risk?.share_over ?? {}).map(([name, values]) => [name, Math.max(...values.map((value) => value ?? 0))] as const);
  const lowered = risk ? peak(risk.lowered) : null;
  return (
    <>
      <h2>Risk, knock and spring</h2>
      <ul class="plain">
        {risk && (
          <li>
            {sentence(risk.words)}: on <strong>{share(risk.found)}</strong> of them a limit is exceeded at some speed; {share(risk.stated)} is allowed.{" "}
            {!risk.met && <strong>The risk cannot be met: at some speed even an open gate is outside. </strong>}
            {lowered && lowered.value > 0 && (
              <>
                For that the table stands up to {withUnit("pressure", lowered.value)} below what the named days alone allow, at {withUnit("rotational_speed", plan.speeds[lowered.at] ?? null)}; narrower bands give it back.{" "}
              </>
            )}
            {over.length > 0 && <>Exceeded at any one speed, at most: {over.map(([name, most]) => `${name.replaceAll("-", " ")} ${share(most)}`).join(", ")}.</>}
          </li>
        )}
        <li>{sentence(plan.knock.words)}.</li>
        {plan.remarks.map((remark) => (
          <li key={remark.message}>{sentence(remark.message)}.</li>
        ))}
        {spring && <li>Spring: {spring.words}.</li>}
      </ul>
    </>
  );
}
