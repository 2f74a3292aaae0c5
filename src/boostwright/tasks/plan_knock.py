"""How a plan holds knock: never on a margin that nobody has fitted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from boostwright.build import Build, with_settings
from boostwright.cards.card import Card
from boostwright.components.closed_cycle import cycle_fuel
from boostwright.solve.cylinder_quantities import KNOCK_TEMPERATURE_BAND, knock_multiplier_band
from boostwright.solve.problem import Problem
from boostwright.tasks.plan_bench import Change
from boostwright.tasks.plan_result import KnockRule

__all__ = ["KnockPlan", "knock_plan", "unchanged"]


@dataclass(frozen=True)
class KnockPlan:
    """The rule, the build it is made for, and what each end of the band does to a problem.

    ends  (name of the variant, change); the first is the one the plan's own figures are worked out with
    """

    rule: KnockRule
    build: Build
    ends: Sequence[tuple[str, Change]]


def unchanged(problem: Problem) -> Problem:
    """The problem as it is."""
    return problem


def knock_plan(build: Build, fuel: Card) -> KnockPlan:
    """How knock is held for a build.

    fuel  its card, or the blend's
    Where the owner has fitted the multiplier, the knock limit sets the spark as in a prediction. Where not, the limits
    are kept with the spark at both ends of the band: the late one is hot and weak, the early one makes the peak
    pressure; torque and exhaust temperature of the plan are those of the late end. Where knock is not predicted, the
    owner's spark table or phasing cap sets the spark and knock is not judged.
    """
    predicted = cycle_fuel(fuel).octane_number > 0.0
    section = build["spark"]
    fitted = section.written("knock_multiplier")
    set_by = _set_by(build, predicted, fitted)
    if not section.has("set_by") or section.text("set_by") != set_by:
        build = with_settings(build, [f"spark.set_by={set_by}"])
    if set_by == "knock-limit" and fitted:
        return KnockPlan(_fitted(build), build, [("", unchanged)])
    if set_by == "knock-limit":
        return KnockPlan(
            _SAFE_END, build, [("late", _end(build, late=True)), ("early", _end(build, late=False))]
        )
    if set_by == "advance":
        return KnockPlan(_table(predicted, fitted), build, [("", unchanged)])
    return KnockPlan(_cap(build, predicted), build, [("", unchanged)])


def _set_by(build: Build, predicted: bool, fitted: bool) -> str:
    """What sets the spark in a plan: as in the build, but what the owner knows goes before a knock limit that nobody
    has fitted, and knock is never looked away from."""
    section = build["spark"]
    stated = section.text("set_by") if section.has("set_by") else ""
    if stated in ("advance", "phasing"):
        return stated
    if not (predicted and fitted):
        for own in ("advance", "phasing"):
            if section.written(own):
                return own
    return "knock-limit" if predicted else "phasing"


def _end(build: Build, *, late: bool) -> Change:
    """The spark at one end of the knock band: multiplier and trapped temperature both moved, as a prediction does."""
    section = build["spark"]
    multiplier = knock_multiplier_band(section)[1 if late else 0]
    hotter = KNOCK_TEMPERATURE_BAND if late else -KNOCK_TEMPERATURE_BAND
    shift = float(np.log(multiplier / section.si("knock_multiplier")))

    def moved(problem: Problem) -> Problem:
        points = problem.points.copy()
        points["spark_limit"] -= shift
        points["trapped_temperature_shift"] += hotter
        return replace(problem, points=points)

    return moved


def _fitted(build: Build) -> KnockRule:
    value = build["spark"].si("knock_multiplier")
    return KnockRule(
        "fitted",
        f"knock sets the spark with your multiplier of {value:g}: no boost is given on a margin beyond it",
        False,
    )


_SAFE_END = KnockRule(
    "safe-end",
    "the knock multiplier is not fitted, so every limit is kept with the spark at both ends of its band; torque and "
    "exhaust temperature here are those of the late end. Fit spark.knock_multiplier to one knock-limited point of your "
    "own, or give your spark table (spark.set_by = advance)",
    True,
)


def _table(predicted: bool, fitted: bool) -> KnockRule:
    if predicted:
        known = "your multiplier" if fitted else "the late end of a multiplier that is not fitted"
        return KnockRule(
            "spark-table", f"your spark table sets the spark; knock is judged with {known}", not fitted
        )
    return KnockRule(
        "spark-table",
        "your spark table sets the spark; knock is not predicted for this fuel, so nothing here says whether the table "
        "is free of knock at more boost than it was made at",
        True,
    )


def _cap(build: Build, predicted: bool) -> KnockRule:
    own = build["spark"].written("phasing")
    whose = "your cap on phasing" if own else "a cap of 20 deg CA50 that is a guess, not yours,"
    words = f"{whose} sets the spark"
    if predicted:
        words += "; knock is judged at the late end of its band"
    else:
        words += "; knock is not predicted for this fuel, so nothing here says whether that is late enough"
    if not own:
        words += ". Give spark.phasing, or your spark table (spark.set_by = advance)"
    return KnockRule("phasing-cap", words, not own or not predicted)
