/**
 * The gas path as a line of parts: each is a button that opens its fields, with pressure and temperature behind it at
 * the speed pointed at. The dash-dot line between the wheels is their shaft.
 */
import { form, live, session, setChange } from "../lib/state";
import { withUnit } from "../lib/units";
import { BESIDE, GAS_PATH, partOf, type Part, type Shape } from "./parts";
import { at } from "./reading";
import { choosePart, chosenPart } from "./selection";

/** One line drawing a part, 64 by 36, the gas running through its middle. */
const DRAWN: Record<Shape, string> = {
  air: "M4 18H22M28 18H60M12 10H34M20 26H44",
  filter: "M0 18H18M46 18H64M18 6H46V30H18ZM24 6V30M29 6V30M34 6V30M40 6V30",
  compressor: "M0 18H20M20 13L44 4V32L20 23ZM44 10H64",
  cooler: "M0 18H12M52 18H64M12 8H52V28H12ZM18 8L24 28M26 8L32 28M34 8L40 28M42 8L48 28",
  throttle: "M0 11H64M0 25H64M24 25L40 11",
  engine: "M0 18H14M50 18H64M14 4H50V20H14ZM20 12H44M32 12L38 30M32 20V20M28 32A6 4 0 1 0 40 32A6 4 0 1 0 28 32",
  manifold: "M4 6C24 6 26 18 44 18M4 14C20 14 26 18 44 18M4 22C20 22 26 18 44 18M4 30C24 30 26 18 44 18M44 18H64",
  gate: "M0 12H64M26 12V20M38 12V20M22 24H42M32 24V34M26 34H38",
  turbine: "M0 10H20M20 4L44 13V23L20 32ZM44 18H64",
  exhaust: "M0 18H12M12 9H46V27H12ZM46 18H60M18 18H40",
};

/** How many of the part's values are missing or wrong. */
function faultsIn(part: Part): string {
  const own = (form.value?.faults ?? []).filter((fault) => fault.key && partOf(fault.key) === part);
  if (own.length === 0) return "";
  return own.every((fault) => !fault.value) ? `${own.length} needed` : `${own.length} ${own.length === 1 ? "fault" : "faults"}`;
}

function Station({ part, id }: { part: Part; id: string }) {
  if (!part.pressure || !part.temperature) return <span class="station" />;
  const pressure = withUnit("pressure", at(part.pressure));
  const temperature = withUnit("temperature", at(part.temperature), 0);
  return (
    <>
      <span class="station" aria-hidden="true">
        <span>{pressure === "no value" ? "–" : pressure}</span> <span>{temperature === "no value" ? "–" : temperature}</span>
      </span>
      <span id={id} hidden>
        {part.station}: {pressure} absolute, {temperature}
      </span>
    </>
  );
}

function PartButton({ part }: { part: Part }) {
  const count = faultsIn(part);
  const station = `station-${part.id}`;
  return (
    // named by the part alone: what stands behind it changes with every move of the cursor
    <button type="button" class={`part part-${part.id}`} aria-label={count ? `${part.title}, ${count}` : part.title} aria-describedby={part.pressure ? station : undefined} aria-pressed={chosenPart.value === part} onClick={() => choosePart(part)}>
      {part.shape && (
        <svg class="part-shape" viewBox="0 0 64 36" aria-hidden="true" focusable="false">
          <path d={DRAWN[part.shape]} />
        </svg>
      )}
      <span class="part-title">
        {part.title}
        {count && <span class="part-faults"> {count}</span>}
      </span>
      {part.shape && <Station part={part} id={station} />}
    </button>
  );
}

/** How boost is set in what is shown: a change of prediction.mode like any other. */
function Mode() {
  const modes = session.value?.modes ?? [];
  const now = live.value?.mode;
  if (!now) return null;
  return (
    <label>
      <span>Boost by</span>
      <select value={now} onChange={(event) => setChange("prediction.mode", event.currentTarget.value)}>
        {modes.map((mode) => (
          <option key={mode.name} value={mode.name}>
            {mode.words}
          </option>
        ))}
      </select>
    </label>
  );
}

export function Ribbon() {
  return (
    <nav class="ribbon" aria-label="Gas path">
      <ol class="gas-path">
        {GAS_PATH.map((part) => (
          <li key={part.id}>
            <PartButton part={part} />
          </li>
        ))}
      </ol>
      <ul class="beside">
        {BESIDE.map((part) => (
          <li key={part.id}>
            <PartButton part={part} />
          </li>
        ))}
        <li class="mode">
          <Mode />
        </li>
        <li class="ribbon-note">Pressures absolute, total, behind each part</li>
      </ul>
    </nav>
  );
}
