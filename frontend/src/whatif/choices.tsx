/** Picking what is varied: keys with values, a range or a band, and part cards. */
import { useEffect, useId, useState } from "preact/hooks";
import { get } from "../lib/api";
import { sentence, words } from "../lib/format";
import type { CardEntry } from "../lib/types";
import { cards, keysToVary, oneAtATime, parameterOf, pickOf, picks } from "./asked";
import { find } from "./search";
import { varyText, type CardPick, type Pick, type Way } from "./vary_text";

const WAYS: readonly [Way, string][] = [
  ["list", "these values"],
  ["range", "from, to, how many"],
];
const WAYS_ALONE: readonly [Way, string][] = [
  ["band", "its band in the build"],
  ["step", "so much up and down"],
  ["ends", "a low and a high value"],
];
const CARD_KINDS = ["compressor", "turbine", "wastegate", "fuel"];

const keyName = (key: string) => sentence(words(key.replace(".", ": ")));

export function Choices() {
  const change = (index: number, to: Pick | null) => {
    picks.value = picks.value.flatMap((pick, at) => (at !== index ? [pick] : to ? [to] : []));
  };
  return (
    <div class="picks">
      {picks.value.map((pick, index) => (
        <PickRow key={pick.keys.split("&")[0]} pick={pick} onChange={(to) => change(index, to)} />
      ))}
      <AddKey />
      {!oneAtATime.value && (
        <>
          {cards.value.map((pick, index) => (
            <CardRow key={pick.kind} pick={pick} onChange={(to) => (cards.value = cards.value.flatMap((one, at) => (at !== index ? [one] : to ? [to] : [])))} />
          ))}
          <AddCards />
        </>
      )}
    </div>
  );
}

/** Type what it is called, choose from what fits: arrow keys walk the list, Enter takes. */
function AddKey() {
  const list = useId();
  const [typed, setTyped] = useState("");
  const [active, setActive] = useState(-1);
  const taken = new Set(picks.value.flatMap((pick) => pick.keys.split("&").map((key) => key.trim())));
  const found = find(
    keysToVary().filter((one) => !taken.has(one.key)),
    typed,
  );
  const write = (text: string) => {
    setTyped(text);
    setActive(-1);
  };
  const add = (key: string | undefined) => {
    if (!key) return;
    picks.value = [...picks.value, pickOf(key)];
    write("");
  };
  const press = (event: KeyboardEvent) => {
    const step = event.key === "ArrowDown" ? 1 : event.key === "ArrowUp" ? -1 : 0;
    if (step !== 0 && found.length > 0) setActive((active + step + found.length) % found.length);
    else if (event.key === "Enter" && found.length > 0) {
      // one that fits is taken; of several none is taken unseen
      if (active >= 0 || found.length === 1) add(found[Math.max(0, active)]?.key);
      else setActive(0);
    } else if (event.key === "Escape" && typed) write("");
    else return;
    event.preventDefault();
  };
  return (
    <div class="add">
      <label>
        <span>Value to vary</span>
        <input
          type="text"
          role="combobox"
          aria-expanded={found.length > 0}
          aria-controls={list}
          aria-autocomplete="list"
          aria-activedescendant={active >= 0 ? `${list}-${active}` : undefined}
          value={typed}
          spellcheck={false}
          autocomplete="off"
          placeholder="housing, gate, spring, …"
          onInput={(event) => write(event.currentTarget.value)}
          onKeyDown={press}
        />
      </label>
      <ul id={list} class="found" role="listbox" aria-label="Values that fit">
        {found.map((one, index) => (
          <li key={one.key} id={`${list}-${index}`} role="option" aria-selected={index === active} onClick={() => add(one.key)}>
            <strong>{keyName(one.key)}</strong> <span>{one.words.split(/[.;]/)[0]}</span>
          </li>
        ))}
      </ul>
      {typed.trim() !== "" && found.length === 0 && (
        <p class="note" role="status">
          Nothing is called so. Try the part's name: turbine, wastegate, cooler, exhaust.
        </p>
      )}
    </div>
  );
}

function PickRow(props: { pick: Pick; onChange: (to: Pick | null) => void }) {
  const { pick, onChange } = props;
  const parameter = parameterOf(pick.keys.split("&")[0]?.trim() ?? "");
  const name = pick.keys.split("&").map((key) => keyName(key.trim())).join(" and ");
  const set = (more: Partial<Pick>) => onChange({ ...pick, ...more });
  const ways = pick.way === "choices" ? [] : oneAtATime.value ? WAYS_ALONE : WAYS;
  const way = pick.way === "choices" || ways.some(([one]) => one === pick.way) ? pick.way : (ways[0]?.[0] ?? "list");
  useEffect(() => {
    if (way !== pick.way) set({ way });
  }, [way]);
  const field = (title: string, key: "list" | "low" | "high" | "count" | "step" | "unit") => (
    <label class={`pick-${key}`}>
      <span>{title}</span>
      <input type="text" aria-label={`${title} of ${name}`} value={pick[key]} spellcheck={false} onInput={(event) => set({ [key]: event.currentTarget.value })} />
    </label>
  );
  return (
    <fieldset class="pick">
      <legend>{name}</legend>
      {ways.length > 0 && (
        <label class="pick-way">
          <span>Take</span>
          <select aria-label={`How ${name} is varied`} value={way} onChange={(event) => set({ way: event.currentTarget.value as Way })}>
            {ways.map(([value, title]) => (
              <option key={value} value={value}>
                {title}
              </option>
            ))}
          </select>
        </label>
      )}
      {way === "list" && field("Values", "list")}
      {way === "range" && (
        <>
          {field("From", "low")}
          {field("To", "high")}
          {field("How many", "count")}
        </>
      )}
      {way === "ends" && (
        <>
          {field("Low", "low")}
          {field("High", "high")}
        </>
      )}
      {way === "step" && field("Up and down by", "step")}
      {(way === "list" || way === "range" || way === "ends") && field("Unit", "unit")}
      {way === "choices" && <Words pick={pick} name={name} choices={parameter?.choices ?? []} onChange={set} />}
      {way === "band" && <p class="note">{parameter?.band ? `± ${parameter.band.replace(/^(\+-|±)\s*/, "")}${parameter.band_origin === "default" ? ", assumed" : ""}` : "No band is written: take a step or two ends instead."}</p>}
      {parameter && way !== "choices" && <Together pick={pick} kind={parameter.kind} name={name} onChange={set} />}
      <p class="pick-foot">
        <span class="note">{parameter?.text ? `now ${parameter.text}` : parameter?.shown ? `now ${parameter.shown}` : ""}</span>
        <button type="button" class="quiet" onClick={() => onChange(null)} aria-label={`Do not vary ${name}`}>
          Remove
        </button>
      </p>
      {varyText(pick) === null && <p class="note must">{way === "list" || way === "choices" ? "Two or more are needed." : "Fill these in."}</p>}
    </fieldset>
  );
}

/** Another key of the same kind that takes the same value: a larger valve wants a larger branch. */
function Together(props: { pick: Pick; kind: string; name: string; onChange: (more: Partial<Pick>) => void }) {
  const [first = "", second = ""] = props.pick.keys.split("&").map((key) => key.trim());
  const section = first.split(".")[0];
  const others = keysToVary().filter((one) => one.kind === props.kind && one.key !== first && one.key.startsWith(`${section}.`));
  if (others.length === 0) return null;
  return (
    <label>
      <span>Moved together with</span>
      <select aria-label={`Moved together with ${props.name}`} value={second} onChange={(event) => props.onChange({ keys: [first, event.currentTarget.value].filter(Boolean).join(" & ") })}>
        <option value="">nothing else</option>
        {others.map((one) => (
          <option key={one.key} value={one.key}>
            {words(one.key.split(".")[1] ?? one.key)}
          </option>
        ))}
      </select>
    </label>
  );
}

function Words(props: { pick: Pick; name: string; choices: readonly string[]; onChange: (more: Partial<Pick>) => void }) {
  const chosen = new Set(props.pick.list.split(",").map((word) => word.trim()));
  const turn = (word: string, on: boolean) => {
    const next = props.choices.filter((choice) => (choice === word ? on : chosen.has(choice)));
    props.onChange({ list: next.join(", ") });
  };
  return (
    <div class="ticks" role="group" aria-label={`Choices of ${props.name}`}>
      {props.choices.map((word) => (
        <label key={word}>
          <input type="checkbox" checked={chosen.has(word)} onChange={(event) => turn(word, event.currentTarget.checked)} /> {words(word)}
        </label>
      ))}
    </div>
  );
}

function AddCards() {
  const left = CARD_KINDS.filter((kind) => !cards.value.some((pick) => pick.kind === kind));
  if (left.length === 0) return null;
  return (
    <label class="add">
      <span>Part cards to try</span>
      <select
        value=""
        onChange={(event) => {
          const kind = event.currentTarget.value;
          if (kind) cards.value = [...cards.value, { kind, names: [] }];
          event.currentTarget.value = "";
        }}
      >
        <option value="">choose a kind</option>
        {left.map((kind) => (
          <option key={kind} value={kind}>
            {kind}
          </option>
        ))}
      </select>
    </label>
  );
}

function CardRow(props: { pick: CardPick; onChange: (to: CardPick | null) => void }) {
  const { pick, onChange } = props;
  const [known, setKnown] = useState<CardEntry[] | null>(null);
  useEffect(() => {
    get<CardEntry[]>(`/api/cards/${pick.kind}`).then(setKnown, () => setKnown([]));
  }, [pick.kind]);
  const turn = (name: string, on: boolean) => onChange({ ...pick, names: on ? [...pick.names, name] : pick.names.filter((one) => one !== name) });
  return (
    <fieldset class="pick">
      <legend>{sentence(pick.kind)} cards</legend>
      {known === null && <p class="note">One moment…</p>}
      {known?.length === 0 && <p class="note">There are none.</p>}
      <div class="ticks">
        {known?.map((card) => (
          <label key={card.name}>
            <input type="checkbox" disabled={card.fault !== ""} checked={pick.names.includes(card.name)} onChange={(event) => turn(card.name, event.currentTarget.checked)} /> {card.title || card.name}
            <small>
              {" "}
              {card.status}
              {card.where === "build" ? ", your own" : ""}
              {card.fault && `, cannot be used: ${card.fault}`}
            </small>
          </label>
        ))}
      </div>
      <p class="pick-foot">
        <span />
        <button type="button" class="quiet" onClick={() => onChange(null)} aria-label={`Do not try ${pick.kind} cards`}>
          Remove
        </button>
      </p>
    </fieldset>
  );
}
