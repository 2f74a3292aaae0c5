/** What binds at the speed pointed at, why, what is next, and what would release it: in words, with the keys to turn. */
import { sentence } from "../lib/format";
import { nearest } from "../lib/labels";
import { live, settled } from "../lib/state";
import { kindOf, withUnit } from "../lib/units";
import { binding, cursorIndex, limits, speeds } from "./reading";
import { limitTitle, limitWords, releaseOf } from "./limit_words";
import { nameOf } from "./names";
import { partOf } from "./parts";
import { showKey } from "./selection";
import { rowsOf } from "./strip";

/** What the prediction says of this speed; half way between two of its speeds, what it says of the nearer one. */
function flagsAt(speed: number) {
  const whole = settled.value;
  const known = whole?.quantities["engine_speed"]?.values.map((value) => value ?? 0) ?? [];
  return known.length > 0 ? (whole?.flags[nearest(known, speed)] ?? []) : [];
}

export function Binds() {
  const index = cursorIndex.value;
  if (index < 0) return null;
  const name = binding.value[index] ?? null;
  const outcome = live.value?.outcomes[index];
  const limit = limits.value.find((item) => item.name === name);
  const known = name ? releaseOf(name) : null;
  const speed = withUnit("rotational_speed", speeds.value[index] ?? null);
  const next = rowsOf(limits.value)
    .filter((item) => item.name !== name && (item.use[index] ?? 0) > 0)
    .sort((a, b) => (b.use[index] ?? 0) - (a.use[index] ?? 0))
    .slice(0, 3);
  const flags = flagsAt(speeds.value[index] ?? 0);
  return (
    <section class="binds" aria-label="What binds here">
      <h3>What binds at {speed}</h3>
      {outcome && !outcome.solved ? (
        <p class="binds-why">
          <strong>No steady state.</strong> {outcome.message ?? outcome.reason}
        </p>
      ) : (
        <p class="binds-why">
          <strong>{name ? sentence(limitWords(name)) : "Nothing"}</strong>
          {known ? `: ${known.why}.` : limit ? `: ${limit.words}.` : name ? "." : " binds here."}
          {limit && (
            <>
              {" "}
              {withUnit(kindOf(limit.quantity ?? limit.name, limit.unit), limit.value[index])} of {withUnit(kindOf(limit.quantity ?? limit.name, limit.unit), limit.limit[index])}
              {limit.source ? `, ${limit.source}` : ""}.
            </>
          )}
        </p>
      )}
      {known && <p>{known.release}</p>}
      {known && known.keys.length > 0 && (
        <p class="row">
          {known.keys.map((key) => (
            <button key={key} type="button" onClick={() => showKey(key)}>
              {partOf(key).title}: {nameOf(key).toLowerCase()}
            </button>
          ))}
        </p>
      )}
      {next.length > 0 && <p class="note">Next: {next.map((item) => `${limitTitle(item.name)} ${Math.round((item.use[index] ?? 0) * 100)} %`).join(", ")}.</p>}
      {flags.map((flag) => (
        <p key={flag.code} class="note">
          {sentence(flag.message)}.
        </p>
      ))}
    </section>
  );
}
