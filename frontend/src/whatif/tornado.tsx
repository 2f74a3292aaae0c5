/** One key at a time: what each moves by itself. Bars in two lanes (low end above, hatched; high end below, solid), the
 *  figures beside them, each end to be taken by a button. */
import { signal } from "@preact/signals";
import { saveCsv } from "../lib/export";
import { fixed } from "../lib/format";
import { PlotButtons } from "../lib/plot";
import { decimalsOfFigure, unitOfFigure, userFigure } from "./figures";
import { TakeButtons } from "./take";
import { byReach, drawTornado, scaleOf, type Bar } from "./tornado_drawing";
import { figureChoice, type Case, type Lever, type WhatIf } from "./whatif_result";

const chosen = signal("");
const FIRST = ["threshold", "peak_power", "mean_torque", "drive_pressure_ratio_most", "creep_floor"];

export function Tornado({ found }: { found: WhatIf }) {
  const names = [...FIRST, ...Object.keys(found.figures).filter((name) => !FIRST.includes(name))];
  const name = names.includes(chosen.value) ? chosen.value : FIRST.includes(found.ranked_by) ? found.ranked_by : (names[0] ?? "");
  const figure = found.figures[name];
  const unit = unitOfFigure(name, figure);
  const now = userFigure(name, figure, found.cases[0]?.figures[name]);
  const at = (number: number) => userFigure(name, figure, found.cases[number]?.figures[name]);
  const levers = new Map(found.levers.map((lever) => [lever.keys, lever]));
  const every = found.levers.map((lever): Bar => ({ keys: lever.keys, low: lever.low, high: lever.high, atLow: at(lever.low_case), atHigh: at(lever.high_case) }));
  const decimals = decimalsOfFigure(name, figure);
  const text = (value: number | null) => (value === null ? "–" : fixed(value, decimals));
  const title = `What moves the ${figureChoice(name)}${unit ? `, ${unit}` : ""}`;
  return (
    <section class="tornado" aria-labelledby="tornado">
      <h2 id="tornado">One key at a time</h2>
      <label class="inline">
        Figure{" "}
        <select value={name} onChange={(event) => (chosen.value = event.currentTarget.value)}>
          {names.map((one) => (
            <option key={one} value={one}>
              {figureChoice(one)}
            </option>
          ))}
        </select>
      </label>
      <p class="note">{figure?.words}</p>
      {now === null ? (
        <p class="note">The build as it stands has no value of this figure, so nothing can be held against it.</p>
      ) : (
        <Bars found={found} bars={byReach(every, now)} levers={levers} now={now} unit={unit} text={text} title={title} name={name} />
      )}
      <p class="note">Each bar moves one key and leaves the rest as they are; two changes together need not add up.</p>
    </section>
  );
}

interface BarsProps {
  found: WhatIf;
  bars: Bar[];
  levers: Map<string, Lever>;
  now: number;
  unit: string;
  text: (value: number | null) => string;
  title: string;
  name: string;
}

function Bars({ found, bars, levers, now, unit, text, title, name }: BarsProps) {
  const scale = scaleOf(bars, now);
  const csv = () =>
    saveCsv(`what-moves-${name}`, [
      { name: "key", unit: "-", values: bars.map((bar) => bar.keys) },
      { name: "low end", unit: "-", values: bars.map((bar) => bar.low) },
      { name: "high end", unit: "-", values: bars.map((bar) => bar.high) },
      { name: `${name} at low end`, unit: unit || "-", values: bars.map((bar) => bar.atLow) },
      { name: `${name} at high end`, unit: unit || "-", values: bars.map((bar) => bar.atHigh) },
      { name: "ends from", unit: "-", values: bars.map((bar) => levers.get(bar.keys)?.source ?? "") },
    ]);
  return (
    <figure class="plot" aria-label={title}>
      <figcaption>
        <h3>{title}</h3>
        <span class="unit">now {text(now)}</span>
        <PlotButtons name={`what-moves-${name}`} title={title} csv={csv} draw={(surface, width, height, inks) => drawTornado(surface, bars, now, title, text, width, height, inks)} />
      </figcaption>
      <div class="table-scroll" tabIndex={0} role="region" aria-label={`Table: ${title}`}>
        <table class="bars">
          <thead>
            <tr>
              <th scope="col">key, from and to</th>
              <th scope="col" class="bar-head">
                low end above, high end below; the line is now
              </th>
              <th scope="col">at the low end</th>
              <th scope="col">at the high end</th>
            </tr>
          </thead>
          <tbody>
            {bars.map((bar) => (
              <BarRow key={bar.keys} bar={bar} lever={levers.get(bar.keys)} found={found} now={now} scale={scale} text={text} />
            ))}
          </tbody>
        </table>
      </div>
    </figure>
  );
}

function BarRow(props: { bar: Bar; lever: Lever | undefined; found: WhatIf; now: number; scale: [number, number]; text: (value: number | null) => string }) {
  const { bar, lever, found, now, scale, text } = props;
  const end = (number: number | undefined) => {
    const one = number === undefined ? undefined : found.cases[number];
    return one as Case | undefined;
  };
  const low = end(lever?.low_case);
  const high = end(lever?.high_case);
  return (
    <tr>
      <th scope="row">
        <code>{bar.keys.replaceAll(" and ", " & ")}</code>
        <small>
          {bar.low} … {bar.high}
          <br />
          {lever?.source}
        </small>
      </th>
      <td class="bar-cell">
        <Lane value={bar.atLow} now={now} scale={scale} high={false} />
        <Lane value={bar.atHigh} now={now} scale={scale} high />
        <i class="now" style={{ left: `${place(now, scale)}%` }} />
      </td>
      <td class="number">
        {low?.reason ? <small>{low.reason}</small> : text(bar.atLow)}
        {low && !low.reason && <TakeButtons one={low} />}
      </td>
      <td class="number">
        {high?.reason ? <small>{high.reason}</small> : text(bar.atHigh)}
        {high && !high.reason && <TakeButtons one={high} />}
      </td>
    </tr>
  );
}

const place = (value: number, [low, high]: [number, number]) => ((value - low) / (high - low)) * 100;

function Lane({ value, now, scale, high }: { value: number | null; now: number; scale: [number, number]; high: boolean }) {
  if (value === null) return <span class="lane none">{high ? "no value at the high end" : "no value at the low end"}</span>;
  const from = Math.min(place(now, scale), place(value, scale));
  const wide = Math.abs(place(value, scale) - place(now, scale));
  return (
    <span class="lane">
      <span class={high ? "bar solid" : "bar hatched"} style={{ left: `${from}%`, width: `${Math.max(wide, 0.4)}%` }} />
    </span>
  );
}
