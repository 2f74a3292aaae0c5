/** The plan's tables: the table itself, what each limit costs, what a part brings, and what the creep floor asks for. */
import { limitTitle } from "../decide/limit_words";
import { file } from "../lib/api";
import { save } from "../lib/export";
import { fixed, sentence, signed, words } from "../lib/format";
import { setChanges, say } from "../lib/state";
import { Table, type Row, type TableColumn } from "../lib/table";
import type { Values } from "../lib/types";
import { decimalsOf, toUser, unitName, unitOf, withUnit } from "../lib/units";
import { changesOf } from "../work/settings";
import { planning, quantity, type Hold, type Plan } from "./plan_result";

const unit = (kind: string, basis = "") => [unitName(unitOf(kind).unit), basis].filter(Boolean).join(" ");
const user = (kind: string, value: number | null | undefined) => (value === null || value === undefined ? null : toUser(kind, value));
/** A difference: no offset. */
const gain = (kind: string, value: number | null | undefined) => (value === null || value === undefined ? null : value / unitOf(kind).factor);

export function TargetTable({ plan }: { plan: Plan }) {
  const columns: (TableColumn & { kind: string; values: Values })[] = [
    { key: "speed", title: "engine speed", kind: "rotational_speed", values: plan.speeds, heads: true, decimals: 0 },
    { key: "target", title: "target", kind: "pressure", unit: "absolute", values: plan.target },
    { key: "gauge", title: "target, gauge", kind: "pressure", unit: "gauge", values: plan.target_gauge },
    { key: "ceiling", title: "ceiling", kind: "pressure", unit: "absolute", values: plan.ceiling },
    { key: "floor", title: "creep floor", kind: "pressure", unit: "absolute", values: plan.floor },
    { key: "spool", title: "gate shut", kind: "pressure", unit: "absolute", values: plan.spool },
    { key: "torque", title: "torque", kind: "torque", values: quantity(plan, "torque") },
    { key: "power", title: "power", kind: "power", values: quantity(plan, "power") },
    { key: "egt", title: "EGT reading", kind: "temperature", values: quantity(plan, "egt_reading") },
    { key: "shaft", title: "shaft speed", kind: "rotational_speed", values: quantity(plan, "shaft_speed") },
    { key: "ratio", title: "drive-pressure ratio", kind: "dimensionless", values: quantity(plan, "drive_pressure_ratio") },
    ...Object.entries(plan.base_duty).map(([name, values]) => ({ key: `duty-${name}`, title: `base duty, ${name}`, kind: "share", values })),
    { key: "margin", title: "margin", kind: "share", values: plan.margin },
  ];
  const rows = plan.speeds.map((_, index): Row => {
    const row: Row = {};
    for (const column of columns) row[column.key] = user(column.kind, column.values[index]);
    row["binding"] = limitTitle(plan.binding[index] ?? "");
    row["day"] = plan.binding_day[index] ?? "";
    return row;
  });
  return (
    <div class="no-wrap">
      <Table
        name="plan"
        caption="The table, speed by speed"
        columns={[
          ...columns.map(({ key, title, kind, unit: basis, heads, decimals }) => ({ key, title, unit: unit(kind, basis), heads: heads ?? false, decimals: decimals ?? decimalsOf(kind) })),
          { key: "binding", title: "holds the ceiling" },
          { key: "day", title: "on which day" },
        ]}
        rows={rows}
        note="Target: straight between its breakpoints, rounded down. Ceiling: the highest pressure inside every limit on every named day. Gate shut: the most the wheel gives; a dash where a limit comes first. Margin: what is left of the nearest limit on the worst day."
      />
      <p class="take-row">
        <button type="button" onClick={() => void saveTable()}>
          Every column as CSV
        </button>
        <button type="button" onClick={() => save("plan.json", new Blob([JSON.stringify(plan, null, 1)], { type: "application/json" }))}>
          Everything as JSON
        </button>
      </p>
    </div>
  );
}

async function saveTable(): Promise<void> {
  save("plan.csv", await file(`${planning.address}/table.csv`));
}

export function Releases({ plan }: { plan: Plan }) {
  if (plan.releases.length === 0) return null;
  const rows = plan.releases.map((release): Row => {
    const gains = release.torque_gain.map((value) => value ?? -Infinity);
    const at = gains.indexOf(Math.max(...gains));
    return {
      limit: sentence(limitTitle(release.limit)),
      torque: gain("torque", release.peak_torque_gain),
      power: gain("power", release.peak_power_gain),
      most: gain("torque", release.torque_gain[at]),
      at: user("rotational_speed", plan.speeds[at]),
      next: limitTitle(release.next_binding[at] ?? ""),
    };
  });
  return (
    <Table
      name="plan-limits"
      caption="What each limit costs: the ceiling with it taken away"
      columns={[
        { key: "limit", title: "without this limit", heads: true },
        { key: "torque", title: "peak torque", unit: unit("torque"), show: plus(decimalsOf("torque")) },
        { key: "power", title: "peak power", unit: unit("power"), show: plus(1) },
        { key: "most", title: "most at a speed", unit: unit("torque"), show: plus(decimalsOf("torque")) },
        { key: "at", title: "at", unit: unit("rotational_speed"), decimals: 0 },
        { key: "next", title: "then binds there" },
      ]}
      rows={rows}
    />
  );
}

const plus = (decimals: number) => (value: unknown) => (typeof value === "number" ? signed(value, decimals) : "–");

export function Parts({ plan }: { plan: Plan }) {
  if (plan.parts.length === 0)
    return <p class="note">No parts are named in the build. Put what you might buy into <code>plan.parts</code>, with its price: each is then planned with by itself.</p>;
  const currency = plan.parts.find((part) => part.currency)?.currency ?? "";
  const rows = plan.parts.map(
    (part, index): Row => ({
      name: part.name,
      index,
      price: part.price,
      torque: gain("torque", part.peak_torque_gain),
      power: gain("power", part.peak_power_gain),
      mean: gain("power", part.mean_power_gain),
      worth: part.power_per_price === null ? null : (part.power_per_price * 100) / unitOf("power").factor,
      releases: part.fault || part.releases.map(limitTitle).join(", ") || "nothing",
    }),
  );
  return (
    <Table
      name="plan-parts"
      caption="What a part brings, each by itself: the ceiling of the named days"
      columns={[
        {
          key: "name",
          title: "part",
          heads: true,
          show: (_, row) => (
            <span class="case">
              {row["name"]}
              <button type="button" class="link" onClick={() => fit(plan, Number(row["index"]))} aria-label={`Fit ${String(row["name"])}`}>
                fit it
              </button>
            </span>
          ),
        },
        { key: "price", title: "price", unit: currency, decimals: 0 },
        { key: "torque", title: "peak torque", unit: unit("torque"), show: plus(decimalsOf("torque")) },
        { key: "power", title: "peak power", unit: unit("power"), show: plus(1) },
        { key: "mean", title: "mean power", unit: unit("power"), show: plus(1) },
        { key: "worth", title: "peak power for 100", unit: unit("power"), show: plus(1) },
        { key: "releases", title: "binds at fewer speeds" },
      ]}
      rows={rows}
      note="A part over a limit that another part also lifts brings less alone than both together."
    />
  );
}

function fit(plan: Plan, index: number): void {
  const part = plan.parts[index];
  if (!part) return;
  setChanges(changesOf(part.settings));
  say(`${part.name} is fitted on the screen: see the curves, or plan again. Nothing is saved.`);
}

export function Holds({ plan }: { plan: Plan }) {
  if (plan.holds.length === 0) return null;
  return (
    <section aria-labelledby="creep-holds">
      <h2 id="creep-holds">Where the creep floor is over the ceiling</h2>
      <p class="note">With the gate fully open the engine is still outside a limit there. What can hold it, and what each costs:</p>
      {plan.holds.map((hold) => {
        const held = hold.holds.filter(Boolean).length;
        return (
          <details key={hold.way} class="hold">
            <summary>
              {sentence(hold.words)}: <strong>{held === hold.holds.length ? "holds everywhere" : held === 0 ? "holds nowhere" : `holds at ${held} of ${hold.holds.length} speeds`}</strong>
            </summary>
            <HoldTable hold={hold} />
          </details>
        );
      })}
    </section>
  );
}

const KINDS: Record<string, string> = { torque: "torque", power: "power", egt_reading: "temperature", temperature_em: "temperature", pressure_em: "pressure", pressure_im: "pressure", shaft_speed: "rotational_speed" };

const TITLES: Record<string, string> = { pressure_im: "intake manifold", pressure_em: "exhaust manifold", egt_reading: "EGT reading", temperature_em: "gas", drive_pressure_ratio: "drive-pressure ratio" };

function HoldTable({ hold }: { hold: Hold }) {
  const names = Object.keys(hold.after);
  const rows = hold.speeds.map((speed, index): Row => {
    const row: Row = { speed: user("rotational_speed", speed), binding: limitTitle(hold.binding[index] ?? ""), holds: hold.holds[index] ? "holds" : `no: ${limitTitle(hold.still_over[index] ?? "")}` };
    for (const name of names) row[name] = user(KINDS[name] ?? "dimensionless", hold.after[name]?.[index]);
    return row;
  });
  return (
    <div class="no-wrap">
      <Table
      name={`plan-hold-${hold.way}`}
      caption={sentence(hold.words)}
      columns={[
        { key: "speed", title: "engine speed", unit: unit("rotational_speed"), heads: true, decimals: 0 },
        { key: "binding", title: "what is exceeded" },
        { key: "holds", title: "does it hold" },
        ...names.map((name) => ({ key: name, title: TITLES[name] ?? words(name), unit: unit(KINDS[name] ?? "dimensionless"), decimals: decimalsOf(KINDS[name] ?? "dimensionless") })),
      ]}
      rows={rows}
      note="The figures are those with it in place."
    />
    </div>
  );
}

export function WantedText({ plan }: { plan: Plan }) {
  const short = plan.wanted.filter((wish) => wish.binding.some((name) => name !== ""));
  if (short.length === 0) return null;
  return (
    <>
      <h2>What you asked for and cannot have</h2>
      <ul class="plain">
        {short.map((wish) => {
          const kind = wish.unit === "Pa" ? "pressure" : "torque";
          const missing = wish.wanted.map((want, index) => (wish.binding[index] ? (want ?? 0) - (wish.planned[index] ?? 0) : -1));
          const at = missing.indexOf(Math.max(...missing));
          const many = wish.binding.filter((name) => name !== "").length;
          const names = [...new Set(wish.binding.filter((name) => name !== ""))].map(limitTitle).join(", ");
          return (
            <li key={wish.source}>
              <code>{wish.source}</code> is out of reach at {many} of {wish.binding.length} speeds, most at {withUnit("rotational_speed", plan.speeds[at] ?? null)}: {withUnit(kind, wish.wanted[at])}
              {kind === "pressure" ? " absolute" : ""} wanted, {withUnit(kind, wish.planned[at])} planned. In the way: {names}.
            </li>
          );
        })}
      </ul>
    </>
  );
}

export const share = (value: number | null | undefined, decimals = 1) => (value === null || value === undefined ? "–" : `${fixed(value * 100, decimals)} %`);
