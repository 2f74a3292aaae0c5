/** The stages that are not on the screen yet: what will be there, and what can be done today. */
import type { StageName } from "../pages";

const LATER: Record<Exclude<StageName, "decide">, { title: string; will: string; today: readonly [command: string, words: string][] }> = {
  make: {
    title: "Make",
    will: "Here will be what the workshop needs: instrument plan, mounts, heat, flat patterns at full size, and the order in which things must be done.",
    today: [["boostwright plan BUILD --sheets FOLDER", "prints the order sheet and the go / no-go sheet, which say what to buy and what to check before the first fire"]],
  },
  measure: {
    title: "Measure",
    will: "Here will be your logs: read whatever their format, sensors checked, pulls found, points put on the maps, and what is wrong with how it is known.",
    today: [
      ["boostwright plan BUILD --sheets FOLDER", "prints the dyno card: what to watch, and where to stop"],
      ["boostwright import LOG --build BUILD", "reads a log, asks what its channels are, and keeps it with the build"],
      ["boostwright sensors LOG --build BUILD", "says which sensors not to trust, before anything is made of them"],
      ["boostwright pulls LOG --build BUILD", "finds the full-load pulls and says why it left the rest"],
      ["boostwright derive LOG --build BUILD", "works out air flow, compressor points, drive pressure and the rest, each with its band"],
      ["boostwright simulate BUILD", "writes an invented log to try all this on before the engine runs"],
    ],
  },
  fit: {
    title: "Fit",
    will: "Here the model will be fitted to your pulls, with an interval for each parameter, so that the next decision rests on your own engine.",
    today: [["boostwright predict BUILD --bands", "shows how wide the answers are today and which guess widens them most: that is what to measure first"]],
  },
};

export function StageLater(props: { stage: StageName }) {
  if (props.stage === "decide") return null;
  const { title, will, today } = LATER[props.stage];
  return (
    <section class="later">
      <h1>{title}</h1>
      <p>{will}</p>
      <h2>Today, on the command line</h2>
      <ul>
        {today.map(([command, words]) => (
          <li key={command}>
            <code>{command}</code> {words}.
          </li>
        ))}
      </ul>
      <p>
        <a href="#/decide">Back to decide</a>
      </p>
    </section>
  );
}
