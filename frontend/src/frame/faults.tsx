/** Faults as the program words them: what, where, what is allowed, what would mend it. */
import type { Fault } from "../lib/types";

export function FaultText({ fault }: { fault: Fault }) {
  return (
    <>
      <strong>{fault.message}</strong>
      {fault.value && <> Given: <code>{fault.value}</code>.</>}
      {fault.allowed && <> Allowed: {fault.allowed}.</>}
      {fault.remedy && <span class="remedy"> {fault.remedy}</span>}
    </>
  );
}

export function FaultList(props: { faults: readonly Fault[]; onShow?: (key: string) => void }) {
  return (
    <ul class="faults">
      {props.faults.map((fault, index) => (
        <li key={index} class={fault.severity === "warning" ? "warning" : "fault"}>
          {fault.key && props.onShow ? (
            <button type="button" class="link" onClick={() => props.onShow?.(fault.key ?? "")}>
              {fault.key}
            </button>
          ) : (
            fault.key && <code>{fault.key}</code>
          )}{" "}
          <FaultText fault={fault} />
        </li>
      ))}
    </ul>
  );
}
