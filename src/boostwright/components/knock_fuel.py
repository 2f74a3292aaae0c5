"""Whether a fuel's knock can be predicted at all, and what is said to a build that asks for it in vain."""

from __future__ import annotations

from boostwright.build import Build
from boostwright.cards.card import Card
from boostwright.components.closed_cycle import cycle_fuel
from boostwright.errors import Fault
from boostwright.physics.cylinder import knock

__all__ = ["knock_limit_fault"]


def knock_limit_fault(build: Build, card: Card) -> Fault | None:
    """The fault of a build that sets the spark by a knock limit its fuel does not have; None where all is well.

    card  of the fuel, blended where the build blends
    """
    section = build["spark"]
    if not section.has("set_by") or section.text("set_by") != "knock-limit":
        return None
    if cycle_fuel(card).octane_number > 0.0:
        return None
    value = section.values["set_by"]
    place = build.path.name
    if value.origin == "set":
        place = next((f"--set {s}" for s in build.source.settings[::-1] if s.startswith("spark.")), place)
    elif value.line:
        place = f"{place}, line {value.line}"
    return Fault(
        place,
        "spark.set_by",
        value.written,
        f'knock is not predicted for the fuel of card "{card.name}": {_why(card)}.',
        "phasing, best-torque or advance",
        "State your own spark table (advance) or the earliest CA50 you would run (phasing).",
        value.line,
    )


def _why(card: Card) -> str:
    low, high = knock.OCTANE_RANGE.low, knock.OCTANE_RANGE.high
    if not card.has("research_octane_number"):
        return "it states no research octane number"
    octane = card.si("research_octane_number")
    if not low <= octane <= high:
        return f"its research octane number is {octane:.4g}, and the correlation knows {low:g} to {high:g}"
    share = card.si("ethanol_volume_share")
    return f"{100.0 * share:.3g} % of it is ethanol, and the correlation knows up to 10 %"
