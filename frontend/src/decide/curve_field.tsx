/** A value over engine speed (or pressure, voltage): its points side by side, and one handle that moves them all. */
import { useState } from "preact/hooks";
import { dragging, say, setChange } from "../lib/state";
import type { Parameter } from "../lib/types";
import { unitName } from "../lib/units";
import { nameOf } from "./names";
import { fieldId } from "./selection";
import { TextBox } from "./text_box";
import { listOf, parse, withList } from "./value_text";

const unitIn = (text: string, key: string) => new RegExp(`\\b${key}\\s*=\\s*"([^"]*)"`).exec(text)?.[1] ?? "";

export function CurveField(props: { parameter: Parameter; text: string; title: string; describedBy: string }) {
  const { parameter, text, title } = props;
  const axis = parameter.axis || "speed";
  const putText = (typed: string) => {
    if (typed !== text) setChange(parameter.key, typed || null);
  };
  const along = listOf(text, axis);
  const values = listOf(text, "value");
  if (!along || !values || along.length !== values.length)
    return (
      <TextBox field={`${parameter.key}#text`} id={fieldId(parameter.key)} describedBy={props.describedBy} text={text} put={putText} />
    );
  const unit = [unitName(unitIn(text, "value_unit")), unitIn(text, "value_basis")].filter(Boolean).join(" ");
  const axisUnit = unitName(unitIn(text, "unit"));
  const put = (index: number, typed: string) => {
    const number = Number(typed.replace(",", "."));
    if (typed.trim() === "" || !Number.isFinite(number)) {
      say(`Not taken: “${typed}” is no number${unit ? ` (of ${unit})` : ""}.`);
      return false;
    }
    if (number !== values[index]) setChange(parameter.key, withList(text, "value", values.map((value, at) => (at === index ? number : value))));
    return true;
  };
  return (
    <>
      <div class="points" role="group" aria-label={`${title}${unit ? `, ${unit}` : ""}`}>
        {along.map((at, index) => (
          <label key={`${at}`}>
            <span>
              {at} {axisUnit}
            </span>
            <TextBox
              field={`${parameter.key}#${index}`}
              id={index === 0 ? fieldId(parameter.key) : undefined}
              decimal
              label={`${title} at ${at} ${axisUnit}`}
              text={String(values[index])}
              put={(typed) => put(index, typed)}
            />
          </label>
        ))}
        {unit && <span class="points-unit">{unit}</span>}
      </div>
      <Scale parameter={parameter} text={text} title={title} values={values} />
      <details class="as-text">
        <summary>Points as text</summary>
        <TextBox field={`${parameter.key}#text`} label={`${title} as text`} text={text} put={putText} />
      </details>
    </>
  );
}

/** Moves all points together, in per cent of what they were when the handle was taken. */
function Scale({ parameter, text, title, values }: { parameter: Parameter; text: string; title: string; values: readonly number[] }) {
  const [from, setFrom] = useState<{ values: readonly number[]; percent: number } | null>(null);
  const percent = from?.percent ?? 100;
  const done = () => {
    dragging.value = false;
    setFrom(null);
  };
  return (
    <span class="drag">
      <input
        type="range"
        aria-label={`${title}, all points, drag`}
        aria-valuetext={`${percent} %`}
        min={70}
        max={130}
        step={1}
        value={percent}
        onPointerDown={() => (dragging.value = true)}
        onPointerUp={done}
        onPointerCancel={done}
        onBlur={done}
        onInput={(event) => {
          performance.clearMarks("slider");
          performance.mark("slider");
          const next = Number(event.currentTarget.value);
          const base = from?.values ?? values;
          setFrom({ values: base, percent: next });
          setChange(parameter.key, withList(text, "value", base.map((value) => (value * next) / 100)));
        }}
      />
      <span class="ends" aria-hidden="true">
        <span>all points 70 %</span>
        <span>130 %</span>
      </span>
    </span>
  );
}

/** From one value to a curve over engine speed: the same value at a few speeds, to be changed one by one. */
export function ToCurve({ parameter, text }: { parameter: Parameter; text: string | null }) {
  const start = curveText(text ?? parameter.shown, parameter);
  if (!start) return null;
  return (
    <button type="button" class="quiet" onClick={() => setChange(parameter.key, start)} aria-label={`Give ${nameOf(parameter.key)} over engine speed`}>
      give it over engine speed
    </button>
  );
}

const SPEEDS = [1500, 3000, 4500, 6000];

/** A table that says the same as the value, or as the key's own example; null where neither is of use. */
export function curveText(value: string, parameter: Pick<Parameter, "example" | "basis_choices">): string | null {
  const found = parse(value) ?? parse(parameter.example.replaceAll('"', ""));
  if (!found) return parameter.example.startsWith("{") ? parameter.example : null;
  const basis = parameter.basis_choices.find((choice) => found.rest.endsWith(` ${choice}`));
  const unit = basis ? found.rest.slice(0, -basis.length - 1).trim() : found.rest;
  const parts = [`speed = [${SPEEDS.join(", ")}]`, 'unit = "rpm"', `value = [${SPEEDS.map(() => found.number).join(", ")}]`];
  if (unit) parts.push(`value_unit = "${unit}"`);
  if (basis) parts.push(`value_basis = "${basis}"`);
  return `{ ${parts.join(", ")} }`;
}
