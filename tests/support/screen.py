"""The screen as its user handles it: pages by their links, controls by their labels, and how much a task takes."""

from __future__ import annotations

import re
import time
from typing import Any
from weakref import WeakKeyDictionary

__all__ = ["THEMES", "Walk", "go", "page_titles", "settled", "track", "use_theme"]

THEMES = ("light", "dark", "outdoors")
_UNDER_WAY: WeakKeyDictionary[Any, set[Any]] = WeakKeyDictionary()


def exactly(words: str) -> re.Pattern[str]:
    """A name as it stands, whatever its capitals."""
    return re.compile(rf"^\s*{re.escape(words)}\s*$", re.IGNORECASE)


def page_titles(page: Any) -> list[str]:
    """Names of all pages that the navigation leads to: those of the stage in hand, then the other stages."""
    stages = page.get_by_role("navigation", name="Stages").get_by_role("link")
    stages.first.wait_for()
    pages = page.get_by_role("navigation", name="Pages").get_by_role("link")
    first = [" ".join(name.split()) for name in pages.all_inner_texts()]
    return (first or ["Decide"]) + [name for name in map(str.strip, stages.all_inner_texts()) if name != "Decide"]


def go(page: Any, title: str) -> None:
    """Open a page by its link in the navigation."""
    if not page.get_by_role("navigation", name="Pages").count():
        page.get_by_role("navigation", name="Stages").get_by_role("link", name="Decide").click()
    page.get_by_role("navigation").get_by_role("link", name=exactly(title)).first.click()


def use_theme(page: Any, theme: str) -> None:
    """Choose light, dark or outdoors."""
    page.get_by_label("Theme", exact=False).first.select_option(label=theme.capitalize())


def track(page: Any) -> None:
    """Keep account of the requests under way, but for the look at the file's stamp; before a page is opened."""
    under_way: set[Any] = set()
    _UNDER_WAY[page] = under_way
    page.on("request", lambda one: under_way.add(one) if "/api/build/stamp" not in one.url else None)
    page.on("requestfinished", lambda one: under_way.discard(one))
    page.on("requestfailed", lambda one: under_way.discard(one))


def settled(page: Any, patience: float = 20.0) -> None:
    """Wait until the page has asked for nothing for half a second; it is one that ``track`` knows."""
    end, quiet = time.monotonic() + patience, 0
    while time.monotonic() < end:
        page.wait_for_timeout(100)
        quiet = 0 if _UNDER_WAY[page] else quiet + 1
        if quiet >= 5:
            return
    raise AssertionError(f"the page still waits for {sorted(one.url for one in _UNDER_WAY[page])}")


class Walk:
    """A task done on the screen: it counts the pages visited, the values given and the presses."""

    def __init__(self, page: Any, where: str) -> None:
        """On a page that is open already; ``where`` is its title."""
        self.page, self.visited = page, [where]
        self.inputs: list[str] = []
        self.presses: list[str] = []

    def go(self, title: str) -> None:
        """To another page."""
        go(self.page, title)
        self.visited.append(title)

    def enter(self, label: str, value: str, inside: Any = None) -> None:
        """Type a value into a field."""
        box = (inside or self.page).get_by_role("textbox", name=exactly(label))
        box.fill(value)
        box.press("Tab")
        self.inputs.append(label)

    def choose(self, label: str, value: str, inside: Any = None) -> None:
        """Pick from a list."""
        (inside or self.page).get_by_role("combobox", name=exactly(label)).select_option(label=value)
        self.inputs.append(label)

    def press(self, name: str, inside: Any = None) -> None:
        """Press a button."""
        (inside or self.page).get_by_role("button", name=exactly(name)).first.click()
        self.presses.append(name)

    def figures(self) -> str:
        """Screens, inputs and presses, for the page of the documentation."""
        screens = len(dict.fromkeys(self.visited))
        return f"{screens} screens, {len(self.inputs)} inputs, {len(self.presses)} presses"
