/** The one speed pointed at: a slider of its own, and what stands there in a line of text. */
import { cursor, live } from "../lib/state";
import { useKeys } from "../lib/keys";
import { shown, withUnit } from "../lib/units";
import { at, binding, cursorIndex, speeds, values } from "./reading";
import { limitWords } from "./limit_words";

export function step(by: number): void {
  const list = speeds.peek();
  const now = cursorIndex.peek();
  const next = list[Math.min(list.length - 1, Math.max(0, now + by))];
  if (next !== undefined) cursor.value = next;
}

/** Everything worth reading at the speed pointed at, as one sentence. */
export function readoutText(): string {
  const index = cursorIndex.value;
  if (index < 0) return "";
  const outcome = live.value?.outcomes[index];
  if (outcome && !outcome.solved) return outcome.message ?? outcome.reason ?? "no steady state here";
  const parts = [
    ["torque", "Nm"],
    ["power", "W"],
    ["boost", "Pa"],
  ].map(([name, unit]) => {
    const value = at(name ?? "");
    return value === null ? "" : `${name} ${shown(name ?? "", unit ?? "", value)}`;
  });
  const ratio = at("drive_pressure_ratio");
  if (ratio !== null) parts.push(`drive-pressure ratio ${ratio.toFixed(2)}`);
  const gas = at("temperature_em");
  if (gas !== null) parts.push(`gas at the turbine ${withUnit("temperature", gas, 0)}`);
  const binds = binding.value[index];
  parts.push(binds ? `bound by ${limitWords(binds)}` : "no limit binds");
  return parts.filter(Boolean).join(" · ");
}

export function Readout() {
  // Home and End scroll the page; they go to the ends of the speeds where the slider below has the focus
  useKeys([
    { key: "ArrowLeft", words: "Point at the next lower engine speed", run: () => step(-1) },
    { key: "ArrowRight", words: "Point at the next higher engine speed", run: () => step(1) },
  ]);
  const list = speeds.value;
  const index = Math.max(0, cursorIndex.value);
  const speed = withUnit("rotational_speed", list[index] ?? null);
  if (values("torque").length === 0) return <div class="readout" />;
  return (
    <div class="readout">
      <label class="pointer">
        <span class="unseen">Engine speed pointed at</span>
        <input
          type="range"
          min={0}
          max={Math.max(1, list.length - 1)}
          step={1}
          value={index}
          aria-valuetext={speed}
          onInput={(event) => {
            const next = list[Number(event.currentTarget.value)];
            if (next !== undefined) cursor.value = next;
          }}
        />
      </label>
      <p role="status" aria-label="Readout">
        <strong>At {speed}:</strong> {readoutText()}
      </p>
    </div>
  );
}
