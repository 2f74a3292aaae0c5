/** Small fields of the steps: a text or number with its label, kept when it is left or Enter is pressed. */
import { useId, useLayoutEffect, useRef } from "preact/hooks";

export function numberOf(text: string): number | null {
  const plain = text.trim().replace(/\s/g, "").replace(/^([+-]?\d+),(\d+)$/, "$1.$2");
  const value = Number(plain);
  return plain === "" || !Number.isFinite(value) ? null : value;
}

export function TextField(props: {
  label: string;
  value: string;
  onValue: (text: string) => void;
  hidden?: boolean;
  note?: string;
  placeholder?: string;
  focus?: boolean;
  list?: readonly string[];
}) {
  const id = useId();
  const box = useRef<HTMLInputElement>(null);
  const kept = useRef(props.value);
  // The field holds what is typed; it is set at once when the value behind it changes, never a moment later, when
  // somebody may be typing again.
  useLayoutEffect(() => {
    kept.current = props.value;
    if (box.current && box.current.value !== props.value) box.current.value = props.value;
  }, [props.value]);
  useLayoutEffect(() => {
    if (props.focus) box.current?.focus();
  }, [props.focus]);
  const keep = (typed: string) => {
    if (typed === kept.current) return;
    kept.current = typed;
    props.onValue(typed);
  };
  return (
    <span class="dig-field">
      <label for={id} class={props.hidden ? "unseen" : undefined}>
        {props.label}
      </label>
      <input
        id={id}
        ref={box}
        type="text"
        placeholder={props.placeholder}
        list={props.list ? `${id}-list` : undefined}
        aria-describedby={props.note ? `${id}-note` : undefined}
        onChange={(event) => keep(event.currentTarget.value)}
        onBlur={(event) => keep(event.currentTarget.value)}
        onKeyDown={(event) => event.key === "Enter" && keep(event.currentTarget.value)}
      />
      {props.list && (
        <datalist id={`${id}-list`}>
          {props.list.map((one) => (
            <option key={one} value={one} />
          ))}
        </datalist>
      )}
      {props.note && (
        <span class="note" id={`${id}-note`}>
          {props.note}
        </span>
      )}
    </span>
  );
}

export function NumberField(props: { label: string; value: number | null; onValue: (value: number | null) => void; focus?: boolean; digits?: number }) {
  const shown = props.value === null ? "" : String(Number(props.value.toPrecision(props.digits ?? 9)));
  return (
    <TextField
      label={props.label}
      value={shown}
      hidden
      focus={props.focus ?? false}
      onValue={(text) => {
        const value = numberOf(text);
        if (text.trim() === "" || value !== null) props.onValue(value);
      }}
    />
  );
}

export function Choice(props: { label: string; value: string; options: readonly (readonly [value: string, words: string])[]; onValue: (value: string) => void; note?: string }) {
  const id = useId();
  return (
    <span class="dig-field">
      <label for={id}>{props.label}</label>
      <select id={id} value={props.value} aria-describedby={props.note ? `${id}-note` : undefined} onChange={(event) => props.onValue(event.currentTarget.value)}>
        {props.options.map(([value, words]) => (
          <option key={value} value={value} selected={value === props.value}>
            {words}
          </option>
        ))}
      </select>
      {props.note && (
        <span class="note" id={`${id}-note`}>
          {props.note}
        </span>
      )}
    </span>
  );
}

export function Tick(props: { label: string; value: boolean; onValue: (value: boolean) => void; hidden?: boolean }) {
  return (
    <label class="dig-tick">
      <input type="checkbox" checked={props.value} onChange={(event) => props.onValue(event.currentTarget.checked)} />
      <span class={props.hidden ? "unseen" : undefined}>{props.label}</span>
    </label>
  );
}
