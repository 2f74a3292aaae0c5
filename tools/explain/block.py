"""The part of an explanation that the program writes: sources, ranges and the picture with what its points are."""

from __future__ import annotations

import math

from boostwright.physics.relation import Interval, Relation
from boostwright.provenance.source import find_source
from tools.explain.pages import Page, relations_of_page

__all__ = ["BEGIN", "END", "block", "with_block"]

BEGIN = "<!-- made by tools/draw_explain.py: sources, ranges, picture -->"
END = "<!-- end made -->"


def block(page: Page, caption: str) -> str:
    """Everything between the two marks, without them.

    caption  what the picture's points are"""
    rows = [_row(name, one) for name, one in relations_of_page(page).items()]
    return "\n".join(
        [
            "## Source and range",
            "",
            "Made from the code. A range is what the source states, in SI units; where it states none, bounds beyond "
            "which the relation has no meaning may stand behind.",
            "",
            "| relation | source | known | range |",
            "|---|---|---|---|",
            *rows,
            "",
            "What stands behind each of them is on the [proof sheet](../proof/index.md).",
            "",
            "## Figure",
            "",
            f"![{page.shows}](../pictures/{page.file})",
            "",
            f"{page.shows} {caption}",
        ]
    )


def _row(name: str, one: Relation) -> str:
    source = find_source(one.source)
    short = (
        source.citation
        if one.status not in ("definition", "common practice", "own estimate")
        else source.title
    )
    words = short if len(short) <= 120 else short[:117].rsplit(" ", 1)[0] + " ..."
    return f"| `{name}` | {words} | {one.status} | {_range(one)} |"


def _range(one: Relation) -> str:
    """The range that the source states; else the bounds of what has a meaning, where there are two."""
    if one.valid:
        return "; ".join(f"{name} {_bounds(interval)}" for name, interval in one.valid.items())
    bounded = {name: i for name, i in one.domain.items() if math.isfinite(i.low) and math.isfinite(i.high)}
    return "; ".join(["none stated", *(f"{name} {_bounds(interval)}" for name, interval in bounded.items())])


def _bounds(interval: Interval) -> str:
    if not math.isfinite(interval.high):
        return f"{'above' if interval.open_low else 'from'} {interval.low:g}"
    if not math.isfinite(interval.low):
        return f"{'below' if interval.open_high else 'up to'} {interval.high:g}"
    return f"{interval.low:g} to {interval.high:g}"


def with_block(text: str, made: str) -> str:
    """The page with its made part replaced, or added at its end."""
    whole = f"{BEGIN}\n{made}\n{END}\n"
    if BEGIN not in text:
        return f"{text.rstrip()}\n\n{whole}"
    head, rest = text.split(BEGIN, 1)
    return head + whole + rest.split(END, 1)[1].lstrip("\n")
