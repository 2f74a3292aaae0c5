"""What is said of the cylinder beside every prediction: relations, the table's error, how the spark is set."""

from __future__ import annotations

import numpy as np

from boostwright.build import Build
from boostwright.solve.cylinder_quantities import KNOCK_TEMPERATURE_BAND, knock_multiplier_band
from boostwright.solve.operating_point import Choice
from boostwright.solve.problem import Problem

__all__ = ["cylinder_choices"]

_STATED = (
    ("work", "work", 100.0, "%"),
    ("peak_pressure", "peak pressure", 100.0, "%"),
    ("temperature_opening", "temperature at exhaust opening", 1.0, "K"),
    ("knock_limited_phasing", "phasing at the knock limit", 1.0, "deg"),
)


def cylinder_choices(build: Build, problem: Problem) -> tuple[Choice, ...]:
    """Closed cycle with its table's error, wall heat, and spark, as models that were chosen."""
    return (_cycle(problem), _walls(build), _spark(build, problem))


def _cycle(problem: Problem) -> Choice:
    errors = problem.cycle.errors
    parts = [
        f"{words} {errors[name].ninety_nine * scale:.2g} {unit} (worst {errors[name].worst * scale:.2g})"
        for name, words, scale, unit in _STATED
        if name in errors
    ]
    words = "single zone, 0.5 deg, Wiebe burn, read from a table of this engine; table against direct calls, 99 of 100 "
    return Choice("closed cycle", f"{words}within: {', '.join(parts)}", "computed", "computed", "")


def _walls(build: Build) -> Choice:
    section = build["cylinder"]
    return Choice(
        "wall heat",
        f"{section.text('wall_heat_relation')} times {section.si('wall_heat_factor'):.2f}",
        "",
        "published",
    )


def _spark(build: Build, problem: Problem) -> Choice:
    set_by = problem.spark.set_by
    if set_by != "knock-limit":
        knock = (
            "" if problem.engine.cycle.fuel.octane_number > 0.0 else "; knock is not predicted for this fuel"
        )
        return Choice(
            "spark", f"{set_by}{knock}", "build", "measured by the owner" if set_by == "advance" else ""
        )
    low, high = knock_multiplier_band(build["spark"])
    band = f"{np.round(low, 2):g} to {np.round(high, 2):g}, charge {KNOCK_TEMPERATURE_BAND:.0f} K colder or hotter"
    words = (
        f"knock-limit by Livengood-Wu with Douaud-Eyzat, octane {problem.engine.cycle.fuel.octane_number:g}, "
        f"multiplier {build['spark'].si('knock_multiplier'):g}; its band: multiplier {band}"
    )
    return Choice("spark", words, "", "own estimate")
