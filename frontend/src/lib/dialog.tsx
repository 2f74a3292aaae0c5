/**
 * A modal dialog on the browser's own <dialog>: focus stays inside, Escape closes, focus goes back where it was.
 *
 * <Dialog title="Units" onClose={...}>...</Dialog>    shown as long as it is rendered
 */
import type { ComponentChildren } from "preact";
import { useEffect, useId, useRef } from "preact/hooks";

export function Dialog(props: { title: string; onClose: () => void; children: ComponentChildren; closable?: boolean; wide?: boolean }) {
  const box = useRef<HTMLDialogElement>(null);
  const heading = useId();
  const closable = props.closable ?? true;
  useEffect(() => {
    const before = document.activeElement;
    const dialog = box.current;
    dialog?.showModal();
    return () => {
      dialog?.close();
      if (before instanceof HTMLElement) before.focus();
    };
  }, []);
  return (
    <dialog
      ref={box}
      class={props.wide ? "dialog wide" : "dialog"}
      aria-labelledby={heading}
      onCancel={(event) => {
        event.preventDefault();
        if (closable) props.onClose();
      }}
    >
      <header class="dialog-head">
        <h2 id={heading}>{props.title}</h2>
        {closable && (
          <button type="button" class="quiet" onClick={props.onClose}>
            Close
          </button>
        )}
      </header>
      {props.children}
    </dialog>
  );
}
