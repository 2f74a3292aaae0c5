/** Every key that does something on the page in hand. */
import { Dialog } from "../lib/dialog";
import { keys } from "../lib/keys";

const NAMES: Record<string, string> = { ArrowLeft: "←", ArrowRight: "→" };

export function KeysDialog(props: { onClose: () => void }) {
  return (
    <Dialog title="Keys" onClose={props.onClose}>
      <dl class="keys">
        {keys.value.map((key) => (
          <div key={key.key}>
            <dt>
              {key.control && <kbd>Ctrl</kbd>}
              <kbd>{NAMES[key.key] ?? key.key}</kbd>
            </dt>
            <dd>{key.words}</dd>
          </div>
        ))}
      </dl>
      <p>Inside a field they are letters like any other; Tab moves from field to field.</p>
    </Dialog>
  );
}
