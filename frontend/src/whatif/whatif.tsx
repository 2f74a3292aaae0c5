/** What-if: the same build with other parts or other numbers, ranked, as a tornado, or side by side. */
import { useEffect } from "preact/hooks";
import { form } from "../lib/state";
import { WorkState } from "../work/progress";
import { basis, between, cards, command, creepFloor, fromFile, loadBasis, oneAtATime, picks, rankBy, run } from "./asked";
import { Beside } from "./beside";
import { Choices } from "./choices";
import { Grid } from "./grid";
import { Ranked } from "./ranked";
import { TakeButtons } from "./take";
import { Tornado } from "./tornado";
import { casesOf } from "./vary_text";
import { figureChoice, trying, type Case, type WhatIf } from "./whatif_result";
import "./whatif.css";

export default function WhatIfPage() {
  const found = trying.result.value;
  useEffect(() => void trying.adopt(), []);
  useEffect(() => {
    loadBasis().catch(() => undefined); // the frame says that the server has gone
  }, [form.value?.name]);
  return (
    <div class="work">
      <header class="work-head">
        <h1>What-if</h1>
        <p class="lead">The same build with other parts or other numbers, many at a time: which is best, what matters most, and what cures a trouble for least money.</p>
      </header>
      <aside class="work-asked" aria-label="What is tried">
        <Asked />
      </aside>
      <div class="work-answer">{found ? <Answer found={found} /> : <p class="waiting">{trying.running.value ? "The table appears here." : "Nothing tried yet."}</p>}</div>
    </div>
  );
}

function Asked() {
  const count = casesOf(picks.value, cards.value, oneAtATime.value);
  const ready = fromFile.value || count > 0;
  return (
    <>
      <fieldset class="ways">
        <legend>Run</legend>
        <Radio name="whatif-way" on={!oneAtATime.value} set={() => (oneAtATime.value = false)} words="every combination, ranked" />
        <Radio name="whatif-way" on={oneAtATime.value} set={() => (oneAtATime.value = true)} words="one key at a time (tornado)" />
      </fieldset>
      <fieldset class="ways">
        <legend>of</legend>
        <Radio name="whatif-of" on={fromFile.value} set={() => (fromFile.value = true)} words={basis.value?.written === false ? "the parts named in the build's plan" : "the choices written in the build's whatif.toml"} />
        <Radio name="whatif-of" on={!fromFile.value} set={() => (fromFile.value = false)} words="what I pick here" />
      </fieldset>
      {!fromFile.value && <Choices />}
      <Figures />
      {!fromFile.value && <p class="note">{count === 0 ? "Pick a value to vary first." : `${count} ${count === 1 ? "case" : "cases"} beside the build as it stands.`}</p>}
      <button type="button" class="main" disabled={!ready || trying.running.value} onClick={() => run()}>
        Run
      </button>
      <WorkState work={trying} again={<Resume />} />
      <details>
        <summary>The same on the command line</summary>
        <code class="command">{command()}</code>
      </details>
    </>
  );
}

/** A run of many cases keeps those that are done. */
function Resume() {
  return (
    <span class="resume">
      What is done is kept.{" "}
      <button type="button" onClick={() => void trying.start({ ...trying.asked, resume: true, anew: false })}>
        Resume
      </button>{" "}
      <button type="button" onClick={() => void trying.start({ ...trying.asked, anew: true })}>
        Begin again
      </button>
    </span>
  );
}

function Radio(props: { name: string; on: boolean; set: () => void; words: string }) {
  return (
    <label>
      <input type="radio" name={props.name} checked={props.on} onChange={props.set} /> <span>{props.words}</span>
    </label>
  );
}

function Figures() {
  return (
    <div class="fields">
      <label class="add">
        <span>Rank by</span>
        <select value={rankBy.value} onChange={(event) => (rankBy.value = event.currentTarget.value)}>
          <option value="">{fromFile.value && basis.value?.written ? "what the file says" : "mean torque"}</option>
          {(basis.value?.figures ?? []).map((figure) => (
            <option key={figure.name} value={figure.name}>
              {figureChoice(figure.name)}
            </option>
          ))}
        </select>
      </label>
      <label class="add">
        <span>Mean torque from and to</span>
        <input type="text" value={between.value} placeholder="all speeds, or 2000 to 6500 rpm" onInput={(event) => (between.value = event.currentTarget.value)} />
      </label>
      <label class="add">
        <span>Boost that must be held</span>
        <input type="text" value={creepFloor.value} placeholder="such as 150 kPa absolute" onInput={(event) => (creepFloor.value = event.currentTarget.value)} />
      </label>
    </div>
  );
}

function Answer({ found }: { found: WhatIf }) {
  const tornado = found.levers.length > 0;
  const refused = found.cases.filter((one) => one.reason).length;
  return (
    <>
      <p class="answer-line">
        {found.cases.length - 1} cases beside the build as it stands{refused > 0 && <>, of which {refused} cannot be</>}.{" "}
        {!tornado && found.ranked.length > 0 && (
          <>
            Best by {figureChoice(found.ranked_by)}: <Best one={found.cases[found.ranked[0] ?? 0]} />.
          </>
        )}
      </p>
      <Cures found={found} />
      {tornado ? <Tornado found={found} /> : <Ranked found={found} />}
      <Beside found={found} />
      {!tornado && <Grid found={found} />}
      <h2>To be known</h2>
      <ul class="plain">
        {found.threshold_as_it_stands && <li>As it stands, {found.threshold_as_it_stands}.</li>}
        {found.warnings.map((words) => (
          <li key={words}>{words}</li>
        ))}
      </ul>
      <p class="risk-caution">A prediction is no proof that an engine will survive.</p>
    </>
  );
}

function Best({ one }: { one: Case | undefined }) {
  if (!one) return null;
  const price = one.number > 0 && one.price !== null && one.currency ? `, ${one.price} ${one.currency}` : "";
  return (
    <>
      <strong>{one.name}</strong>
      {price}
    </>
  );
}

function Cures({ found }: { found: WhatIf }) {
  if (found.cures.length === 0) return null;
  return (
    <section class="cures" aria-labelledby="cures">
      <h2 id="cures">Cheapest part that cures it</h2>
      <ul class="plain">
        {found.cures.map((cure) => {
          const one = cure.case === null ? null : (found.cases[cure.case] ?? null);
          return (
            <li key={cure.trouble}>
              <strong>{cure.trouble}:</strong>{" "}
              {one === null ? (
                <>no priced case is without it ({cure.cases_with_it} of {cure.cases_counted} have it).</>
              ) : one.number === 0 ? (
                <>not a trouble of the build as it stands.</>
              ) : (
                <>
                  {one.name}
                  {one.price !== null && one.currency && ` for ${one.price} ${one.currency}`} <TakeButtons one={one} />
                </>
              )}
              {cure.unpriced_cases_without_it.length > 0 && <> Also without it, no price given: {cure.unpriced_cases_without_it.slice(0, 5).map((number) => found.cases[number]?.name).join("; ")}.</>}
            </li>
          );
        })}
      </ul>
    </section>
  );
}
