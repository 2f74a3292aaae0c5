/** Cases side by side: hold the one in hand, change something, compare, go back to one of them. */
import { saveCsv } from "../lib/export";
import { fixed, signed } from "../lib/format";
import { changes, changesKey, held, holdPresent, letGo, live, replaceChanges, say, thresholds } from "../lib/state";
import type { Changes, LiveAnswer } from "../lib/types";
import { decimalsOf, toUser, unitName, unitOf, withUnit } from "../lib/units";
import { figuresOf, type Figures } from "./figures";
import { limitTitle } from "./limit_words";
import { cursorIndex } from "./reading";

interface Line {
  title: string;
  kind: string;
  get: (figures: Figures) => number | null;
  at?: (figures: Figures) => number | null;
}
const LINES: readonly Line[] = [
  { title: "Most torque", kind: "torque", get: (f) => f.torque, at: (f) => f.torqueAt },
  { title: "Most power", kind: "power", get: (f) => f.power, at: (f) => f.powerAt },
  { title: "Threshold (lower bound)", kind: "rotational_speed", get: (f) => f.threshold },
  { title: "Drive-pressure ratio at most power, absolute", kind: "dimensionless", get: (f) => f.driveRatio },
  { title: "Nearest limit, share in use", kind: "share", get: (f) => f.share, at: (f) => f.limitAt },
];

export function changesWords(of: Changes): string {
  const entries = Object.entries(of);
  if (entries.length === 0) return "as in the file";
  return entries.map(([key, text]) => `${key} = ${text === null ? "(taken out)" : text.length > 40 ? "(table)" : text}`).join("; ");
}

const thresholdOf = (of: Changes): number | null => thresholds.value[changesKey(of)] ?? null;

interface Case {
  letter: string | null;
  words: string;
  answer: LiveAnswer;
  figures: Figures;
}

/** Above the plots: hold what is in hand, and the way down to the table. */
export function HoldButton() {
  const hold = () => {
    const letter = holdPresent(changesWords(changes.value));
    if (letter) say(`Held as case ${letter}: it stays on the plots as a thin dashed line.`);
  };
  const down = (event: MouseEvent) => {
    event.preventDefault();
    const table = document.getElementById("cases");
    table?.scrollIntoView({ block: "start" });
    table?.focus();
  };
  return (
    <>
      <button type="button" onClick={hold} disabled={!live.value}>
        Hold this case
      </button>
      {held.value.length > 0 && (
        <a href="#cases" onClick={down}>
          Compare {held.value.map((item) => item.letter).join(", ")} with the case in hand
        </a>
      )}
    </>
  );
}

export function HeldCases() {
  const now = live.value;
  if (!now) return null;
  const cases: Case[] = [
    { letter: null, words: changesWords(changes.value), answer: now, figures: figuresOf(now, thresholdOf(changes.value)) },
    ...held.value.map((item) => ({ letter: item.letter, words: item.words, answer: item.answer, figures: figuresOf(item.answer, thresholdOf(item.changes)) })),
  ];
  return (
    <section class="held" id="cases" tabIndex={-1} aria-label="Cases side by side">
      <h2>Cases side by side</h2>
      {cases.length === 1 ? (
        <p class="note">Hold the case in hand (above the plots), then drag a value or choose another card: both stay on the plots, and their figures stand side by side here.</p>
      ) : (
        <CaseTable cases={cases} />
      )}
    </section>
  );
}

function CaseTable({ cases }: { cases: readonly Case[] }) {
  const own = cases[0] as Case;
  const title = (item: Case) => (item.letter ? `Case ${item.letter}` : "In hand");
  const csv = () =>
    saveCsv("cases", [
      { name: "case", unit: "-", values: cases.map(title) },
      { name: "changes", unit: "-", values: cases.map((item) => item.words) },
      ...LINES.map((line) => ({ name: line.title, unit: unitOf(line.kind).unit || "-", values: cases.map((item) => user(line, item.figures)) })),
      { name: "nearest limit", unit: "-", values: cases.map((item) => item.figures.limit ?? "") },
    ]);
  return (
    <>
      <div class="table-scroll" tabIndex={0} role="region" aria-label="Table of cases">
        <table class="cases">
          <caption class="unseen">Cases side by side; differences are to the case in hand</caption>
          <thead>
            <tr>
              <th scope="col">Figure</th>
              {cases.map((item) => (
                <th key={item.letter ?? ""} scope="col">
                  {title(item)}
                  <span class="unit">{item.words}</span>
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {LINES.map((line) => (
              <tr key={line.title}>
                <th scope="row">{line.title}</th>
                {cases.map((item) => (
                  <td key={item.letter ?? ""}>
                    <FigureCell line={line} item={item} own={own} />
                  </td>
                ))}
              </tr>
            ))}
            <tr>
              <th scope="row">Binds at the speed pointed at</th>
              {cases.map((item) => {
                const name = item.answer.binding[cursorIndex.value];
                return <td key={item.letter ?? ""}>{name ? limitTitle(name) : "–"}</td>;
              })}
            </tr>
            <tr>
              <td />
              {cases.map((item) => (
                <td key={item.letter ?? ""}>
                  {item.letter && <CaseButtons letter={item.letter} />}
                </td>
              ))}
            </tr>
          </tbody>
        </table>
      </div>
      <p class="table-foot">
        <span class="note">Small: difference to the case in hand.</span>
        <button type="button" class="quiet" onClick={csv} aria-label="Save as CSV: Cases side by side">
          CSV
        </button>
      </p>
    </>
  );
}

function CaseButtons({ letter }: { letter: string }) {
  const take = () => {
    const item = held.value.find((one) => one.letter === letter);
    if (!item) return;
    replaceChanges(item.changes);
    say(`Case ${letter} is the one in hand now; save it when it is to stand in build.toml.`);
  };
  return (
    <span class="row">
      <button type="button" onClick={take} aria-label={`Make case ${letter} mine`}>
        Make mine
      </button>
      <button type="button" class="quiet" onClick={() => letGo(letter)} aria-label={`Let go of case ${letter}`}>
        Let go
      </button>
    </span>
  );
}

function user(line: Line, figures: Figures): number | null {
  const value = line.get(figures);
  return value === null ? null : toUser(line.kind, value);
}

function FigureCell({ line, item, own }: { line: Line; item: Case; own: Case }) {
  const value = line.get(item.figures);
  const at = line.at?.(item.figures) ?? null;
  const [mine, theirs] = [user(line, own.figures), user(line, item.figures)];
  const digits = decimalsOf(line.kind);
  const unit = unitName(unitOf(line.kind).unit);
  return (
    <>
      <span class="figure">{value === null ? "–" : withUnit(line.kind, value)}</span>
      {at !== null && (
        <span class="soft">
          {" "}
          at {fixed(toUser("rotational_speed", at), 0)} {unitName(unitOf("rotational_speed").unit)}
          {line.kind === "share" && item.figures.limit ? `, ${limitTitle(item.figures.limit)}` : ""}
        </span>
      )}
      {item.letter && mine !== null && theirs !== null && (
        <span class="difference">
          {signed(theirs - mine, digits)} {line.kind === "share" ? "points" : unit}
        </span>
      )}
    </>
  );
}
