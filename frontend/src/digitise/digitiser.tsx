/** The digitiser: a picture of a map or a curve becomes a card, in five steps over the picture. */
import { useEffect } from "preact/hooks";
import { FaultList } from "../frame/faults";
import { get } from "../lib/api";
import { useKeys } from "../lib/keys";
import { AxesStep } from "./axes_step";
import { Begin } from "./begin";
import { CardStep } from "./card_step";
import "./digitiser.css";
import { FitStep } from "./fit_step";
import { LinesStep } from "./lines_step";
import { PictureView } from "./picture_view";
import { canRedo, canUndo, clash, facts, faults, keepOver, keeping, leave, open, reading, redo, step, tool, undo, type Facts } from "./reading";
import { WhatStep } from "./what_step";

const STEPS = ["What it is", "Axes", "Lines", "Fit", "Card"] as const;

export default function Digitiser() {
  useEffect(() => {
    if (!facts.value) void get<Facts>("/api/digitise/facts").then((answer) => (facts.value = answer), () => undefined);
  }, []);
  useKeys([
    { key: "z", control: true, words: "Undo in the digitiser", run: undo },
    { key: "y", control: true, words: "Do again in the digitiser", run: redo },
  ]);
  const now = reading.value;
  if (!now)
    return (
      <section class="dig">
        <h1>Read a picture</h1>
        <Begin />
      </section>
    );
  const go = (number: number) => {
    step.value = number;
    tool.value = number === 1 ? "mark" : "move";
  };
  return (
    <section class="dig">
      <header class="dig-head">
        <h1>Read a picture: {now.name}</h1>
        <p class="dig-bar">
          <button type="button" disabled={!canUndo.value} onClick={undo}>Undo</button>
          <button type="button" disabled={!canRedo.value} onClick={redo}>Redo</button>
          <button type="button" onClick={leave}>All readings</button>
          <span class="note" role="status">{keeping.value}</span>
        </p>
      </header>
      {clash.value && (
        <p class="banner" role="alert">
          This reading was changed by another page too. <button type="button" onClick={() => void open(now.name)}>Take the other page's</button>{" "}
          <button type="button" onClick={keepOver}>Write this one over it</button>
        </p>
      )}
      <nav aria-label="Steps">
        <ol class="dig-steps">
          {STEPS.map((words, number) => (
            <li key={words}>
              <button type="button" aria-current={step.value === number ? "step" : undefined} disabled={number > 0 && !now.what} onClick={() => go(number)}>
                {number + 1} {words}
              </button>
            </li>
          ))}
        </ol>
      </nav>
      <div class="dig-work">
        <PictureView />
        <div class="dig-panel">
          <h2>
            Step {step.value + 1}: {STEPS[step.value]}
          </h2>
          <FaultList faults={faults.value} />
          {step.value === 0 && <WhatStep />}
          {step.value === 1 && <AxesStep />}
          {step.value === 2 && <LinesStep />}
          {step.value === 3 && <FitStep />}
          {step.value === 4 && <CardStep />}
          {step.value < 4 && now.what && (
            <p>
              <button type="button" class={step.value === 0 || step.value === 3 ? "main" : ""} onClick={() => go(step.value + 1)}>
                On to step {step.value + 2}: {STEPS[step.value + 1]}
              </button>
            </p>
          )}
        </div>
      </div>
    </section>
  );
}
