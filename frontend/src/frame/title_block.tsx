/** Bottom right, as on a drawing sheet: which build, what state it is in, what it rests on. */
import { faultsNow } from "../decide/fault_box";
import { dropAll, dirty, changes, form, live, session, settled } from "../lib/state";
import { save, saving } from "../lib/file";

const day = () => new Date().toISOString().slice(0, 10);

export function TitleBlock(props: { onAssumed: () => void }) {
  const open = form.value;
  if (!open) return null;
  const count = Object.keys(changes.value).length;
  const wrong = faultsNow().length;
  const mode = live.value?.mode ?? settled.value?.mode;
  // where most of what is written is from, as its owner says
  const provenance = open.sections.flatMap((section) => section.parameters).find((parameter) => parameter.key === "provenance")?.text;
  const modeWords = session.value?.modes?.find((item) => item.name === mode)?.words ?? mode ?? "–";
  return (
    <footer class="title-block" aria-label="Title block">
      <dl>
        <div class="wide">
          <dt>Build</dt>
          <dd>{open.title || open.name}</dd>
        </div>
        <div>
          <dt>Boost by</dt>
          <dd>{modeWords}</dd>
        </div>
        {provenance && (
          <div>
            <dt>Values written</dt>
            <dd>{provenance}</dd>
          </div>
        )}
        <div>
          <dt>Not written, taken</dt>
          <dd>
            <button type="button" class="link" onClick={props.onAssumed}>
              {open.defaults_unconfirmed.length} values
            </button>
          </dd>
        </div>
        <div class="day">
          <dt>Day</dt>
          <dd>{day()}</dd>
        </div>
        <div>
          <dt>File</dt>
          <dd class={count ? "unsaved" : ""}>{count ? `${count} ${count === 1 ? "change" : "changes"} unsaved` : "as saved"}
            {wrong > 0 && `, ${wrong} ${wrong === 1 ? "fault" : "faults"}`}</dd>
        </div>
      </dl>
      <div class="title-actions">
        <button type="button" class="main" disabled={!dirty.value || saving.value} onClick={() => void save()}>
          Save to build.toml
        </button>
        <button type="button" disabled={!dirty.value} onClick={dropAll}>
          Drop changes
        </button>
      </div>
      <p class="version">boostwright {session.value?.version}</p>
    </footer>
  );
}
