/** Step 3: speed lines, islands and the surge line, clicked or followed; every point can be typed as well. */
import { Choice, NumberField, TextField, Tick } from "./fields";
import { pixelOf, valuesAt } from "./geometry";
import { deleteStroke, newStroke } from "./placing";
import { axes, change, changeStroke, chosen, cross, following, reading, stroke, tool, type Role, type Stroke } from "./reading";

export const ROLE_WORDS: Record<Role, string> = { line: "Line", island: "Island", surge: "Surge line" };
const EXAMPLES: Record<Role, string> = { line: "120000 rpm", island: "74 %", surge: "" };

function label(one: Stroke, index: number): string {
  return `${ROLE_WORDS[one.role]} ${index + 1}`;
}

export function LinesStep() {
  const now = reading.value;
  if (!now) return null;
  const map = now.what === "compressor";
  return (
    <>
      <p class="dig-bar">
        <button type="button" onClick={() => newStroke("line")}>{map ? "New speed line" : "New curve"}</button>
        {map && <button type="button" onClick={() => newStroke("island")}>New island</button>}
        {map && <button type="button" onClick={() => newStroke("surge")}>New surge line</button>}
        <button type="button" aria-pressed={following.value} onClick={() => (following.value = !following.value)}>
          Follow lines
        </button>
        <button type="button" aria-pressed={tool.value === "move"} onClick={() => {
          tool.value = "move";
          chosen.value = { stroke: -1, point: -1 };
        }}>
          Choose and pan
        </button>
      </p>
      <p class="note">
        {following.value
          ? "Click on a line between two crossings: it is followed by its colour and direction. Look it over: where it stopped early, click further along and the stretch is joined on; where it went too far, choose a point and cut it off."
          : "Click points along the line, closer where it bends. Drag a point to move it. A click between two points puts one between."}
        {map && " Begin speed lines at the surge line. An island cut off by the edge of the map is not closed. A printed best point is an island of one point."}
      </p>
      {now.strokes.length > 0 && (
        <div class="dig-scroll" tabIndex={0} role="region" aria-label="Table of lines and islands">
          <table>
            <caption class="unseen">Lines, islands and surge line</caption>
            <thead>
              <tr>
                <th scope="col">In hand</th>
                <th scope="col">Value, with unit</th>
                <th scope="col">Points</th>
                <th scope="col">Closed</th>
                <th scope="col"><span class="unseen">Delete</span></th>
              </tr>
            </thead>
            <tbody>
              {now.strokes.map((one, index) => {
                const own = chosen.value.stroke === index;
                return (
                  <tr key={index} class={own ? "chosen" : ""}>
                    <th scope="row">
                      <button type="button" class="link" aria-pressed={own} onClick={() => {
                        chosen.value = { stroke: index, point: -1 };
                        tool.value = one.role;
                      }}>
                        {label(one, index)}
                      </button>
                    </th>
                    <td>
                      {one.role !== "surge" && (
                        <TextField hidden label={`${label(one, index)}: value`} value={one.value} placeholder={map ? EXAMPLES[one.role] : ""} onValue={(value) => changeStroke(index, { value: value.trim() })} focus={own && one.value === "" && map} />
                      )}
                    </td>
                    <td class="number">{one.points.length}</td>
                    <td>{one.role === "island" && <Tick hidden label={`${label(one, index)} is closed`} value={one.closed} onValue={(closed) => changeStroke(index, { closed })} />}</td>
                    <td><button type="button" class="quiet" aria-label={`Delete ${label(one, index)}`} onClick={() => deleteStroke(index)}>Delete</button></td>
                  </tr>
                );
              })}
            </tbody>
          </table>
        </div>
      )}
      <Cut />
      <Points />
    </>
  );
}

/** A line that was followed too far is cut at a chosen point. */
function Cut() {
  const own = stroke.value;
  const { stroke: number, point } = chosen.value;
  if (!own || point < 0) return null;
  const cut = (points: typeof own.points) => {
    changeStroke(number, { points, closed: false });
    chosen.value = { stroke: number, point: -1 };
  };
  return (
    <p class="dig-bar">
      Point {point + 1} of {own.points.length}:
      <button type="button" onClick={() => cut(own.points.slice(0, point + 1))}>Cut off what comes after</button>
      <button type="button" onClick={() => cut(own.points.slice(point))}>Cut off what comes before</button>
    </p>
  );
}

/** The points of the stroke in hand, in values where the axes are known, else in pixels. */
function Points() {
  const now = reading.value;
  const own = stroke.value;
  const found = axes.value;
  if (!now || !own) return null;
  const number = chosen.value.stroke;
  const put = (index: number, which: 0 | 1, value: number | null) => {
    const points = stroke.value?.points ?? own.points;
    const old = points[index];
    if (value === null || !old) return;
    const values = found ? valuesAt(found.to_pixels, found.log, old) : old;
    if (!values) return;
    const next = which === 0 ? ([value, values[1]] as const) : ([values[0], value] as const);
    const pixel = found ? pixelOf(found.to_pixels, found.log, next[0], next[1]) : next;
    if (pixel) changeStroke(number, { points: points.map((point, k) => (k === index ? pixel : point)) });
  };
  const name = label(own, number);
  return (
    <details class="data">
      <summary>Points of {name} as a table</summary>
      <div class="dig-scroll" tabIndex={0} role="region" aria-label={`Table of points of ${name}`}>
        <table>
          <caption class="unseen">Points of {name}</caption>
          <thead>
            <tr>
              <th scope="col">Point</th>
              <th scope="col">{found ? `${now.x.of.replace(/_/g, " ")} ${now.x.unit}` : "x, pixels"}</th>
              <th scope="col">{found ? `${now.y.of.replace(/_/g, " ")} ${now.y.unit}` : "y, pixels"}</th>
              <th scope="col"><span class="unseen">Take out</span></th>
            </tr>
          </thead>
          <tbody>
            {own.points.map((point, index) => {
              const values = found ? valuesAt(found.to_pixels, found.log, point) : point;
              return (
                <tr key={index} class={chosen.value.point === index ? "chosen" : ""}>
                  <th scope="row">
                    <button type="button" class="link" onClick={() => {
                      chosen.value = { stroke: number, point: index };
                      cross.value = point;
                    }}>{index + 1}</button>
                  </th>
                  <td><NumberField label={`Point ${index + 1}, x`} value={values?.[0] ?? null} digits={5} onValue={(value) => put(index, 0, value)} /></td>
                  <td><NumberField label={`Point ${index + 1}, y`} value={values?.[1] ?? null} digits={5} onValue={(value) => put(index, 1, value)} /></td>
                  <td><button type="button" class="quiet" aria-label={`Take out point ${index + 1}`} onClick={() => changeStroke(number, { points: own.points.filter((_, k) => k !== index) })}>Take out</button></td>
                </tr>
              );
            })}
          </tbody>
        </table>
      </div>
      <p class="dig-bar">
        <button type="button" onClick={() => changeStroke(number, { points: [...own.points, cross.value], traced: false })}>Add a point at the cross</button>
        <Choice label="Is a" value={own.role} options={[["line", "line"], ["island", "island"], ["surge", "surge line"]]} onValue={(role) => change({ strokes: now.strokes.map((one, k) => (k === number ? { ...one, role: role as Role, closed: role === "island" && one.closed } : one)) })} />
      </p>
    </details>
  );
}
