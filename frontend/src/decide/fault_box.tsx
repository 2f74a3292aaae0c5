/** Why this case cannot be worked out: a few faults in full, many as a list of what to go to, part by part. */
import { FaultList } from "../frame/faults";
import { faults, form, live } from "../lib/state";
import type { Fault } from "../lib/types";
import { nameOf } from "./names";
import { PARTS, partOf } from "./parts";
import { showKey } from "./selection";

const FULL = 4;

/** What is wrong now: with the last answer, or else with the file. */
export const faultsNow = (): readonly Fault[] => (faults.value.length > 0 ? faults.value : (form.value?.faults ?? []));

export function FaultBox() {
  const shown = faultsNow();
  if (shown.length === 0) return null;
  const empty = shown.every((fault) => !fault.value);
  const count = shown.length;
  return (
    <section class="fault-box" aria-label="Faults">
      <h2>{empty && !live.value ? `${count} ${count === 1 ? "value is" : "values are"} still needed` : `${count} ${count === 1 ? "fault keeps" : "faults keep"} this case from being worked out`}</h2>
      <p class="note">{live.value ? "The curves are those of the last case that could be." : "The curves are drawn as soon as these are given; each says beside its field what is meant."}</p>
      {count <= FULL ? <FaultList faults={shown} onShow={showKey} /> : <ByPart list={shown} />}
    </section>
  );
}

function ByPart({ list }: { list: readonly Fault[] }) {
  return (
    <>
      <dl class="needed">
        {PARTS.map((part) => {
          const own = list.filter((fault) => fault.key && partOf(fault.key) === part);
          return (
            own.length > 0 && (
              <div key={part.id}>
                <dt>{part.title}</dt>
                <dd>
                  {own.map((fault) => (
                    <button key={fault.key} type="button" class="link" onClick={() => showKey(fault.key ?? "")}>
                      {nameOf(fault.key ?? "")}
                    </button>
                  ))}
                </dd>
              </div>
            )
          );
        })}
      </dl>
      <FaultList faults={list.filter((fault) => !fault.key)} />
    </>
  );
}
