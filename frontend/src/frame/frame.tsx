/** The frame of every page: stages on top, the page, the title block below; dialogs and notices over it. */
import { useEffect, useState } from "preact/hooks";
import { faultsOf, online } from "../lib/api";
import { useKeys } from "../lib/keys";
import { ready, slow } from "../lib/running";
import { answerOffer, conflict, offered, picking, save, start, unreadable } from "../lib/file";
import { dirty, notice, session } from "../lib/state";
import type { Fault } from "../lib/types";
import { putTyped } from "../lib/typing";
import { AssumedDialog } from "./assumed_dialog";
import { BuildPicker } from "./build_picker";
import { ConflictDialog } from "./conflict_dialog";
import { FaultBox, faultsNow } from "../decide/fault_box";
import { FaultList } from "./faults";
import { Head } from "./head";
import { KeysDialog } from "./keys_dialog";
import { PageBody } from "./page_body";
import { route, stageOf } from "./route";
import { StageLater } from "./stages";
import { TitleBlock } from "./title_block";
import { UnitsDialog } from "./units_dialog";

export type OpenDialog = "units" | "keys" | "build" | "assumed" | null;

export function Frame(props: { token: boolean }) {
  const [open, setOpen] = useState<OpenDialog>(null);
  const [failed, setFailed] = useState<Fault[]>([]);
  useEffect(() => {
    if (!props.token) return;
    start().catch((error: unknown) => setFailed(faultsOf(error)));
  }, []);
  useEffect(() => {
    // the browser's own question, only while something is unsaved
    const guard = (event: BeforeUnloadEvent) => {
      putTyped();
      if (dirty.peek()) event.preventDefault();
    };
    addEventListener("beforeunload", guard);
    return () => removeEventListener("beforeunload", guard);
  }, []);
  useKeys([
    { key: "s", control: true, words: "Save to build.toml", run: () => void save() },
  ]);
  const later = stageOf(route.value) !== "decide";
  return (
    <>
      <a class="skip" href="#main" onClick={skip}>
        To the page
      </a>
      <Head onOpen={setOpen} />
      {!online.value && props.token && (
        <p class="banner bad" role="alert">
          <strong>The server has gone.</strong> Start it again with <code>boostwright serve</code> and open the link it prints. What you changed is kept in this browser.
        </p>
      )}
      {unreadable.value && online.value && (
        <div class="banner bad" role="alert">
          <strong>build.toml cannot be read as it now stands.</strong> What you see is its last sound state; your changes are kept, and the page goes on by itself once the file is mended.
          <FaultList faults={unreadable.value} />
        </div>
      )}
      {offered.value && <Offer />}
      {props.token && (slow.value || !ready.value) && session.value?.compiling ? (
        <p class="banner" role="status">
          The solver is being compiled, once after installing or a change of version: the first answer takes a minute or two.
        </p>
      ) : (
        slow.value && (
          <p class="banner" role="status">
            Still working on the last change…
          </p>
        )
      )}
      {ready.value && !later && route.value !== "/decide" && faultsNow().length > 0 && (
        <div class="banner bad" role="alert">
          <FaultBox />
        </div>
      )}
      <main id="main" tabIndex={-1}>
        {!props.token ? (
          <NoToken />
        ) : failed.length > 0 && !ready.value ? (
          <section class="later">
            <h1>The build cannot be shown</h1>
            <FaultList faults={failed} />
          </section>
        ) : later ? (
          <StageLater stage={stageOf(route.value)} />
        ) : picking.value ? (
          <BuildPicker />
        ) : ready.value ? (
          <PageBody />
        ) : (
          <p class="waiting" role="status">
            Reading the build…
          </p>
        )}
      </main>
      {ready.value && <TitleBlock onAssumed={() => setOpen("assumed")} />}
      <p class="notice" role="status" aria-label="Notice">
        {notice.value}
      </p>
      {open === "units" && <UnitsDialog onClose={() => setOpen(null)} />}
      {open === "keys" && <KeysDialog onClose={() => setOpen(null)} />}
      {open === "build" && <BuildPicker onClose={() => setOpen(null)} />}
      {open === "assumed" && <AssumedDialog onClose={() => setOpen(null)} />}
      {conflict.value && <ConflictDialog />}
    </>
  );
}

/** Changes that another tab, or this one before the server was killed, never saved. */
function Offer() {
  const found = offered.value;
  if (!found) return null;
  const count = Object.keys(found.changes).length;
  return (
    <section class="banner" aria-label="Changes kept from before">
      <strong>
        {count} {count === 1 ? "change" : "changes"} kept from before, never saved
      </strong>
      {found.when > 0 && ` (${new Date(found.when).toLocaleString()})`}: <code>{Object.keys(found.changes).slice(0, 5).join(", ")}</code>
      {count > 5 && " …"}
      <span class="row">
        <button type="button" class="main" onClick={() => answerOffer(true)}>
          Use them
        </button>
        <button type="button" onClick={() => answerOffer(false)}>
          Drop them
        </button>
      </span>
    </section>
  );
}

function skip(event: MouseEvent): void {
  event.preventDefault(); // the part behind # is the page's own address
  document.getElementById("main")?.focus();
}

function NoToken() {
  return (
    <section class="later">
      <h1>Open the link that was printed</h1>
      <p>
        This page may only be used by whoever started it. Open the whole link that <code>boostwright serve</code> printed in the terminal; it ends in <code>#token=…</code>
      </p>
    </section>
  );
}
