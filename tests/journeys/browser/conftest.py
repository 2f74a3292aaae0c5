"""What the browser tests stand on: a served copy of an example and a page of real Chromium that minds its manners.

Everything on a page is found by its role and its label, as a user of a screen reader finds it; never by a test id or a
selector. A page that logs an error, gets a server error or asks another host for anything fails its test.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from chromium import ARGUMENTS, chromium_or_skip
from screen import track
from served import Served, copy_of

SHOTS = "BOOSTWRIGHT_SHOTS"
"""Environment variable that names a folder for a picture of each test's last page."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """One Chromium for the tests of a file."""
    path = chromium_or_skip()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        yield chromium
        chromium.close()


@pytest.fixture
def build(tmp_path: Path) -> Path:
    """A copy of the hill-climb estate."""
    return copy_of("hill_climb_estate", tmp_path)


@pytest.fixture
def server(build: Path) -> Iterator[Served]:
    """The program serving that copy."""
    with Served(build) as served:
        yield served


class Watch:
    """What went wrong on the pages of one test."""

    def __init__(self) -> None:
        """Nothing yet."""
        self.faults: list[str] = []
        self.asked: list[str] = []
        self.expected: tuple[str, ...] = ()

    def on(self, page: Any) -> None:
        """Listen to one page."""
        page.on("pageerror", lambda error: self.faults.append(f"script error: {error}"))
        page.on("console", self._console)
        page.on("request", lambda request: self.asked.append(request.url))
        page.on(
            "response",
            lambda answer: (
                self.faults.append(f"{answer.status} {answer.url}") if answer.status >= 500 else None
            ),
        )

    def _console(self, message: Any) -> None:
        # a refusal (4xx) is part of the interface, and Chromium logs each
        if message.type == "error" and "status of 4" not in message.text:
            self.faults.append(f"console: {message.text}")

    def verdict(self) -> list[str]:
        """The faults, without those that a test said it would cause, and every request that left this machine."""
        away = [url for url in self.asked if urlsplit(url).hostname not in ("127.0.0.1", None)]
        mine = [f for f in self.faults if not any(word in f for word in self.expected)]
        return mine + [f"asked {url}" for url in away]


@pytest.fixture
def watch() -> Iterator[Watch]:
    """Judges all pages of a test at its end."""
    seen = Watch()
    yield seen
    assert not seen.verdict()


@pytest.fixture
def open_page(browser: Any, watch: Watch, request: pytest.FixtureRequest) -> Iterator[Callable[..., Any]]:
    """Open a link in a fresh browser profile: ``open_page(link, width=1440, height=900, **options of the profile)``."""
    opened = []

    def opener(link: str, width: int = 1440, height: int = 900, **options: Any) -> Any:
        context = browser.new_context(viewport={"width": width, "height": height}, **options)
        opened.append(context)
        context.set_default_timeout(15_000)
        page = context.new_page()
        watch.on(page)
        track(page)
        page.goto(link)
        return page

    yield opener
    for number, context in enumerate(opened):
        if SHOTS in os.environ:
            place = Path(os.environ[SHOTS])
            place.mkdir(parents=True, exist_ok=True)
            context.pages[-1].screenshot(
                path=place / f"{request.node.name[:60]}-{number}.png", full_page=True
            )
        context.close()


@pytest.fixture
def page(server: Served, open_page: Callable[..., Any]) -> Any:
    """The screen of the served build, 1440 pixels wide."""
    return open_page(server.link)
