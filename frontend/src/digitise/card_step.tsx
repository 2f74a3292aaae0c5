/** Step 5: what every card says of itself, then the card, or the keys of the build, laid over as changes. */
import { useState } from "preact/hooks";
import { FaultList } from "../frame/faults";
import { ApiError, faultsOf, post } from "../lib/api";
import { again } from "../lib/running";
import { say, setChanges } from "../lib/state";
import type { Fault } from "../lib/types";
import { Fact } from "./axes_step";
import { Choice } from "./fields";
import { facts, fit, fitFaults, goTo, reading, setFact } from "./reading";

export function CardStep() {
  const now = reading.value;
  const [faults, setFaults] = useState<Fault[]>([]);
  const [there, setThere] = useState(false);
  const [done, setDone] = useState("");
  const [busy, setBusy] = useState(false);
  if (!now) return null;
  const isCard = now.what === "compressor" || now.what === "turbine";
  const save = async (over: boolean) => {
    setFaults([]);
    setDone("");
    setBusy(true);
    try {
      const made = await post<{ kind: string; name: string; changes: Record<string, string | null> }>("/api/digitise/card", { reading: now, over });
      setChanges(made.changes);
      again();
      setThere(false);
      const words = `Saved as cards/${made.kind}/${made.name}.toml and laid over the build. Save the build to keep it named there.`;
      setDone(words);
      say(words);
    } catch (error) {
      setThere(error instanceof ApiError && error.status === 409);
      setFaults(faultsOf(error));
    } finally {
      setBusy(false);
    }
  };
  const lay = () => {
    const found = fit.value?.changes ?? {};
    setChanges(found);
    const words = `Laid over the build: ${Object.keys(found).join(", ")}. Save the build to write it.`;
    setDone(words);
    say(words);
  };
  const keys = (facts.value?.keys ?? []).filter((key) => (!now.x.of || key.x === now.x.of) && (!now.y.of || key.y === now.y.of));
  return (
    <>
      {isCard ? (
        <>
          <div class="dig-column">
            <Fact name="source" label="Where the picture is from" placeholder="report, page; seller's sheet; own measurement" />
            <Fact name="licence" label="Terms under which its values may be passed on" list={["own reading, not to be passed on", "own data, free to use", "public domain"]} />
            <Choice label="How well the values are known" value={now.facts["status"] ?? ""} options={[["", "not said yet"], ...Object.entries(facts.value?.status ?? {}).map(([word, words]) => [word, `${word}: ${words}`] as const)]} onValue={(text) => setFact("status", text)} />
            <Fact name="by" label="Read by" />
            <Fact name="date" label="Read on" placeholder="2026-11-26" />
            {now.what === "compressor" && <Fact name="tip_speed_limit" label="Limiting tip speed, if known" placeholder="510 m/s" />}
            <Fact name="speed_limit" label="Limiting shaft speed, if known" placeholder="150000 rpm" />
          </div>
          {now.what === "turbine" && (
            <div class="dig-column">
              <Choice label="The expansion ratio runs" value={now.facts["expansion_ratio_basis"] ?? ""} options={[["", "not said yet"], ["total-to-static", "total-to-static"], ["total-to-total", "total-to-total"]]} onValue={(text) => setFact("expansion_ratio_basis", text)} />
              <Fact name="efficiency_peak" label="Best efficiency" note="the flow curve does not tell it" placeholder="0.68" />
              <Fact name="best_blade_speed_ratio" label="Blade-speed ratio of the best efficiency" placeholder="0.65" />
              <Fact name="a_r" label="A/R as stamped, if known" />
            </div>
          )}
          <Fact name="notes" label="Anything a reader should know" />
          {fit.value && <FaultList faults={fit.value.faults} onShow={goTo} />}
          <FaultList faults={fitFaults.value} onShow={goTo} />
          <p class="dig-bar">
            <button type="button" class="main" disabled={busy || !fit.value || fit.value.faults.length > 0} onClick={() => void save(false)}>
              {busy ? "Saving ..." : `Save as card ${now.name}`}
            </button>
            {there && (
              <button type="button" onClick={() => void save(true)}>
                Replace the card that is there
              </button>
            )}
          </p>
        </>
      ) : (
        <>
          {now.what === "curve" && (
            <Choice
              label="Key of the build"
              value={now.facts["key"] ?? ""}
              options={[["", "not said yet"], ...keys.map((key) => [key.key, key.key] as const)]}
              onValue={(text) => setFact("key", text)}
              note={keys.find((key) => key.key === now.facts["key"])?.words ?? "those that take a curve over these axes"}
            />
          )}
          {now.what === "curve" && (keys.find((key) => key.key === now.facts["key"])?.basis.length ?? 0) > 0 && (
            <Choice label="Counted from" value={now.facts["value_basis"] ?? ""} options={[["", "not said yet"], ...(keys.find((key) => key.key === now.facts["key"])?.basis ?? []).map((word) => [word, word] as const)]} onValue={(text) => setFact("value_basis", text)} />
          )}
          {fit.value && <FaultList faults={fit.value.faults} onShow={goTo} />}
          <FaultList faults={fitFaults.value} onShow={goTo} />
          {fit.value && Object.keys(fit.value.changes).length > 0 && (
            <ul class="dig-changes">
              {Object.entries(fit.value.changes).map(([key, text]) => (
                <li key={key}>
                  <code>{key}</code> {text === null ? "is taken out" : <code>{text}</code>}
                </li>
              ))}
            </ul>
          )}
          <p>
            <button type="button" class="main" disabled={!fit.value || Object.keys(fit.value.changes).length === 0} onClick={lay}>
              Lay over the build
            </button>
          </p>
        </>
      )}
      <FaultList faults={faults} />
      {done && (
        <p role="status">
          {done} <a href="#/decide">To the curves</a>
        </p>
      )}
    </>
  );
}
