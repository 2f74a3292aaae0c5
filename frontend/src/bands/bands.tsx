/** Bands: how far the answers can be off, what makes them so, and what to measure first. */
import { useEffect, useState } from "preact/hooks";
import { fixed, sentence, words } from "../lib/format";
import { basisOf, decimalsOf, kindOf, toUser, unitName, unitOf, withUnit } from "../lib/units";
import { WorkState } from "../work/progress";
import { banding, draw, samples, seed, type Banded, type Doubt, type Headline } from "./banding";
import "./bands.css";

const COUNTS = [200, 1000, 5000];

export default function BandsPage() {
  const found = banding.result.value;
  useEffect(() => void banding.adopt(), []);
  return (
    <div class="work">
      <header class="work-head">
        <h1>Bands</h1>
        <p class="lead">How far the answers can be off: every value with a band, every default nobody confirmed and the models' own doubts are drawn, and every sample is solved.</p>
      </header>
      <aside class="work-asked" aria-label="The draw">
        <label class="add">
          <span>Samples</span>
          <select value={String(samples.value)} onChange={(event) => (samples.value = Number(event.currentTarget.value))}>
            {COUNTS.map((count) => (
              <option key={count} value={String(count)}>
                {count === 200 ? "200, a first look" : count === 1000 ? "1000, usual" : "5000, smooth edges"}
              </option>
            ))}
          </select>
        </label>
        <label class="add">
          <span>Seed: the same one, the same samples</span>
          <Seed />
        </label>
        <button type="button" class="main" disabled={banding.running.value} onClick={draw}>
          Draw bands
        </button>
        <WorkState work={banding} />
        {found && (
          <p class="note">
            The bands lie on the <a href="#/decide">curves</a> too.
          </p>
        )}
      </aside>
      <div class="work-answer">{found ? <Answer found={found} /> : <p class="waiting">{banding.running.value ? "The bands appear here." : "No bands drawn yet. A thousand samples take a few seconds."}</p>}</div>
    </div>
  );
}

/** What is half-typed stays while a draw begins or ends. */
function Seed() {
  const [typed, setTyped] = useState<string | null>(null);
  const put = (text: string) => {
    seed.value = Math.min(2147483647, Math.max(0, Math.round(Number(text) || 0)));
    setTyped(null);
  };
  return <input type="number" min={0} max={2147483647} step={1} value={typed ?? seed.value} onInput={(event) => setTyped(event.currentTarget.value)} onChange={(event) => put(event.currentTarget.value)} />;
}

function Answer({ found }: { found: Banded }) {
  const doubts = new Map(found.bands.doubts.map((doubt) => [doubt.name, doubt]));
  return (
    <>
      <ul class="headlines">
        {found.bands.headlines.map((headline, index) => (
          <li key={headline.code}>
            <details open={index < 2}>
              <summary>
                <span class="what">{sentence(headline.words)}</span> <Interval headline={headline} />
              </summary>
              <Contributors headline={headline} doubts={doubts} />
            </details>
          </li>
        ))}
      </ul>
      <h2>About the bands</h2>
      <ul class="plain">
        {found.bands.notes.map((note) => (
          <li key={note}>{sentence(note)}.</li>
        ))}
      </ul>
      {found.bands.taken_as_exact.length > 0 && (
        <details>
          <summary>Taken as exact, since no band is written ({found.bands.taken_as_exact.length})</summary>
          <p class="note exact">{found.bands.taken_as_exact.join(", ")}. Write a band behind each that is not: “0.70 +- 0.05”.</p>
        </details>
      )}
    </>
  );
}

function Interval({ headline }: { headline: Headline }) {
  const kind = kindOf(headline.code.replace(/^(least|highest|most)-/, "").replaceAll("-", "_"), headline.unit);
  const text = (value: number | null) => (value === null ? "–" : fixed(toUser(kind, value), decimalsOf(kind)));
  if (headline.low === null || headline.high === null) return <>no value in too many samples</>;
  return (
    <>
      <strong>{withUnit(kind, headline.nominal)}</strong>, 9 of 10 samples {text(headline.low)} to {text(headline.high)} {unitName(unitOf(kind).unit)} {basisOf(headline.quantity)}
    </>
  );
}

/** "cylinder.wall_heat_factor" -> "Cylinder: wall heat factor". */
const keyTitle = (key: string) => sentence(words(key.replace(".", ": ")));

function Contributors({ headline, doubts }: { headline: Headline; doubts: Map<string, Doubt> }) {
  if (headline.contributors.length === 0) return <p class="note">Nothing stands out: the band is narrow, or the samples are too few to rank the doubts.</p>;
  const name = `What makes it uncertain: ${headline.words}`;
  return (
    <div class="table-scroll" tabIndex={0} role="region" aria-label={name}>
      <table class="doubts">
        <caption class="unseen">{name}</caption>
        <thead>
          <tr>
            <th scope="col">from</th>
            <th scope="col">share of the spread</th>
            <th scope="col">taken as</th>
            <th scope="col">known better if you</th>
          </tr>
        </thead>
        <tbody>
          {headline.contributors.map((one) => {
            const doubt = doubts.get(one.doubt);
            return (
              <tr key={one.doubt}>
                <th scope="row">
                  {one.doubt.startsWith("model.") ? sentence(doubt?.words ?? one.doubt) : keyTitle(one.doubt)}
                  {!one.doubt.startsWith("model.") && <small>{doubt?.words}</small>}
                </th>
                <td class="share">
                  {one.share === null ? "–" : `${fixed(one.share * 100, 0)} %`}
                  <i class="level" style={{ width: `${Math.min(100, Math.max(0, (one.share ?? 0) * 100))}%` }} />
                </td>
                <td>
                  {doubt && `${doubt.nominal}${doubt.band.startsWith("+-") ? " " : ", "}${doubt.band.replace("+-", "±")}`}
                </td>
                <td>{doubt?.measure}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
      {headline.unexplained !== null && headline.unexplained > 0.005 && <p class="note">The rest, {fixed(headline.unexplained * 100, 0)} %, comes from several together.</p>}
    </div>
  );
}
