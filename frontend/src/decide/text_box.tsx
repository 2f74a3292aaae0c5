/** A text field of the build: it shows what stands there, and what is typed over it until that is put. */
import { useComputed } from "@preact/signals";
import { useRef, useState } from "preact/hooks";
import { forgetTyped, forgotten, putTyped, typed, typing } from "../lib/typing";

interface Props {
  /** The field's own name among all: the key, and the point of a curve. */
  field: string;
  text: string;
  /** Makes the text a change; false where it cannot be one, which leaves it standing to be mended. */
  put: (text: string) => boolean | void;
  id?: string | undefined;
  label?: string;
  describedBy?: string;
  placeholder?: string;
  invalid?: boolean;
  decimal?: boolean;
}

export function TextBox({ field, text, put, ...rest }: Props) {
  const typedHere = useComputed(() => (typed.value?.field === field ? typed.value.text : null)).value;
  const [refused, setRefused] = useState<{ text: string; over: string; since: number } | null>(null);
  const latest = useRef(put);
  latest.current = put;
  const take = (now: string) => setRefused(latest.current(now) === false ? { text: now, over: text, since: forgotten.peek() } : null);
  const standing = refused?.over === text && refused.since === forgotten.value ? refused.text : null;
  return (
    <input
      id={rest.id}
      type="text"
      inputMode={rest.decimal ? "decimal" : undefined}
      aria-label={rest.label}
      aria-describedby={rest.describedBy}
      aria-invalid={standing !== null || rest.invalid}
      placeholder={rest.placeholder}
      spellcheck={false}
      autocomplete="off"
      value={typedHere ?? standing ?? text}
      onInput={(event) => typing(field, event.currentTarget.value, take)}
      onBlur={() => putTyped(field)}
      onKeyDown={(event) => {
        if (event.key === "Enter") putTyped(field);
        if (event.key === "Escape") {
          forgetTyped(field);
          setRefused(null);
        }
      }}
    />
  );
}
