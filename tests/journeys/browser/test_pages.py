"""Every page in every theme and width: nothing that axe-core calls serious, nothing cut off, overlapping or without a
name; and what belongs to all of them: words for a screen reader, no motion where none is wanted, paper."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from page_layout import badly_drawn, serious_violations, unnamed_controls
from screen import ANSWERED, answered, go, page_titles, settled, use_theme
from served import Served

LOOKS = [
    ("light", 1440),
    ("light", 1024),
    ("light", 390),
    ("dark", 1440),
    ("dark", 1024),
    ("dark", 390),
    ("outdoors", 1440),
    ("outdoors", 1024),
    ("outdoors", 390),
]


def faults_of(page: Any, theme: str = "light") -> list[str]:
    """What is wrong with the page that is open. A theme changes colours only: names and structure are those of the
    light one, at each width."""
    found = [*badly_drawn(page), *serious_violations(page, colours_only=theme != "light")]
    found += unnamed_controls(page) if theme == "light" else []
    if (count := page.get_by_role("heading", level=1).count()) != 1:
        found.append(f"{count} headings of the first level")
    if moving := page.evaluate(
        "document.getAnimations().filter((one) => one.playState === 'running').length"
    ):
        found.append(f"{moving} things move though none should")
    return found


def test_pages_before_anything_was_asked(server: Served, open_page: Callable[..., Any]) -> None:
    page = open_page(server.link, reduced_motion="reduce")
    settled(page, 300.0)
    wrong = []
    titles = page_titles(page)
    assert len(titles) >= 8
    for title in titles:
        go(page, title)
        settled(page)
        wrong += [f"{title}: {words}" for words in faults_of(page)]
    assert not wrong, "\n".join(wrong)


def test_pages_with_their_answers(server: Served, open_page: Callable[..., Any]) -> None:
    page = open_page(server.link, reduced_motion="reduce")
    settled(page, 300.0)
    page.get_by_role("button", name="Hold this case").click()
    for title in ANSWERED:
        answered(page, title)
    titles = page_titles(page)
    assert len(titles) >= 8
    wrong = []
    for theme, width in LOOKS:
        page.set_viewport_size({"width": width, "height": 900})
        use_theme(page, theme)
        for title in titles:
            go(page, title)
            settled(page, quiet=0.2)  # nothing was changed, so nothing is held back
            wrong += [f"{title}, {theme}, {width}: {words}" for words in faults_of(page, theme)]
    assert not wrong, "\n".join(wrong)


def test_without_the_link_the_page_says_what_to_open(server: Served, open_page: Callable[..., Any]) -> None:
    page = open_page(f"{server.address}/")
    page.get_by_role("heading", name="Open the link").wait_for()
    assert not serious_violations(page)


def test_the_secret_leaves_the_address(page: Any, server: Served) -> None:
    settled(page, 300.0)
    assert server.token not in page.url
    page.reload()
    settled(page, 300.0)
    assert page.get_by_role("heading", level=1).count() == 1
    assert page.get_by_role("button", name="Save to build.toml").is_visible()
