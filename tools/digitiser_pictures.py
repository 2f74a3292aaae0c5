"""Pictures of the digitiser for docs/howto/digitise.md: an invented map, read by code, on the screen."""

from __future__ import annotations

import json
import sys
import tempfile
import urllib.request
from dataclasses import replace
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from playwright.sync_api import sync_playwright  # noqa: E402  the folder has to be on the path first

from boostwright.cards.digitise.session import session_text  # noqa: E402
from boostwright.cards.look_up import find_card  # noqa: E402
from tests.support.chromium import ARGUMENTS, chromium_path  # noqa: E402
from tests.support.map_clicks import clicked  # noqa: E402
from tests.support.map_pictures import Style, draw_map  # noqa: E402
from tests.support.served import Served, copy_of  # noqa: E402

PICTURES = ROOT / "docs" / "pictures"
STEPS = {"2 Axes": "axes", "4 Fit": "fit"}


def main() -> None:
    """Draw the map, read it, keep the reading, and photograph the steps."""
    card = find_card("compressor", "invented-58mm-trim-55")
    style = Style(turn=2.5, line_colours=("tab:blue",), island_colour="tab:orange", labels=False)
    drawn = draw_map(card, style)
    rng = np.random.default_rng(5)
    session = replace(
        clicked(card, drawn, style, lambda p: p + rng.uniform(-1, 1, p.shape)), name="invented-map"
    )
    with tempfile.TemporaryDirectory() as folder:
        server = Served(copy_of("hill_climb_estate", Path(folder)))
        try:
            head = {"Authorization": f"Bearer {server.token}", "Content-Type": "image/png"}
            begin = f"{server.address}/api/digitise/readings?name={session.name}"
            urllib.request.urlopen(urllib.request.Request(begin, drawn.data, head)).read()
            server.ask(
                f"/api/digitise/readings/{session.name}/keep", {"reading": json.loads(session_text(session))}
            )
            photograph(server, session.name)
        finally:
            server.stop()


def photograph(server: Served, name: str) -> None:
    """The steps at 1440 pixels wide."""
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium_path(), args=ARGUMENTS)
        page = browser.new_page(viewport={"width": 1440, "height": 1000})
        page.goto(server.link)
        page.goto(f"{server.address}/#/decide/digitise")
        page.get_by_role("button", name=name, exact=True).click()
        page.get_by_role("application", name="Picture being read").wait_for()
        for step, file in STEPS.items():
            page.get_by_role("button", name=step, exact=True).click()
            if file == "fit":
                page.get_by_text("islands met to").wait_for(timeout=60_000)
            page.wait_for_timeout(1500)
            page.screenshot(path=PICTURES / f"screen-digitise-{file}.png")
        browser.close()


if __name__ == "__main__":
    main()
