/** What binds where: the ceiling and each day along engine speed, read by pointer, by keyboard, or as sentences. */
import { limitTitle } from "../decide/limit_words";
import { fixed, sentence } from "../lib/format";
import { nearest } from "../lib/labels";
import { cursor } from "../lib/state";
import { shown, withUnit } from "../lib/units";
import { quantity, spans, type Plan } from "./plan_result";

const speedText = (plan: Plan, index: number) => withUnit("rotational_speed", plan.speeds[index] ?? null, 0);
const range = (plan: Plan, first: number, last: number) =>
  first === last ? `at ${speedText(plan, first)}` : `${withUnit("rotational_speed", plan.speeds[first] ?? null, 0).replace(/\s\S+$/, "")} to ${speedText(plan, last)}`;
const percent = (use: number | null | undefined) => (use === null || use === undefined ? "–" : `${fixed(use * 100, 0)} %`);

export function Binding({ plan }: { plan: Plan }) {
  const at = nearest(plan.speeds, cursor.value ?? plan.speeds[Math.floor(plan.speeds.length / 2)] ?? 0);
  const order = [...new Set([...plan.binding, ...plan.days.flatMap((day) => day.worst)])];
  const most = (values: readonly (number | null)[]) => Math.max(...values.map((value) => value ?? 0));
  return (
    <section class="binding" aria-labelledby="what-binds">
      <h2 id="what-binds">What binds where</h2>
      <p class="reading" role="status">
        {readout(plan, at)}
      </p>
      <label class="speed-slider">
        <span>Engine speed read here</span>
        <input
          type="range"
          min={0}
          max={plan.speeds.length - 1}
          step={1}
          value={at}
          aria-valuetext={speedText(plan, at)}
          onInput={(event) => (cursor.value = plan.speeds[Number(event.currentTarget.value)] ?? null)}
        />
      </label>
      <div class="strips">
        <Strip plan={plan} title="Holds the ceiling" names={plan.binding} order={order} at={at} use="" />
        {plan.days.map((day) => (
          <Strip key={day.name} plan={plan} title={day.name} names={day.worst} order={order} at={at} use={`nearest limit, ${percent(most(day.worst_use))} in use`} />
        ))}
      </div>
      <details class="data">
        <summary>In words</summary>
        <ul class="plain">
          {spans(plan.binding).map((span) => (
            <li key={span.first}>
              {sentence(limitTitle(span.name))} holds the ceiling {range(plan, span.first, span.last)}, on the day “{plan.binding_day[span.first]}”.
            </li>
          ))}
          {plan.days.map((day) => (
            <li key={day.name}>
              {sentence(day.name)} ({day.words}): nearest limit {spans(day.worst).map((span) => `${limitTitle(span.name)} ${range(plan, span.first, span.last)}`).join(", ")}; at most {percent(most(day.worst_use))} of it in use.
            </li>
          ))}
        </ul>
      </details>
    </section>
  );
}

function readout(plan: Plan, at: number): string {
  const target = plan.target[at];
  const torque = quantity(plan, "torque")[at];
  const speed = speedText(plan, at);
  if (target === null || target === undefined) return `At ${speed}: no boost is inside the limits; ${limitTitle(plan.binding[at] ?? "")} stands in the way.`;
  const lowered = plan.risk?.lowered[at];
  return (
    `At ${speed}: target ${shown("target", "Pa", target)}, ${withUnit("pressure", plan.target_gauge[at])} gauge; torque ${withUnit("torque", torque)}. ` +
    `${sentence(limitTitle(plan.binding[at] ?? ""))} holds the ceiling (${shown("target", "Pa", plan.ceiling[at])}) on the day “${plan.binding_day[at]}”; ` +
    `${percent(plan.margin[at])} is left of the nearest limit on the worst day.` +
    (lowered ? ` The risk asked for takes ${withUnit("pressure", lowered)} off the table here.` : "")
  );
}

function Strip(props: { plan: Plan; title: string; names: readonly string[]; order: readonly string[]; at: number; use: string }) {
  const { plan, names } = props;
  const count = names.length;
  const words = spans(names).map((span) => `${limitTitle(span.name)} ${range(plan, span.first, span.last)}`);
  const point = (event: PointerEvent) => {
    const box = (event.currentTarget as HTMLElement).getBoundingClientRect();
    const index = Math.min(count - 1, Math.max(0, Math.floor(((event.clientX - box.left) / box.width) * count)));
    cursor.value = plan.speeds[index] ?? null;
  };
  return (
    <div class="bind-row">
      <span class="bind-title">
        {props.title}
        {props.use && <small>{props.use}</small>}
      </span>
      <div class="bind-track" role="img" aria-label={`${props.title}: ${words.join(", ")}`} style={{ gridTemplateColumns: `repeat(${count}, 1fr)` }} onPointerMove={point} onPointerDown={point}>
        {spans(names).map((span) => (
          <span key={span.first} class={`seg hatch-${props.order.indexOf(span.name) % 6}${span.first > 0 && span.last === count - 1 ? " end" : ""}`} style={{ gridColumn: `${span.first + 1} / ${span.last + 2}` }}>
            <span>{limitTitle(span.name)}</span>
          </span>
        ))}
        <i class="here" style={{ left: `${((props.at + 0.5) / count) * 100}%` }} />
      </div>
    </div>
  );
}
