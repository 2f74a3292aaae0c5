/** Top of the page: name, the four stages of the round, the pages of the stage in hand, theme, units, keys. */
import { chooseTheme, theme, type Theme } from "../lib/inks";
import { session } from "../lib/state";
import { PAGES } from "../pages";
import type { OpenDialog } from "./frame";
import { STAGES, route, stageOf } from "./route";

const THEMES: readonly [Theme, string][] = [
  ["light", "Light"],
  ["dark", "Dark"],
  ["outdoors", "Outdoors"],
];

export function Head(props: { onOpen: (dialog: OpenDialog) => void }) {
  const stage = stageOf(route.value);
  const pages = PAGES.filter((page) => page.stage === stage);
  return (
    <header class="head">
      <div class="head-row">
        <p class="name" aria-label="boostwright">
          boost<b>wright</b>
        </p>
        <nav class="stages" aria-label="Stages">
          <ol>
            {STAGES.map((item) => (
              <li key={item.name}>
                <a href={`#/${item.name}`} aria-current={item.name === stage ? "step" : undefined}>
                  {item.title}
                </a>
              </li>
            ))}
          </ol>
        </nav>
        <div class="head-tools">
          <label class="theme">
            <span>Theme</span>
            <select value={theme.value} onChange={(event) => chooseTheme(event.currentTarget.value as Theme)}>
              {THEMES.map(([value, words]) => (
                <option key={value} value={value}>
                  {words}
                </option>
              ))}
            </select>
          </label>
          <button type="button" onClick={() => props.onOpen("units")}>
            Units
          </button>
          {session.value && (
            <button type="button" onClick={() => props.onOpen("build")}>
              Builds
            </button>
          )}
          <button type="button" onClick={() => props.onOpen("keys")} aria-label="Keys">
            ?
          </button>
        </div>
      </div>
      {pages.length > 1 && (
        <nav class="pages" aria-label="Pages">
          {pages.map((page) => (
            <a key={page.path} href={`#${page.path}`} aria-current={page.path === route.value ? "page" : undefined}>
              {page.title}
            </a>
          ))}
        </nav>
      )}
    </header>
  );
}
