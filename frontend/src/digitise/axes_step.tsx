/** Step 2: the axes. Two marks of known value on each axis, or marks with both values; unit and reference condition. */
import { FaultList } from "../frame/faults";
import { Choice, NumberField, TextField, Tick } from "./fields";
import { axes, axesFaults, change, chosen, cross, facts, reading, setFact, tool, type Axis, type Mark } from "./reading";

const MODELS = [
  ["", "the simplest that fits the marks"],
  ["straight", "straight: a screenshot or a clean scan"],
  ["skewed", "turned or skewed"],
  ["perspective", "in perspective: a photograph"],
] as const;
const pretty = (name: string) => name.replace(/_/g, " ");

function units(of: string): string[] {
  const table = facts.value?.units ?? {};
  if (of === "corrected_flow") return reading.value?.what === "turbine" ? [...(table["swallowing"] ?? []), ...(table["mass_flow"] ?? [])] : [...(table["mass_flow"] ?? []), ...(table["volume_flow"] ?? [])];
  return table[of] ?? [];
}

function AxisFields(props: { name: "x" | "y" }) {
  const now = reading.value;
  if (!now) return null;
  const axis = now[props.name];
  const set = (next: Partial<Axis>) => change({ [props.name]: { ...(reading.value?.[props.name] ?? axis), ...next } });
  const kinds: string[] = now.what === "curve" ? Object.keys(facts.value?.units ?? {}) : now.what === "compressor" ? ["corrected_flow", "pressure_ratio"] : now.what === "turbine" ? [axis.of] : props.name === "x" ? ["rotational_speed"] : ["torque", "power"];
  const bare = axis.of === "pressure_ratio" || axis.of === "expansion_ratio" || axis.of === "dimensionless";
  const choose = (of: string) => {
    if (now.what !== "compressor") return set({ of, unit: "" });
    const other = of === "corrected_flow" ? "pressure_ratio" : "corrected_flow";
    const flow = now.x.of === "corrected_flow" ? now.x : now.y;
    const next = { ...axis, of, unit: of === "corrected_flow" ? flow.unit : "" };
    const rest = { ...now[props.name === "x" ? "y" : "x"], of: other, unit: other === "corrected_flow" ? flow.unit : "" };
    change(props.name === "x" ? { x: next, y: rest } : { y: next, x: rest });
  };
  return (
    <div class="row">
      <Choice label={`Along the ${props.name} axis`} value={axis.of} options={[["", "not said yet"], ...kinds.map((kind) => [kind, pretty(kind)] as const)]} onValue={choose} />
      {!bare && (
        <Choice label={`Unit of the ${props.name} axis`} value={axis.unit} options={[["", "not said yet"], ...units(axis.of).map((unit) => [unit, unit] as const)]} onValue={(unit) => set({ unit })} />
      )}
      <Tick label={`${props.name} axis is logarithmic`} value={axis.log} onValue={(log) => set({ log })} />
    </div>
  );
}

export function Fact(props: { name: string; label: string; placeholder?: string; note?: string; list?: readonly string[] }) {
  return (
    <TextField
      label={props.label}
      value={reading.value?.facts[props.name] ?? ""}
      placeholder={props.placeholder ?? ""}
      {...(props.note ? { note: props.note } : {})}
      {...(props.list ? { list: props.list } : {})}
      onValue={(text) => setFact(props.name, text.trim())}
    />
  );
}

function Reference() {
  const now = reading.value;
  if (!now) return null;
  if (now.what === "compressor" || now.what === "turbine")
    return (
      <fieldset>
        <legend>Reference condition, as printed on the picture</legend>
        <p class="note">None is assumed: the usual ones differ by 4 to 5 % of flow.</p>
        <div class="row">
          <Fact name="reference_pressure" label="Reference pressure" placeholder="with unit, absolute" />
          <Fact name="reference_temperature" label="Reference temperature" placeholder="with unit" />
          <Fact name="wheel_diameter" label={now.what === "compressor" ? "Exit diameter of the wheel" : "Diameter of the wheel at its inlet"} placeholder="with unit" />
        </div>
      </fieldset>
    );
  if (now.what === "known-curve" || now.what === "dyno-sheet")
    return (
      <fieldset>
        <legend>Where and in which air the curve was measured</legend>
        <div class="row">
          <Choice label="Measured at the" value={now.facts["known_curve_at"] ?? ""} options={[["", "not said yet"], ["crank", "crank"], ["wheel", "wheel"]]} onValue={(text) => setFact("known_curve_at", text)} />
          <Choice label="Stated for the air" value={now.facts["known_curve_air"] ?? ""} options={[["", "not said yet"], ...(facts.value?.air ?? []).map((word) => [word, word] as const)]} onValue={(text) => setFact("known_curve_air", text)} />
          {now.facts["known_curve_air"] === "as-measured" && (
            <>
              <Fact name="known_curve_pressure" label="Barometer that day" placeholder="100.2 kPa station" />
              <Fact name="known_curve_temperature" label="Temperature of the air drawn" placeholder="22 degC" />
            </>
          )}
        </div>
        {now.y.of === "power" && <p class="note">Two horsepowers are in use: choose hp (mechanical), 745.7 W, or PS, 735.5 W, as unit of the y axis.</p>}
      </fieldset>
    );
  return null;
}

export function AxesStep() {
  const now = reading.value;
  if (!now) return null;
  // of the reading as it is when the field is left, which may be newer than what is drawn
  const set = (index: number, next: Partial<Mark>) => change({ marks: (reading.value ?? now).marks.map((mark, k) => (k === index ? { ...mark, ...next } : mark)) });
  const found = axes.value;
  return (
    <>
      <AxisFields name="x" />
      <AxisFields name="y" />
      <Reference />
      <h3>Marks</h3>
      <p class="note">
        Click two or more marks on each axis and type the value of that axis; or places where both values are known, such as the corners of the plot.
        Four corners put a photograph straight.
      </p>
      <p class="dig-bar">
        <button type="button" aria-pressed={tool.value === "mark"} onClick={() => (tool.value = tool.value === "mark" ? "move" : "mark")}>
          Set marks
        </button>
        <button type="button" onClick={() => {
          const marks = reading.value?.marks ?? [];
          change({ marks: [...marks, { pixel: cross.value, x: null, y: null }] });
          chosen.value = { stroke: -1, point: marks.length };
        }}>
          Add a mark at the cross
        </button>
      </p>
      {now.marks.length > 0 && (
        <div class="dig-scroll" tabIndex={0} role="region" aria-label="Table of marks">
          <table>
            <caption class="unseen">Marks of the axes</caption>
            <thead>
              <tr>
                <th scope="col">Mark</th>
                <th scope="col">{pretty(now.x.of || "x")} {now.x.unit}</th>
                <th scope="col">{pretty(now.y.of || "y")} {now.y.unit}</th>
                <th scope="col">misses by, pixels</th>
                <th scope="col"><span class="unseen">Take out</span></th>
              </tr>
            </thead>
            <tbody>
              {now.marks.map((mark, index) => {
                const miss = found?.residuals[index];
                return (
                  <tr key={index} class={chosen.value.stroke < 0 && chosen.value.point === index ? "chosen" : ""}>
                    <th scope="row">
                      <button type="button" class="link" onClick={() => {
                        chosen.value = { stroke: -1, point: index };
                        cross.value = mark.pixel;
                      }}>
                        {index + 1}
                      </button>
                    </th>
                    <td><NumberField label={`Mark ${index + 1}, value on the x axis`} value={mark.x} onValue={(x) => set(index, { x })} focus={chosen.value.stroke < 0 && chosen.value.point === index && mark.x === null && mark.y === null} /></td>
                    <td><NumberField label={`Mark ${index + 1}, value on the y axis`} value={mark.y} onValue={(y) => set(index, { y })} /></td>
                    <td class="number">{miss ? Math.hypot(miss[0], miss[1]).toFixed(2) : "–"}</td>
                    <td><button type="button" class="quiet" aria-label={`Take out mark ${index + 1}`} onClick={() => {
                      change({ marks: (reading.value ?? now).marks.filter((_, k) => k !== index) });
                      chosen.value = { stroke: -1, point: -1 };
                    }}>Take out</button></td>
                  </tr>
                );
              })}
            </tbody>
          </table>
        </div>
      )}
      <Choice label="How the picture lies" value={now.model} options={MODELS} onValue={(model) => change({ model })} />
      {found && (
        <p role="status">
          The axes are {found.model}: marks met to {found.rms.toFixed(2)} pixels, tilt {found.tilt.toFixed(2)}°, skew {found.skew.toFixed(2)}°. The
          dashed net over the picture must lie on its grid.
        </p>
      )}
      {now.marks.length > 1 && <FaultList faults={axesFaults.value} />}
    </>
  );
}
