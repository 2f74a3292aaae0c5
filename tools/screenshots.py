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
COLOURS = 128
TOP = 1570  # down to the foot of the map, for the front page


def kept(picture: bytes, path: Path, high: int | None = None) -> None:
    """Write a picture, or its top, with few colours, without loss beyond that."""
    image = Image.open(io.BytesIO(picture)).convert("RGB")
    if high is not None:
        image = image.crop((0, 0, image.width, min(high, image.height)))
    image.quantize(COLOURS, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE).convert("RGB").save(
        path, "WEBP", lossless=True, quality=100, method=6
    )


def looks() -> list[tuple[int, str]]:
    """Every width in light, and the other themes at the widest."""
    return [(width, "light") for width in WIDTHS] + [(1440, theme) for theme in THEMES if theme != "light"]


def taken(page: Any, width: int) -> bytes:
    """The whole page as a picture, the window as high as the page so that what stands at its foot is at its foot."""
    page.mouse.move(0, 0)
    for height in (WIDTHS[width], page.evaluate("document.documentElement.scrollHeight")):
        page.set_viewport_size({"width": width, "height": height})
        page.wait_for_timeout(400)
    picture: bytes = page.screenshot()
    page.set_viewport_size({"width": width, "height": WIDTHS[width]})
    return picture


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
            context = browser.new_context(viewport={"width": 1440, "height": 900}, reduced_motion="reduce")
            page = context.new_page()
            track(page)
            page.goto(served.link)
            settled(page, 300.0)
            titles = [title for title in page_titles(page) if arguments.only.lower() in title.lower()]
            for title in titles:
                if title in ANSWERED:
                    answered(page, title)
            for width, theme in looks():
                page.set_viewport_size({"width": width, "height": WIDTHS[width]})
                use_theme(page, theme)
                for title in titles:
                    go(page, title)
                    settled(page, 60.0)
                    picture = taken(page, width)
                    name = f"{'-'.join(title.lower().split())}-{width}" + (
                        "" if theme == "light" else f"-{theme}"
                    )
                    if arguments.png:
                        (place / f"{name}.png").write_bytes(picture)
                    else:
                        kept(picture, place / f"{name}.webp")
                        if name == "curves-1440":
                            kept(picture, place / "curves-top.webp", TOP)
                    sys.stdout.write(f"{name}\n")
            context.close()
        browser.close()


if __name__ == "__main__":
    main()
