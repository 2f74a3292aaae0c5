/** A unit for each kind of quantity, remembered in this browser. */
import { Dialog } from "../lib/dialog";
import { KINDS_SHOWN, choicesOf, chooseUnit, unitName, unitOf } from "../lib/units";

export function UnitsDialog(props: { onClose: () => void }) {
  return (
    <Dialog title="Units" onClose={props.onClose}>
      <p>How results are shown. What you write into a field may be in any unit: it keeps the one you wrote.</p>
      <div class="unit-list">
        {KINDS_SHOWN.filter(([kind]) => choicesOf(kind).length > 1).map(([kind, words]) => (
          <label key={kind}>
            <span>{words}</span>
            <select value={unitOf(kind).unit} onChange={(event) => chooseUnit(kind, event.currentTarget.value)}>
              {choicesOf(kind).map((choice) => (
                <option key={choice.unit} value={choice.unit}>
                  {unitName(choice.unit)}
                </option>
              ))}
            </select>
          </label>
        ))}
      </div>
    </Dialog>
  );
}
