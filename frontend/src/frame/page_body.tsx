/** The page the address names; its chunk is fetched the first time. */
import type { ComponentType } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { Page } from "../pages";
import { pageOf, route } from "./route";

const loaded = new Map<string, ComponentType>();

export function PageBody() {
  const page = pageOf(route.value);
  useEffect(() => {
    document.title = page ? `${page.title} – boostwright` : "boostwright";
  }, [page]);
  if (!page)
    return (
      <section class="later">
        <h1>There is no such page</h1>
        <p>
          <a href="#/decide">Back to the curves</a>
        </p>
      </section>
    );
  return page.component ? <page.component key={page.path} /> : <Loaded page={page} key={page.path} />;
}

function Loaded({ page }: { page: Page }) {
  const [found, setFound] = useState<{ body: ComponentType } | null>(() => {
    const body = loaded.get(page.path);
    return body ? { body } : null;
  });
  const [failed, setFailed] = useState(false);
  useEffect(() => {
    if (found || !page.load) return;
    page.load().then(
      (module) => {
        loaded.set(page.path, module.default);
        setFound({ body: module.default });
      },
      () => setFailed(true),
    );
  }, []);
  if (failed) return <p class="waiting" role="alert">This page could not be fetched: is the server still running?</p>;
  return found ? <found.body /> : <p class="waiting" role="status">One moment…</p>;
}
