/**
 * One value of the build: what it is called and means, what stands there, where it is from, how far it may be off, what
 * is wrong with it; typed, chosen or dragged.
 */
import { useId, useState } from "preact/hooks";
import { FaultText } from "../frame/faults";
import { words } from "../lib/format";
import { changes, dragging, setChange, written } from "../lib/state";
import { choicesOf, unitName } from "../lib/units";
import type { Parameter } from "../lib/types";
import { CardChoice } from "./card_choice";
import { change, takeBack } from "./along";
import { CurveField, ToCurve } from "./curve_field";
import { ALSO, nameOf } from "./names";
import { enter, fieldId } from "./selection";
import { TextBox } from "./text_box";
import { compose, parse, trackOf, type Track, type Written } from "./value_text";

const NO_SLIDER = new Set(["text", "choice", "speeds"]);

/** What stands there with the changes laid over, before the server has answered. */
export const textNow = (parameter: Parameter): string | null =>
  parameter.key in changes.value ? (changes.value[parameter.key] ?? null) : (written.value[parameter.key] ?? null);

export function Field({ parameter, section }: { parameter: Parameter; section: string }) {
  const help = useId();
  const title = nameOf(parameter.key);
  const text = textNow(parameter);
  const changed = parameter.key in changes.value;
  const isCard = parameter.key.endsWith(".card") || (parameter.kind === "text" && parameter.key.endsWith("material"));
  const table = parameter.is_curve && (text?.trim().startsWith("{") ?? false);
  return (
    <div class={`field${parameter.faults.length ? " has-fault" : ""}`} data-status={changed ? "changed" : parameter.status} onFocusIn={() => enter(parameter.key)}>
      <div class="field-head">
        <label class="field-name" for={fieldId(parameter.key)}>
          {title}
          {parameter.required && text === null && <span class="must"> needed</span>}
        </label>
        {ALSO[parameter.key] && <span class="also">{ALSO[parameter.key]}</span>}
        <Basis parameter={parameter} section={section} title={title} />
      </div>
      {isCard ? (
        <CardChoice parameter={parameter} text={text} kind={parameter.key.endsWith(".card") ? section : "material"} describedBy={help} />
      ) : parameter.kind === "choice" ? (
        <Choice parameter={parameter} text={text} describedBy={help} />
      ) : table ? (
        <CurveField parameter={parameter} text={text ?? ""} title={title} describedBy={help} />
      ) : (
        <>
          <Value parameter={parameter} text={text} title={title} describedBy={help} />
          {parameter.axis === "speed" && <ToCurve parameter={parameter} text={text} />}
        </>
      )}
      <div class="field-foot" id={help}>
        <span class="status">{changed ? "changed here, not saved" : parameter.status === "written" ? "in the file" : parameter.status_words}</span>
        {parameter.band && <span class="band">band ±{parameter.band.replace(/^±|^\+-/, "").trim()}{parameter.band_origin === "default" ? ", assumed" : ""}</span>}
        {changed && (
          <button type="button" class="quiet" onClick={() => takeBack(parameter.key)} aria-label={`Take back the change of ${title}`}>
            take back
          </button>
        )}
        <span class="what">
          {parameter.words}
          {Object.keys(parameter.along).length > 0 && ` Changing it changes ${Object.keys(parameter.along).map(nameOf).join(", ").toLowerCase()} along with it.`}
        </span>
        {parameter.measured_by && (parameter.status === "default" || parameter.band) && <span class="measure">Known better if you {lower(parameter.measured_by)}</span>}
      </div>
      {[...parameter.faults, ...parameter.warnings].map((fault, index) => (
        <p key={index} class={`beside ${fault.severity === "warning" || index >= parameter.faults.length ? "warning" : "fault"}`} role={index === 0 ? "alert" : undefined}>
          {/* what an empty field is for stands above already */}
          {text === null && parameter.required && !fault.value && fault.remedy ? fault.remedy : <FaultText fault={fault} />}
        </p>
      ))}
    </div>
  );
}

const lower = (text: string) => text.charAt(0).toLowerCase() + text.slice(1);

/** Which of two things a number is: asked, never guessed. */
function Basis({ parameter, section, title }: { parameter: Parameter; section: string; title: string }) {
  if (parameter.basis_choices.length < 2 || !parameter.basis_key) return null;
  const key = section ? `${section}.${parameter.basis_key}` : parameter.basis_key;
  const now = changes.value[key] ?? parameter.basis;
  return (
    <select class="basis" aria-label={`Basis of ${title}`} value={now} onChange={(event) => setChange(key, event.currentTarget.value || null)}>
      {!now && <option value="">which?</option>}
      {parameter.basis_choices.map((choice) => (
        <option key={choice} value={choice}>
          {choice}
        </option>
      ))}
    </select>
  );
}

function Choice({ parameter, text, describedBy }: { parameter: Parameter; text: string | null; describedBy: string }) {
  return (
    <select id={fieldId(parameter.key)} aria-describedby={describedBy} value={text ?? ""} onChange={(event) => setChange(parameter.key, event.currentTarget.value || null)}>
      <option value="">{parameter.shown && text === null ? `${words(parameter.shown)} (not written)` : "not written"}</option>
      {parameter.choices.map((choice) => (
        <option key={choice} value={choice}>
          {words(choice)}
        </option>
      ))}
    </select>
  );
}

function Value({ parameter, text, title, describedBy }: { parameter: Parameter; text: string | null; title: string; describedBy: string }) {
  const put = (typed: string) => {
    const now = typed.trim();
    if (now !== (text ?? "")) change(parameter, now === "" ? null : now);
  };
  return (
    <>
      <TextBox
        field={parameter.key}
        id={fieldId(parameter.key)}
        describedBy={describedBy}
        invalid={parameter.faults.length > 0}
        text={text ?? ""}
        placeholder={text === null ? parameter.shown || (parameter.example ? `for example ${parameter.example.replaceAll(/^"|"$/g, "")}` : "") : ""}
        put={put}
      />
      {!NO_SLIDER.has(parameter.kind) && !parameter.many && <Drag parameter={parameter} text={text ?? parameter.shown} title={title} />}
    </>
  );
}

/**
 * The handle. Its track is fixed while it has the focus, or it would run away under the hand as the value moves; it is
 * laid anew when a value outside it is typed.
 */
function Drag({ parameter, text, title }: { parameter: Parameter; text: string; title: string }) {
  const asWritten = parse(text);
  const [kept, setKept] = useState<Track | null>(null);
  if (!asWritten) return null;
  const { number, rest } = asWritten;
  const track = kept && number >= kept.low && number <= kept.high ? kept : trackFor(parameter, asWritten);
  const rested = () => (dragging.value = false);
  return (
    <span class="drag">
      <input
        type="range"
        aria-label={`${title}, drag`}
        aria-valuetext={text}
        min={track.low}
        max={track.high}
        step={track.step}
        value={number}
        onFocus={() => setKept(track)}
        onBlur={() => setKept(null)}
        onPointerDown={() => (dragging.value = true)}
        onPointerUp={rested}
        onPointerCancel={rested}
        onInput={(event) => {
          performance.clearMarks("slider");
          performance.mark("slider");
          // a key press moves it as a hand does: answered near at once, exactly when it rests
          const held = dragging.peek();
          dragging.value = true;
          change(parameter, compose(Number(event.currentTarget.value), rest));
          dragging.value = held;
        }}
      />
      <span class="ends" aria-hidden="true">
        <span>{compose(track.low, "")}</span>
        <span>{compose(track.high, unitName(rest))}</span>
      </span>
    </span>
  );
}

function trackFor(parameter: Parameter, now: Written): Track {
  // si belongs to the text the server has seen; while another is laid over, only the bounds' own units help
  const si = parse(parameter.text ?? parameter.shown)?.number === now.number ? parameter.si : null;
  const units = choicesOf(parameter.kind);
  const unit = units.find((choice) => choice.unit === now.rest);
  return trackOf(now, si ?? (unit ? now.number * unit.factor + unit.offset : null), { low: parameter.low_ask ?? parameter.low, high: parameter.high_ask ?? parameter.high }, units, parameter.key === "ambient.altitude" ? "altitude" : parameter.kind);
}
