/** Which build: those found below the working folder, or a copy of an example under a new name. */
import { useEffect, useState } from "preact/hooks";
import { faultsOf, get, post } from "../lib/api";
import { Dialog } from "../lib/dialog";
import { openBuild } from "../lib/file";
import { dirty, form } from "../lib/state";
import type { Fault } from "../lib/types";
import { FaultList } from "./faults";

interface Found {
  root: string;
  builds: { name: string }[];
  examples: string[];
}

export function BuildPicker(props: { onClose?: () => void }) {
  if (!props.onClose)
    return (
      <section class="later">
        <h1>Which build?</h1>
        <Choices />
      </section>
    );
  return (
    <Dialog title="Builds" onClose={props.onClose}>
      {dirty.value && <p class="banner">{form.value?.name} has unsaved changes: they are kept in this browser and are back when it is opened again.</p>}
      <Choices onDone={props.onClose} />
    </Dialog>
  );
}

function Choices(props: { onDone?: () => void }) {
  const [found, setFound] = useState<Found | null>(null);
  const [faults, setFaults] = useState<Fault[]>([]);
  const [from, setFrom] = useState("");
  const [name, setName] = useState("");
  useEffect(() => {
    get<Found>("/api/builds").then(
      (answer) => {
        setFound(answer);
        setFrom(answer.examples[0] ?? "");
      },
      (error: unknown) => setFaults(faultsOf(error)),
    );
  }, []);
  const open = async (folder: string) => {
    try {
      await openBuild(folder);
      props.onDone?.();
    } catch (error) {
      setFaults(faultsOf(error));
    }
  };
  const copy = async (event: Event) => {
    event.preventDefault();
    try {
      const made = await post<{ name: string }>("/api/builds", { from: from || null, name });
      await open(made.name);
    } catch (error) {
      setFaults(faultsOf(error));
    }
  };
  return (
    <>
      <div role="alert">{faults.length > 0 && <FaultList faults={faults} />}</div>
      {found && (
        <>
          <h2>Builds in {found.root}</h2>
          {found.builds.length === 0 && <p>There is no folder with a build.toml here yet: begin one below.</p>}
          <ul class="builds">
            {found.builds.map((build) => (
              <li key={build.name}>
                <button type="button" onClick={() => void open(build.name)}>
                  {build.name}
                </button>
              </li>
            ))}
          </ul>
          <h2>Begin a new one</h2>
          <form class="new-build" onSubmit={(event) => void copy(event)}>
            <label>
              <span>Begin with</span>
              <select value={from} onChange={(event) => setFrom(event.currentTarget.value)}>
                {found.examples.map((example) => (
                  <option key={example} value={example}>
                    a copy of {example.replaceAll("_", " ")}
                  </option>
                ))}
                <option value="">an empty file to fill in</option>
              </select>
            </label>
            <label>
              <span>Name of the new folder</span>
              <input type="text" required maxLength={64} value={name} onInput={(event) => setName(event.currentTarget.value)} placeholder="my_build" />
            </label>
            <button type="submit" class="main">
              Begin
            </button>
          </form>
        </>
      )}
    </>
  );
}
