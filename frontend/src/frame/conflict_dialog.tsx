/** The file was changed outside where something is unsaved here: shown side by side, and asked. */
import { Dialog } from "../lib/dialog";
import { conflict, settleConflict } from "../lib/file";

const text = (value: string | null) => (value === null ? <i>not written</i> : <code>{value}</code>);

export function ConflictDialog() {
  const open = conflict.value;
  if (!open) return null;
  return (
    <Dialog title="build.toml was changed outside" onClose={() => undefined} closable={false} wide>
      <p>Somebody, or an editor, has changed what you have changed here too. Nothing has been written yet.</p>
      <div class="table-scroll" tabIndex={0} role="region" aria-label="What differs">
        <table>
          <thead>
            <tr>
              <th scope="col">Key</th>
              <th scope="col">As read</th>
              <th scope="col">Now in the file</th>
              <th scope="col">Here</th>
            </tr>
          </thead>
          <tbody>
            {open.keys.map((item) => (
              <tr key={item.key}>
                <th scope="row">{item.key}</th>
                <td>{text(item.was)}</td>
                <td>{text(item.theirs)}</td>
                <td>{text(item.mine)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <div class="dialog-actions">
        <button type="button" class="main" onClick={() => void settleConflict("theirs")}>
          Take the file's, keep my other changes
        </button>
        <button type="button" onClick={() => void settleConflict("mine")}>
          Write mine over these keys
        </button>
        <button type="button" onClick={() => void settleConflict("drop")}>
          Drop all my changes
        </button>
      </div>
    </Dialog>
  );
}
