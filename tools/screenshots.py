"""Pictures of the screen for the documentation: every page, three widths, three themes, as the program shows it.

Run from the top folder: ``python tools/screenshots.py [--only WORD] [--png FOLDER]``. Serves a copy of the hill-climb
estate, opens it in Chromium, and writes docs/pictures/screen/PAGE-WIDTH[-THEME].webp, few colours and without loss, so
that each stays small. With ``--png`` the full pictures are put there instead.
"""

from __future__ import annotations

import argparse
import io
import sys
import tempfile
from pathlib import Path
from typing import Any

from PIL import Image
from playwright.sync_api import sync_playwright

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "support"))
from chromium import ARGUMENTS, chromium_path
from screen import ANSWERED, THEMES, answered, go, page_titles, settled, track, use_theme
from served import Served, copy_of

ROOT = Path(__file__).resolve().parents[1]
PLACE = ROOT / "docs" / "pictures" / "screen"
WIDTHS = {1440: 900, 1024: 768, 390: 844}
COLOURS = 64


def kept(picture: bytes, path: Path) -> None:
    """Write a picture with few colours, without loss beyond that."""
    image = Image.open(io.BytesIO(picture)).convert("RGB")
    image.quantize(COLOURS, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE).convert("RGB").save(
        path, "WEBP", lossless=True, quality=100, method=6
    )


def opened(browser: Any, link: str, width: int, theme: str) -> Any:
    """The screen in a fresh profile, of a width and theme."""
    scheme = "dark" if theme == "dark" else "light"
    context = browser.new_context(
        viewport={"width": width, "height": WIDTHS[width]}, color_scheme=scheme, reduced_motion="reduce"
    )
    page = context.new_page()
    track(page)
    page.goto(link)
    use_theme(page, theme)
    return page


def wanted() -> list[tuple[int, str]]:
    """Every width in light, and the other themes at the widest."""
    return [(width, "light") for width in WIDTHS] + [(1440, theme) for theme in THEMES if theme != "light"]


def main() -> None:
    """Make them all, or those whose page has a word in its name."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--only", default="", help="pages whose name holds this word")
    parser.add_argument("--png", type=Path, default=None, help="put the full pictures there instead")
    arguments = parser.parse_args()
    place = arguments.png or PLACE
    place.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=ARGUMENTS)
        with Served(copy_of("hill_climb_estate", Path(folder), "hill_climb_estate")) as served:
            for width, theme in wanted():
                page = opened(browser, served.link, width, theme)
                settled(page, 90.0)
                for title in [
                    title for title in page_titles(page) if arguments.only.lower() in title.lower()
                ]:
                    go(page, title)
                    settled(page, 90.0)
                    if title in ANSWERED:
                        answered(page, title)
                    page.evaluate("scrollTo(0, 0)")
                    picture = page.screenshot(full_page=True)
                    name = f"{'-'.join(title.lower().split())}-{width}" + (
                        "" if theme == "light" else f"-{theme}"
                    )
                    if arguments.png:
                        (place / f"{name}.png").write_bytes(picture)
                    else:
                        kept(picture, place / f"{name}.webp")
                    sys.stdout.write(f"{name}\n")
                page.context.close()
        browser.close()


if __name__ == "__main__":
    main()
