/** Decide: what a choice of parts does, moved by hand, seen at once. */
import { BandsButton } from "../bands/bands_button";
import { form, live, settled } from "../lib/state";
import { Binds } from "./binds";
import { Curves } from "./curves";
import { FaultBox, faultsNow } from "./fault_box";
import { Headline } from "./headline";
import { HeldCases, HoldButton } from "./held_cases";
import { MapPlot } from "./map";
import { Readout } from "./readout";
import { Remarks } from "./remarks";
import { Ribbon } from "./ribbon";
import { Side } from "./side";
import { LimitStrip } from "./strip";

export function Decide() {
  // a build that was never complete has nothing to draw: its fields have the page
  const drawn = live.value !== null || settled.value !== null || faultsNow().length === 0;
  return (
    <>
      <h1 class="unseen">{form.value?.title || form.value?.name}: curves</h1>
      <Headline />
      <Ribbon />
      {drawn && <FaultBox />}
      <div class="decide">
        <Side />
        {!drawn && <FaultBox />}
        <div class="views" hidden={!drawn}>
          <Readout />
          <div class="tools">
            <HoldButton />
            <BandsButton />
          </div>
          {!live.value && (
            <p class="note" role="status">
              Working out the first answer…
            </p>
          )}
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
