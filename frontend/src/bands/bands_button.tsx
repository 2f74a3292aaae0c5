/** For the pages with curves: one button that draws the bands, its progress, and what the shading means. */
import { bandsNow } from "../lib/state";
import { Progress } from "../work/progress";
import { FaultList } from "../frame/faults";
import { banding, draw } from "./banding";

export function BandsButton() {
  const stand = bandsNow.value !== null;
  return (
    <div class="bands-button">
      {!banding.running.value && (
        <button type="button" disabled={stand} onClick={draw}>
          {stand ? "Bands are drawn" : banding.result.value ? "Draw bands again" : "Draw bands"}
        </button>
      )}
      <Progress work={banding} />
      {banding.faults.value.length > 0 && (
        <div role="alert">
          <FaultList faults={banding.faults.value} />
        </div>
      )}
      {stand && (
        <span class="note">
          The shade holds 9 of 10 samples. <a href="#/decide/bands">What makes it so wide</a>
        </span>
      )}
      {!stand && banding.result.value && !banding.running.value && <span class="note">The bands belong to other values.</span>}
    </div>
  );
}
