/** Decide: what a choice of parts does, moved by hand, seen at once. */
import { BandsButton } from "../bands/bands_button";
import { FaultList } from "../frame/faults";
import { faults, form } from "../lib/state";
import { Binds } from "./binds";
import { Curves } from "./curves";
import { Headline } from "./headline";
import { HeldCases, HoldButton } from "./held_cases";
import { MapPlot } from "./map";
import { Readout } from "./readout";
import { Remarks } from "./remarks";
import { Ribbon } from "./ribbon";
import { showKey } from "./selection";
import { Side } from "./side";
import { LimitStrip } from "./strip";

export function Decide() {
  const shown = faults.value.length > 0 ? faults.value : (form.value?.faults ?? []);
  return (
    <>
      <h1 class="unseen">{form.value?.title || form.value?.name}: curves</h1>
      <Headline />
      <Ribbon />
      {shown.length > 0 && (
        <section class="fault-box" aria-label="Faults">
          <h2>
            {shown.length} {shown.length === 1 ? "fault keeps" : "faults keep"} this case from being worked out
          </h2>
          <p class="note">The curves below are those of the last case that could be.</p>
          <FaultList faults={shown} onShow={showKey} />
        </section>
      )}
      <div class="decide">
        <Side />
        <div class="views">
          <Readout />
          <div class="tools">
            <HoldButton />
            <BandsButton />
          </div>
          <div class="plots">
            <Curves />
            <MapPlot />
          </div>
          <LimitStrip />
          <Binds />
          <HeldCases />
          <Remarks />
        </div>
      </div>
    </>
  );
}
