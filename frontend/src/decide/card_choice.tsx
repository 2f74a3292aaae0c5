/** Which part: the cards of its kind, the build's own first. */
import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { get } from "../lib/api";
import { cardsVersion, setChange } from "../lib/state";
import type { CardEntry, Parameter } from "../lib/types";
import { fieldId } from "./selection";

const known = signal<Record<string, CardEntry[]>>({});

async function readCards(kind: string): Promise<void> {
  try {
    known.value = { ...known.peek(), [kind]: await get<CardEntry[]>(`/api/cards/${encodeURIComponent(kind)}`) };
  } catch {
    // the select then offers what stands there, and the frame says that the server has gone
  }
}
export function CardChoice(props: { parameter: Parameter; text: string | null; kind: string; describedBy: string }) {
  const { parameter, text, kind } = props;
  const cards = known.value[kind];
  const version = cardsVersion.value;
  useEffect(() => void readCards(kind), [kind, version]);
  const groups = [
    ["This build's own", "build"],
    ["Shipped library", "library"],
  ] as const;
  const chosen = cards?.find((card) => card.name === text);
  return (
    <>
      <select id={fieldId(parameter.key)} aria-describedby={props.describedBy} value={text ?? ""} onChange={(event) => setChange(parameter.key, event.currentTarget.value || null)}>
        <option value="">{parameter.shown && text === null ? `${parameter.shown} (not written)` : "none"}</option>
        {text && !chosen && <option value={text}>{text}</option>}
        {groups.map(([title, where]) => {
          const list = cards?.filter((card) => card.where === where) ?? [];
          return (
            list.length > 0 && (
              <optgroup key={where} label={title}>
                {list.map((card) => (
                  <option key={card.name} value={card.name} disabled={Boolean(card.fault)}>
                    {card.name}
                    {card.fault ? " (cannot be used)" : ""}
                  </option>
                ))}
              </optgroup>
            )
          );
        })}
      </select>
      {chosen && (
        <p class="card-words">
          {chosen.title}. <span class="status">{chosen.status}</span>
        </p>
      )}
    </>
  );
}
