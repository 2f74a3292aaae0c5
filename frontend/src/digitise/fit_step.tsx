/** Step 4: what the reading comes to: values, how well everything fits, what is doubtful. */
import { FaultList } from "../frame/faults";
import { withUnit } from "../lib/units";
import { fit, fitFaults, fitting, goTo, reading } from "./reading";

const rms = (values: readonly (number | null)[]) => {
  const known = values.filter((value): value is number => value !== null);
  return known.length ? Math.sqrt(known.reduce((sum, value) => sum + value * value, 0) / known.length) : null;
};
const most = (values: readonly (number | null)[]) => values.reduce<number>((top, value) => Math.max(top, Math.abs(value ?? 0)), 0);

export function FitStep() {
  const now = reading.value;
  const found = fit.value;
  if (!now) return null;
  return (
    <>
      <p role="status">{fitting.value ? "Working it out ..." : found ? summary(found, now.what) : "It cannot be worked out yet:"}</p>
      <FaultList faults={fitFaults.value} onShow={goTo} />
      {found && found.warnings.length > 0 && (
        <>
          <h3>Asked about</h3>
          <FaultList faults={found.warnings} />
        </>
      )}
      {found?.lines && (
        <div class="dig-scroll" tabIndex={0} role="region" aria-label="Table of speed lines read">
          <table>
            <caption>Speed lines</caption>
            <thead>
              <tr>
                <th scope="col">Line</th>
                <th scope="col">speed</th>
                <th scope="col">flow</th>
                <th scope="col">ratio to</th>
                <th scope="col">best, %</th>
                <th scope="col">beyond islands</th>
                <th scope="col">roughest, pixels</th>
              </tr>
            </thead>
            <tbody>
              {found.lines.map((line) => (
                <tr key={line.stroke}>
                  <th scope="row">{line.stroke}</th>
                  <td class="number">{withUnit("rotational_speed", line.speed)}</td>
                  <td class="number">to {withUnit("mass_flow", Math.max(...line.corrected_flow))}</td>
                  <td class="number">{Math.max(...line.pressure_ratio).toFixed(3)}</td>
                  <td class="number">{(100 * Math.max(...line.efficiency)).toFixed(1)}</td>
                  <td class="number">{line.known.filter((word) => word === "extrapolated").length} of {line.known.length}</td>
                  <td class="number">{most(line.rough).toFixed(1)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      {found?.islands && (
        <div class="dig-scroll" tabIndex={0} role="region" aria-label="Table of islands and their misses">
          <table>
            <caption>Islands: fitted surface less what is printed, in points of efficiency</caption>
            <thead>
              <tr>
                <th scope="col">Island</th>
                <th scope="col">efficiency, %</th>
                <th scope="col">mostly</th>
                <th scope="col">at most</th>
              </tr>
            </thead>
            <tbody>
              {found.islands.map((island) => (
                <tr key={island.stroke}>
                  <th scope="row">{island.stroke}</th>
                  <td class="number">{(100 * island.efficiency).toFixed(1)}</td>
                  <td class="number">{rms(island.residuals) === null ? "not used" : (100 * (rms(island.residuals) ?? 0)).toFixed(2)}</td>
                  <td class="number">{(100 * most(island.residuals)).toFixed(2)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      {found?.curves && (
        <details class="data">
          <summary>Values read</summary>
          <div class="dig-scroll" tabIndex={0} role="region" aria-label="Table of values read">
            <table>
              <caption class="unseen">Values read</caption>
              <thead>
                <tr>
                  <th scope="col">Curve</th>
                  <th scope="col">{now.x.of.replace(/_/g, " ")} {now.x.unit}</th>
                  <th scope="col">{now.y.of.replace(/_/g, " ")} {now.y.unit}</th>
                  <th scope="col">rough, pixels</th>
                </tr>
              </thead>
              <tbody>
                {found.curves.flatMap((curve) =>
                  curve.x.map((x, k) => (
                    <tr key={`${curve.stroke}.${k}`}>
                      <th scope="row">{curve.stroke}</th>
                      <td class="number">{x.toPrecision(5)}</td>
                      <td class="number">{curve.y[k]?.toPrecision(5)}</td>
                      <td class="number">{curve.rough[k]?.toFixed(1) ?? "–"}</td>
                    </tr>
                  )),
                )}
              </tbody>
            </table>
          </div>
        </details>
      )}
      {found?.overlay?.surface && (
        <p class="note">
          Dashed green: the fitted surface at the islands' own values. It should lie on the printed islands. Circles grow with what a point misses by; a
          square is a point of a line whose efficiency lies beyond the last island.
        </p>
      )}
    </>
  );
}

function summary(found: NonNullable<typeof fit.value>, what: string): string {
  const axes = found.axes ? `Axes ${found.axes.model}, marks met to ${found.axes.rms.toFixed(2)} pixels. ` : "";
  if (what === "compressor") {
    const miss = found.island_rms === null || found.island_rms === undefined ? "–" : (100 * found.island_rms).toFixed(2);
    return `${axes}${found.lines?.length ?? 0} speed lines; islands met to ${miss} points of efficiency (root mean square).`;
  }
  if (found.choked_flow) {
    const { value, band, unit } = found.choked_flow;
    return `${axes}Choked flow ${value.toPrecision(4)} ${unit}, between ${band[0]?.toPrecision(4)} and ${band[1]?.toPrecision(4)}.`;
  }
  return `${axes}${found.curves?.length ?? 0} curves, ${found.curves?.[0]?.x.length ?? 0} points in the first.`;
}
