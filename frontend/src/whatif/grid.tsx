/** Two keys over one another: the ranked figure in a grid, so that a ridge shows. */
import { fixed } from "../lib/format";
import { decimalsOfFigure, unitOfFigure, userFigure } from "./figures";
import { figureName, type WhatIf } from "./whatif_result";

export function Grid({ found }: { found: WhatIf }) {
  const [down, along] = found.axes;
  if (!down || !along) return null;
  const name = found.ranked_by;
  const figure = found.figures[name];
  // the first of the two changes slower; case 0 is the build as it stands
  const value = (row: number, column: number) => userFigure(name, figure, found.cases[1 + row * along.values.length + column]?.figures[name]);
  const all = down.values.flatMap((_, row) => along.values.map((__, column) => value(row, column))).filter((one): one is number => one !== null);
  const low = Math.min(...all);
  const high = Math.max(...all);
  const caption = `${figureName(name)}${unitOfFigure(name, figure) ? `, ${unitOfFigure(name, figure)}` : ""}: ${down.keys} down, ${along.keys} along`;
  return (
    <section aria-label={caption}>
      <h2>Two keys over one another</h2>
      <div class="table-scroll" tabIndex={0} role="region" aria-label={caption}>
        <table class="grid">
          <caption>{caption}</caption>
          <thead>
            <tr>
              <td />
              {along.values.map((text) => (
                <th key={text} scope="col">
                  {text}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {down.values.map((text, row) => (
              <tr key={text}>
                <th scope="row">{text}</th>
                {along.values.map((other, column) => {
                  const one = value(row, column);
                  const share = one === null || high === low ? 0 : (one - low) / (high - low);
                  return (
                    <td key={other} class="number">
                      {one === null ? "–" : fixed(one, decimalsOfFigure(name, figure))}
                      <i class="level" style={{ width: `${share * 100}%` }} />
                    </td>
                  );
                })}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}
