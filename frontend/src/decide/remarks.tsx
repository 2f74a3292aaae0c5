/** What the program says of its own numbers: warnings of the build, and what each figure rests on. */
import { FaultList } from "../frame/faults";
import { sentence } from "../lib/format";
import { form, settled } from "../lib/state";
import { showKey } from "./selection";

export function Remarks() {
  const warnings = form.value?.warnings ?? [];
  const whole = settled.value;
  if (!whole) return null;
  return (
    <section class="remarks" aria-label="What these numbers rest on">
      <h2>What these numbers rest on</h2>
      {warnings.length > 0 && <FaultList faults={warnings.map((fault) => ({ ...fault, severity: "warning" }))} onShow={showKey} />}
      <ul class="remark-list">
        {whole.remarks.map((remark, index) => (
          <li key={index}>
            {sentence(remark.message)} <span class="soft">({remark.status})</span>
          </li>
        ))}
        {whole.warnings.map((warning) => (
          <li key={warning}>{sentence(warning)}</li>
        ))}
      </ul>
      <details>
        <summary>Which cards and relations were used</summary>
        <ul class="remark-list">
          {whole.choices.map((choice) => (
            <li key={choice.what}>
              {sentence(choice.what)}: {choice.name} <span class="soft">({[choice.place, choice.status, choice.source].filter(Boolean).join("; ")})</span>
            </li>
          ))}
        </ul>
      </details>
    </section>
  );
}
