/** Before a reading is open: those there are, and a new one from a picture that is chosen, dropped or pasted. */
import { useEffect, useRef, useState } from "preact/hooks";
import { faultsOf, get, remove } from "../lib/api";
import { say } from "../lib/state";
import type { Fault } from "../lib/types";
import { FaultList } from "../frame/faults";
import { TextField } from "./fields";
import { begin, facts, faults, open } from "./reading";

interface Entry {
  name: string;
  what: string;
  saved: string;
  fault: string;
}

export function nameFrom(text: string): string {
  return (
    text
      .toLowerCase()
      .replace(/\.[a-z]+$/, "")
      .replace(/[^a-z0-9.-]+/g, "-")
      .replace(/^[-.]+|[-.]+$/g, "")
      .replace(/\.{2,}/g, ".")
      .slice(0, 50) || "map"
  );
}

export function Begin() {
  const [entries, setEntries] = useState<Entry[]>([]);
  const [name, setName] = useState("");
  const [data, setData] = useState<File | null>(null);
  const [listFaults, setListFaults] = useState<Fault[]>([]);
  const [waiting, setWaiting] = useState(false);
  const chooser = useRef<HTMLInputElement>(null);
  const load = () =>
    get<{ readings: Entry[] }>("/api/digitise/readings").then(
      (answer) => setEntries(answer.readings),
      (error: unknown) => setListFaults(faultsOf(error)),
    );
  useEffect(() => void load(), []);
  const take = (file: File | null | undefined) => {
    if (!file) return;
    setData(file);
    setName((old) => old || free(nameFrom(file.name === "image.png" ? "map" : file.name)));
    say(`Picture taken: ${file.name}. Give the reading a name and begin.`);
  };
  const free = (wanted: string) => {
    const taken = new Set(entries.map((entry) => entry.name));
    let next = wanted;
    for (let k = 2; taken.has(next); k++) next = `${wanted}-${k}`;
    return next;
  };
  useEffect(() => {
    const paste = (event: ClipboardEvent) => {
      const item = [...(event.clipboardData?.items ?? [])].find((one) => one.kind === "file");
      if (item) take(item.getAsFile());
    };
    document.addEventListener("paste", paste);
    return () => document.removeEventListener("paste", paste);
  }, [entries]);
  const start = async (event: Event) => {
    event.preventDefault();
    if (!data) return;
    setWaiting(true);
    await begin(nameFrom(name), data);
    setWaiting(false);
  };
  return (
    <>
      <p class="lead">Give a picture, say what it shows, mark its axes, click or follow its lines, look at the fit, keep what comes of it. Read only pictures whose values you may use.</p>
      <div class="dig-first">
      <form class="card-box dig-begin" onSubmit={(event) => void start(event)}>
        <h2>A new reading</h2>
        <div
          class="dig-drop"
          onDragOver={(event) => event.preventDefault()}
          onDrop={(event) => {
            event.preventDefault();
            take(event.dataTransfer?.files[0]);
          }}
        >
          <label for="dig-file">Picture (PNG, JPEG or WebP)</label>
          <input id="dig-file" ref={chooser} type="file" accept="image/png,image/jpeg,image/webp" onChange={(event) => take(event.currentTarget.files?.[0])} />
          <p class="note">Or drop it here, or paste it from the clipboard.{data ? ` Taken: ${data.name}.` : ""}</p>
        </div>
        <TextField label="Name of the reading, and of its card" value={name} onValue={setName} note="small letters, digits, dashes" />
        <p>
          <button type="submit" class="main" disabled={!data || waiting}>
            {waiting ? "Reading the picture ..." : "Begin"}
          </button>
        </p>
        <FaultList faults={faults.value} />
      </form>
      <section class="card-box dig-what" aria-labelledby="dig-kinds">
        <h2 id="dig-kinds">What can be read, and what comes of it</h2>
        <dl>
          <dt>Compressor map</dt>
          <dd>a compressor card: speed lines with the efficiency of the islands at every point</dd>
          <dt>Flow curve of a turbine</dt>
          <dd>a turbine card with its choked flow and the band of the reading</dd>
          <dt>Torque or power before the turbo, dyno sheet</dt>
          <dd>the known curve under breathing, from which the filling follows</dd>
          <dt>Any other curve</dt>
          <dd>the key of the build that takes it: filling, pump flow, boost target</dd>
        </dl>
      </section>
      </div>
      <section class="card-box" aria-labelledby="dig-there">
        <h2 id="dig-there">Readings of this build</h2>
        {entries.length === 0 && <p class="note">None yet.</p>}
        <ul class="dig-list">
          {entries.map((entry) => (
            <li key={`${entry.saved}/${entry.name}`}>
              <button type="button" class="link" disabled={entry.fault !== ""} onClick={() => void open(entry.name)}>
                {entry.name}
              </button>{" "}
              <span class="note">
                {facts.value?.what[entry.what]?.split(":")[0] ?? "not said what it is"};{" "}
                {entry.saved === "being read" ? "being read" : `made into a ${entry.saved} card`}
                {entry.fault && `; cannot be opened: ${entry.fault}`}
              </span>
              {entry.saved === "being read" && (
                <button
                  type="button"
                  class="quiet"
                  onClick={() =>
                    void remove(`/api/digitise/readings/${encodeURIComponent(entry.name)}`).then(load, (error: unknown) => setListFaults(faultsOf(error)))
                  }
                >
                  Put away {entry.name}
                </button>
              )}
            </li>
          ))}
        </ul>
        <FaultList faults={listFaults} />
      </section>
    </>
  );
}
