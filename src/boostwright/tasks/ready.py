"""A build made ready to be solved: the cards it names, and the shaft speed it must not pass."""

from __future__ import annotations

from collections.abc import Mapping

from boostwright.build import Build
from boostwright.cards.card import Card
from boostwright.cards.look_up import find_card
from boostwright.components.fuel_blend import fuel_card
from boostwright.components.turbine_from_build import TIP_SPEED_LIMIT
from boostwright.solve.problem import Problem

__all__ = ["cards_of", "speed_limit_of"]


def cards_of(build: Build) -> dict[str, Card]:
    """Cards by kind: 'fuel', and those of compressor, turbine and gate that the build names. Raises CardError."""
    cards = {"fuel": fuel_card(build)}
    for kind in ("compressor", "turbine", "wastegate"):
        if build[kind].has("card"):
            cards[kind] = find_card(kind, build[kind].text("card"), build.folder)
    return cards


def speed_limit_of(build: Build, cards: Mapping[str, Card], problem: Problem) -> tuple[float, str]:
    """Limiting shaft speed [rad/s] and where it comes from: the lower of compressor and turbine, or the build's."""
    section = build["compressor"]
    if section.has("speed_limit"):
        return section.si("speed_limit"), "build, compressor.speed_limit"
    surface = problem.compressor
    of = "compressor card" if "compressor" in cards else "compressor wheel"
    limit, source = surface.speed_limit, f"{of}: {surface.speed_limit_status}"
    turbine = cards.get("turbine")
    if build["turbine"].text("given_as") == "wheel":
        allowed = 2.0 * TIP_SPEED_LIMIT / problem.turbine.wheel_diameter
        if allowed < limit:
            limit, source = allowed, f"turbine wheel: from memory, {TIP_SPEED_LIMIT:.0f} m/s at its tip"
    if turbine is not None and turbine.has("speed_limit") and turbine.si("speed_limit") < limit:
        limit, source = turbine.si("speed_limit"), "turbine card"
    return limit, source
