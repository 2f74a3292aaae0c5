"""The fields of the build as a person at the screen handles them, and answers that come when a test wants them to."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

__all__ = ["Held", "field", "part", "save", "set_bore", "type_over", "unsaved", "until", "written"]


def part(page: Any, name: str) -> None:
    """Open the fields of a part of the gas path."""
    page.get_by_role("navigation", name="Gas path").get_by_role("button", name=name).first.click()


def field(page: Any, name: str) -> Any:
    """A field of the part that is open."""
    return page.get_by_role("textbox", name=name, exact=True)


def set_bore(page: Any, text: str) -> None:
    """Type another bore."""
    part(page, "Engine")
    box = field(page, "Engine bore")
    box.fill(text)
    box.press("Enter")


def save(page: Any) -> None:
    """Press the button that writes the file."""
    page.get_by_role("button", name="Save to build.toml").click()


def written(build: Path, key: str) -> str:
    """The line of build.toml that holds a key."""
    lines = (build / "build.toml").read_text(encoding="utf-8").splitlines()
    return next(line for line in lines if line.startswith(f"{key} ="))


def unsaved(page: Any) -> str:
    """What the title block says of the file."""
    text: str = page.get_by_role("contentinfo", name="Title block").inner_text()
    return text


def until(true: Callable[[], bool], words: str, patience: float = 15.0) -> None:
    """Wait for something outside the page."""
    end = time.monotonic() + patience
    while time.monotonic() < end:
        if true():
            return
        time.sleep(0.05)
    raise AssertionError(words)


def type_over(page: Any, name: str, keys: str) -> None:
    """Click into a field, mark what stands there and type over it, key by key; the field is not left."""
    field(page, name).click()
    page.keyboard.press("Control+a")
    page.keyboard.type(keys)


class Held:
    """Answers to some addresses, kept back until ``let_go``."""

    def __init__(self, page: Any, *paths: str, late: bool = False) -> None:
        """From now on, of requests to these paths of the interface. The server gets them at once; with ``late`` when
        they are let go."""
        self.page, self.paths, self.late, self.shut = page, paths, late, True
        self.kept: list[tuple[str, Any, Any]] = []
        page.route(re.compile(r"/api/"), self._asked)

    def _asked(self, route: Any) -> None:
        path = urlsplit(route.request.url).path
        if self.shut and path in self.paths:
            self.kept.append((path, route, None if self.late else route.fetch()))
        else:
            route.fallback()

    def wait(self, count: int = 1) -> None:
        """Until so many of each of these addresses are kept back."""
        for _ in range(400):
            if all(sum(one[0] == path for one in self.kept) >= count for path in self.paths):
                return
            self.page.wait_for_timeout(50)
        raise AssertionError(f"asked only {[one[0] for one in self.kept]} of {self.paths}")

    def let_go(self, *, newest_first: bool = False) -> None:
        """Hand over all that are kept, one after the other; what is asked later passes."""
        self.shut = False
        order, self.kept = self.kept[:: -1 if newest_first else 1], []
        for _, route, answer in order:
            route.fulfill(response=answer or route.fetch())
            self.page.wait_for_timeout(100)
