"""The screen as its user handles it: pages by their links, controls by their labels, and how much a task takes."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from typing import Any
from weakref import WeakKeyDictionary

__all__ = [
    "ANSWERED",
    "THEMES",
    "Walk",
    "answered",
    "exactly",
    "go",
    "page_titles",
    "rows_of",
    "settled",
    "track",
    "use_theme",
]

THEMES = ("light", "dark", "outdoors")
_UNDER_WAY: WeakKeyDictionary[Any, set[Any]] = WeakKeyDictionary()


def exactly(words: str) -> re.Pattern[str]:
    """A name as it stands, whatever its capitals, and whatever is explained in brackets behind it."""
    return re.compile(rf"^\s*{re.escape(words)}(\s\([^)]*\))?\s*$", re.IGNORECASE)


def page_titles(page: Any) -> list[str]:
    """Names of all pages that the navigation leads to: those of the stage in hand, then the other stages."""
    stages = page.get_by_role("navigation", name="Stages").get_by_role("link")
    stages.first.wait_for()
    pages = page.get_by_role("navigation", name="Pages").get_by_role("link")
    first = [" ".join(name.split()) for name in pages.all_inner_texts()]
    return (first or ["Decide"]) + [
        name for name in map(str.strip, stages.all_inner_texts()) if name != "Decide"
    ]


def go(page: Any, title: str) -> None:
    """Open a page by its link in the navigation."""
    if not page.get_by_role("navigation", name="Pages").count():
        page.get_by_role("navigation", name="Stages").get_by_role("link", name="Decide").click()
    page.get_by_role("navigation").get_by_role("link", name=exactly(title)).first.click()


def use_theme(page: Any, theme: str) -> None:
    """Choose light, dark or outdoors."""
    page.get_by_label("Theme", exact=False).first.select_option(label=theme.capitalize())


ANSWERED: dict[str, tuple[str, Callable[[Any], Any]]] = {
    "Plan": ("Plan", lambda page: page.get_by_role("button", name="Use this target")),
    "What-if": ("Run", lambda page: page.get_by_role("region", name="Ranked by").get_by_role("table")),
    "Bands": ("Draw bands", lambda page: page.get_by_role("heading", name="About the bands")),
    "Sheets": ("Fill in the sheets", lambda page: page.get_by_role("article", name="Order sheet")),
}
"""Page -> the button that starts its long work, and what stands there when that is done."""


def answered(page: Any, title: str) -> None:
    """Open a page with long work behind it, have that done, and wait for what it gives."""
    go(page, title)
    button, done = ANSWERED[title]
    if not done(page).count():
        page.get_by_role("button", name=button, exact=True).click()
        done(page).first.wait_for(timeout=300_000)
    settled(page, 60.0)


def track(page: Any) -> None:
    """Keep account of the requests under way, but for the look at the file's stamp; before a page is opened."""
    under_way: set[Any] = set()
    _UNDER_WAY[page] = under_way
    page.on("request", lambda one: under_way.add(one) if "/api/build/stamp" not in one.url else None)
    page.on("requestfinished", lambda one: under_way.discard(one))
    page.on("requestfailed", lambda one: under_way.discard(one))


def settled(page: Any, patience: float = 20.0, quiet: float = 0.5) -> None:
    """Wait until the page has asked for nothing for half a second, which is longer than it waits itself before it asks
    for what was just changed; less will do where nothing was. The page is one that ``track`` knows."""
    end, steps = time.monotonic() + patience, 0
    while time.monotonic() < end:
        page.wait_for_timeout(50)
        steps = 0 if _UNDER_WAY[page] else steps + 1
        if 0.05 * steps >= quiet:
            return
    raise AssertionError(f"the page still waits for {sorted(one.url for one in _UNDER_WAY[page])}")


class Walk:
    """A task done on the screen: it counts the pages visited, the values given and the presses."""

    def __init__(self, page: Any, where: str) -> None:
        """On a page that is open already; ``where`` is its title."""
        self.page, self.visited = page, [where]
        self.inputs: list[str] = []
        self.presses: list[str] = []

    @property
    def fields(self) -> Any:
        """The fields of the part of the gas path that is open."""
        return self.page.get_by_role("region", name="Fields")

    def go(self, title: str) -> None:
        """To another page."""
        go(self.page, title)
        self.visited.append(title)
        settled(self.page)

    def part(self, name: str) -> None:
        """Open the fields of a part of the gas path."""
        self.page.get_by_role("navigation", name="Gas path").get_by_role("button", name=name).first.click()
        self.fields.get_by_role("heading", name=exactly(name)).first.wait_for()
        self.presses.append(name)

    def enter(self, label: str, value: str, inside: Any = None) -> None:
        """Type a value into a field."""
        box = (inside or self.fields).get_by_role("textbox", name=exactly(label))
        box.fill(value)
        box.press("Enter")
        self.inputs.append(label)

    def choose(self, label: str, value: str, inside: Any = None) -> None:
        """Pick from a list."""
        box = (inside or self.fields).get_by_role("combobox", name=exactly(label))
        box.get_by_role("option", name=value).first.wait_for(state="attached")
        words = next(text for text in box.get_by_role("option").all_inner_texts() if value in text)
        box.select_option(label=words)
        self.inputs.append(label)

    def tick(self, name: str, inside: Any = None) -> None:
        """Tick a box or a choice of one."""
        main = inside or self.page.get_by_role("main")
        main.get_by_role("radio", name=name).or_(main.get_by_role("checkbox", name=name)).first.check()
        self.inputs.append(name)

    def press(self, name: str, inside: Any = None) -> None:
        """Press a button."""
        (inside or self.page).get_by_role("button", name=exactly(name)).first.click()
        self.presses.append(name)

    def table(self, name: str) -> list[dict[str, str]]:
        """A table by its heading or caption, row by row: first line of the column's heading -> text of the cell."""
        return rows_of(self.page.get_by_role("region", name=name).get_by_role("table").first)

    def figures(self) -> str:
        """How many screens, inputs and presses, for the page of the documentation."""
        return f"{len(dict.fromkeys(self.visited))}, {len(self.inputs)}, {len(self.presses)}"


def rows_of(table: Any) -> list[dict[str, str]]:
    """The rows of a table: heading of the column -> text of the cell; units stand behind the heading."""
    table.get_by_role("cell").first.wait_for()
    rows: list[list[str]] = table.evaluate(
        "table => [...table.rows].map(row => [...row.cells].map(cell => cell.innerText.replace(/\\s+/g, ' ').trim()))"
    )
    return [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]
