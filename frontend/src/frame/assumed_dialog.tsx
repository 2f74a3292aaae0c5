/** Every value nobody has confirmed: what was taken, from where, how far it may be off, and what would settle it. */
import { Dialog } from "../lib/dialog";
import { Table } from "../lib/table";
import { form } from "../lib/state";
import { nameOf } from "../decide/names";
import { showKey } from "../decide/selection";

export function AssumedDialog(props: { onClose: () => void }) {
  const open = form.value;
  if (!open) return null;
  const wanted = new Set(open.defaults_unconfirmed);
  const rows = open.sections.flatMap((section) =>
    section.parameters
      .filter((parameter) => wanted.has(parameter.key))
      .map((parameter) => ({
        part: section.title,
        key: parameter.key,
        value: parameter.shown,
        from: parameter.default_status,
        band: parameter.band ?? "",
        how: parameter.measured_by,
      })),
  );
  const go = (key: string) => {
    props.onClose();
    showKey(key);
  };
  return (
    <Dialog title="Not written, taken as follows" onClose={props.onClose} wide>
      <p>These values stand in no file. Each can be wrong for your engine; write those you know.</p>
      <Table
        name="assumed"
        caption="Values taken for granted"
        hideCaption
        columns={[
          { key: "part", title: "Part" },
          {
            key: "key",
            title: "Value",
            heads: true,
            show: (key) => (
              <button type="button" class="link" onClick={() => go(String(key))}>
                {nameOf(String(key))}
              </button>
            ),
          },
          { key: "value", title: "Taken as" },
          { key: "from", title: "From" },
          { key: "band", title: "May be off by" },
          { key: "how", title: "Known better if you" },
        ]}
        rows={rows}
      />
    </Dialog>
  );
}
