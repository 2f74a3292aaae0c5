"""Checks of the fuel and what brings it against each other, and of the keys that make sense together only."""

from __future__ import annotations

from boostwright.build.build import Value
from boostwright.build.faults import Report

__all__ = ["fuel_checks"]

Values = dict[str, dict[str, Value]]


def fuel_checks(sections: Values, report: Report) -> None:
    """Run every check; each says nothing where a value of its own is missing."""
    for check in (_blend_is_whole,):
        check(sections, report)


def _blend_is_whole(sections: Values, report: Report) -> None:
    """A share of nothing, or of the same fuel twice."""
    fuel = sections.get("fuel", {})
    share, other = fuel.get("blend_share"), fuel.get("blend_card")
    if share is not None and other is None and ("fuel", "blend_card") not in report.broken:
        remedy = "Write blend_card with the name of the second fuel's card, or take the share out."
        report.fault(
            ("fuel", "blend_share"), share.raw, "is a share of a second fuel that is not named.", "", remedy
        )
    card = fuel.get("card")
    if other is not None and card is not None and other.text == card.text:
        report.warn(("fuel", "blend_card"), other.raw, "is the fuel it is mixed into: nothing changes.")
