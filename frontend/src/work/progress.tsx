/** How far a job is, with Stop; what went wrong; and whether its answer still belongs to the values in hand. */
import type { ComponentChildren } from "preact";
import { FaultList } from "../frame/faults";
import { sentence } from "../lib/format";
import { changesKey, replaceChanges } from "../lib/state";
import type { Work } from "./work";
import "./work.css";

export function Progress<Result>(props: { work: Work<Result> }) {
  const { work } = props;
  const job = work.job.value;
  if (!job || !work.running.value) return null;
  const known = job.of > 0;
  const counted = job.of !== 100 && known ? ` (${job.done} of ${job.of})` : "";
  return (
    <div class="progress">
      <progress aria-label={`${work.words}, progress`} max={known ? job.of : 1} value={known ? job.done : undefined} />
      <button type="button" onClick={() => void work.stop()}>
        Stop
      </button>
      <p class="soft">
        <span role="status">{sentence(job.words)}</span>
        {counted}
        {work.result.value !== null && ". Beside it stands the last answer until then."}
      </p>
    </div>
  );
}

/** What stands between the button and the answer: progress, faults, a stop, an answer gone stale. */
export function WorkState<Result>(props: { work: Work<Result>; again?: ComponentChildren }) {
  const { work } = props;
  const job = work.job.value;
  return (
    <>
      <Progress work={work} />
      {work.faults.value.length > 0 && (
        <div role="alert">
          <FaultList faults={work.faults.value} />
        </div>
      )}
      {job?.state === "stopped" && (
        <p class="note" role="status">
          {job.words === "stopped" ? `Stopped${job.of > 0 && job.of !== 100 ? ` at ${job.done} of ${job.of}` : ""}.` : `Stopped: ${job.words}.`} {props.again}
        </p>
      )}
      {work.stale.value && !work.running.value && <Stale work={work} />}
    </>
  );
}

function Stale<Result>({ work }: { work: Work<Result> }) {
  const then = work.of.value;
  return (
    <p class="stale" role="status">
      <strong>These are the answers for other values.</strong> Changed since: {work.moved.value.map((key) => <code key={key}>{key} </code>)}
      {changesKey(then) !== "[]" && (
        <button type="button" class="link" onClick={() => replaceChanges(then)}>
          Go back to those values
        </button>
      )}
    </p>
  );
}
