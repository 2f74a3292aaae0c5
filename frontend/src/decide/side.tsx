/** The fields of the part chosen in the gas path: what is written first, what is taken for granted folded below. */
import { Fragment } from "preact";
import { useRef } from "preact/hooks";
import { form } from "../lib/state";
import { changes } from "../lib/state";
import type { Parameter, Section } from "../lib/types";
import { Field } from "./field";
import { sectionsOf } from "./parts";
import { chosenPart, entered } from "./selection";

/** Shown at once: what its owner wrote, changed or must give, and what has something wrong with it. */
const first = (parameter: Parameter) =>
  parameter.status === "written" ||
  parameter.status === "changed" ||
  parameter.key in changes.value ||
  (parameter.required && parameter.used) ||
  parameter.faults.length > 0 ||
  parameter.warnings.length > 0;

export function Side() {
  const open = form.value;
  if (!open) return null;
  const part = chosenPart.value;
  const names = open.sections.map((section) => section.name);
  const sections = sectionsOf(part, names).flatMap((name) => open.sections.filter((section) => section.name === name));
  return (
    <section class="side" aria-label={`Fields: ${part.title}`} tabIndex={0}>
      <h2>{part.title}</h2>
      {part.hint && <p class="hint">{part.hint}</p>}
      {sections.map((section, index) => (
        <SectionFields key={`${part.id}.${section.name}`} section={section} alone={sections.length === 1} open={index === 0 || sections.length === 2 || section.parameters.some((parameter) => parameter.faults.length > 0)} />
      ))}
    </section>
  );
}

type Group = "shown" | "taken" | "rest";
const groupOf = (parameter: Parameter): Group =>
  first(parameter) ? "shown" : parameter.used && (parameter.status === "default" || parameter.status === "card" || parameter.status === "computed") ? "taken" : "rest";

function SectionFields({ section, alone, open }: { section: Section; alone: boolean; open: boolean }) {
  const places = useRef(new Map<string, Group>());
  // once open it is folded by hand only
  const opened = useRef(open);
  opened.current ||= open;
  for (const parameter of section.parameters) if (parameter.key !== entered || !places.current.has(parameter.key)) places.current.set(parameter.key, groupOf(parameter));
  const [shown, taken, rest] = (["shown", "taken", "rest"] as const).map((group) => section.parameters.filter((parameter) => places.current.get(parameter.key) === group)) as [Parameter[], Parameter[], Parameter[]];
  const body = (
    <>
      <p class="note">{section.words}</p>
      {shown.map((parameter) => (
        <Field key={parameter.key} parameter={parameter} section={section.name} />
      ))}
      <More title={`${taken.length} not written, taken as follows`} list={taken} section={section.name} />
      <More title={`${rest.length} more that could be given`} list={rest} section={section.name} />
    </>
  );
  if (alone) return body;
  return (
    <details class="section" open={opened.current}>
      <summary>
        <h3>{section.title}</h3>
      </summary>
      {body}
    </details>
  );
}

function More({ title, list, section }: { title: string; list: readonly Parameter[]; section: string }) {
  if (list.length === 0) return null;
  return (
    <details class="more">
      <summary>{title}</summary>
      {list.map((parameter) => (
        <Fragment key={parameter.key}>
          <Field parameter={parameter} section={section} />
        </Fragment>
      ))}
    </details>
  );
}
