/** First line of the page: what this build does, in five figures, and what it rests on. */
import { changes, changesKey, live, settled, thresholds } from "../lib/state";
import { withUnit } from "../lib/units";
import { figuresOf } from "./figures";
import { limitTitle } from "./limit_words";

const remark = (code: string): string => settled.value?.remarks.find((item) => item.code === code)?.message ?? "";
/** The yardstick of the trade behind a figure, as the remark on it gives it. */
const yardstick = (): string => remark("rule-of-thumb-drive-pressure").split("; ")[1] ?? "";

/** Worked out with the whole prediction, so it comes a moment after the curves. */
function threshold(): [string, string, string] {
  // how much boost counts as arrived is the build's to say; the remark names it in its own words
  const boost = /for (\S+ \S+) of boost/.exec(remark("threshold"))?.[1];
  const found = thresholds.value[changesKey(changes.value)];
  if (live.value?.mode === "no-turbo") return ["Threshold", "–", "no turbo"];
  if (found === undefined) return ["Threshold", "…", ""];
  return found === null ? ["Threshold", "–", "not reached"] : ["Threshold", withUnit("rotational_speed", found), `${boost ? `${boost} of boost, ` : ""}gate shut; a lower bound`];
}

export function Headline() {
  const answer = live.value;
  if (!answer) return null;
  const figures = figuresOf(answer, thresholds.value[changesKey(changes.value)] ?? null);
  const unsolved = answer.outcomes.filter((outcome) => !outcome.solved).length;
  const items: [string, string, string][] = [
    ["Most torque", withUnit("torque", figures.torque), `at ${withUnit("rotational_speed", figures.torqueAt)}`],
    ["Most power", withUnit("power", figures.power), `at ${withUnit("rotational_speed", figures.powerAt)}`],
    threshold(),
    ["Drive-pressure ratio", figures.driveRatio === null ? "–" : figures.driveRatio.toFixed(2), `absolute, at most power${yardstick() ? `; ${yardstick()}` : ""}`],
    ["Nearest limit", figures.share === null ? "–" : `${Math.round(figures.share * 100)} %`, figures.limit ? limitTitle(figures.limit) : "none stated"],
  ];
  return (
    <>
      <dl class="headline">
        {items.map(([title, value, words]) => (
          <div key={title} class={title === "Nearest limit" && (figures.share ?? 0) > 1 ? "over" : ""}>
            <dt>{title}</dt>
            <dd>
              <strong>{value}</strong> <span class="soft">{words}</span>
            </dd>
          </div>
        ))}
      </dl>
      {unsolved > 0 && (
        <p class="banner bad">
          {unsolved} of {answer.speeds.length} speeds have no steady state: {[...new Set(answer.outcomes.filter((o) => !o.solved).map((o) => o.message ?? o.reason))].slice(0, 2).join("; ")}
        </p>
      )}
      {settled.value && settled.value.cautions.length > 0 && <p class="caution">{settled.value.cautions[0]}</p>}
    </>
  );
}
