"""What the rules look at: the build as written, and what the model says of its boost table on every day."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, with_settings
from boostwright.build.build import Curve
from boostwright.cards.card import Card
from boostwright.cards.look_up import find_card
from boostwright.solve.operating_point import Limit, NoSteadyState, Prediction
from boostwright.tasks.plan_days import DayOfPlan, days_of
from boostwright.tasks.plan_result import Plan
from boostwright.tasks.predict import predict_build

__all__ = ["Facts", "Worst", "facts_of", "rpm"]

Array = NDArray[np.float64]

_OVER = 1.0 + 1e-6


def rpm(speed: float) -> str:
    """Engine or shaft speed [rad/s] as text."""
    return f"{speed * 30.0 / np.pi:.0f} rpm"


@dataclass(frozen=True)
class Worst:
    """Where a limit is used most: its utilisation [-], the day, the speed [rad/s], value and limit in SI."""

    limit: str
    words: str
    use: float
    day: str
    speed: float
    value: float
    bound: float

    @property
    def exceeded(self) -> bool:
        """Whether it is passed."""
        return self.use > _OVER


@dataclass(frozen=True)
class Facts:
    """A build and what the model says of it.

    target    boost table judged, absolute; None where the build has none and no plan was given
    table     which table that is, in words
    days      the days, the build's own first
    held      day's name -> the table held on it (its spike laid on)
    floor     gate fully open, own day; None without a gate
    spring    spring alone, own day
    lost      the gate's hose off, own day
    """

    build: Build
    target: Curve | None
    table: str
    days: tuple[DayOfPlan, ...]
    held: Mapping[str, Prediction]
    floor: Prediction | None
    spring: Prediction | None
    lost: Prediction | None

    def has(self, key: str) -> bool:
        """Whether the build says it: ``section.key``."""
        section, _, name = key.partition(".")
        return self.build[section].has(name)

    def text(self, key: str) -> str:
        """A word of the build, '' where it is not there."""
        section, _, name = key.partition(".")
        return self.build[section].text(name) if self.build[section].has(name) else ""

    def si(self, key: str) -> float:
        """A number of the build in SI, nan where it is not there."""
        section, _, name = key.partition(".")
        return self.build[section].si(name) if self.build[section].has(name) else float("nan")

    @property
    def own(self) -> Prediction | None:
        """The table held on the build's own day; None without a table."""
        return next(iter(self.held.values()), None)

    def highest_target(self) -> float:
        """Highest pressure of the table [Pa absolute]; nan without one."""
        return max(self.target.value_points) if self.target else float("nan")

    def highest(self, quantity: str) -> float:
        """Highest value of a quantity over every speed and day, SI; nan where there is none."""
        found = [p[quantity][p.solved] for p in self.held.values() if quantity in p.quantities]
        values = np.concatenate(found) if found else np.array([])
        values = values[np.isfinite(values)]
        return float(values.max()) if values.size else float("nan")

    def worst(self, names: Callable[[str], bool], spikes: bool = True) -> Worst | None:
        """The limit used most among those whose name is wanted; None where no such limit has a value.

        spikes  False leaves out the days with an overshoot
        """
        found: list[Worst] = []
        for day in self.days:
            prediction = self.held.get(day.name)
            if prediction is None or (day.spike > 0.0 and not spikes):
                continue
            found += [
                worst
                for limit in prediction.limits
                if names(limit.name) and (worst := _worst(limit, day.name, prediction)) is not None
            ]
        return max(found, key=lambda worst: worst.use, default=None)

    def unsolved(self) -> tuple[str, float, NoSteadyState] | None:
        """The first day and speed at which the table has no steady state; None where there always is one."""
        for day, prediction in self.held.items():
            for speed, outcome in zip(prediction.speeds, prediction.outcomes, strict=True):
                if isinstance(outcome, NoSteadyState):
                    return day, float(speed), outcome
        return None

    def material(self) -> Card | None:
        """Material card of the manifold."""
        name = self.text("exhaust_manifold.material")
        return find_card("material", name, self.build.folder) if name else None

    def hottest_metal(self) -> float:
        """Hottest manifold wall [K]: the gas at the turbine less the difference in [probe]; nan without a table."""
        return self.highest("temperature_em") - self.si("probe.wall_temperature_difference")


def _worst(limit: Limit, day: str, prediction: Prediction) -> Worst | None:
    use = np.where(prediction.solved, limit.utilisation, np.nan)
    if not np.isfinite(use).any():
        return None
    at = int(np.nanargmax(use))
    values = prediction.quantities.get(limit.quantity)
    value = float(values.values[at]) if values is not None else float("nan")
    speed = float(prediction.speeds[at])
    return Worst(limit.name, limit.words, float(use[at]), day, speed, value, float(limit.limit[at]))


def _target_setting(target: Curve, factor: float) -> str:
    """The table with its spike as a setting of the build."""
    if target.is_constant:
        return f"boost_control.target={factor * target.value_points[0]:.8g} Pa absolute"
    speeds = ", ".join(f"{speed:.8g}" for speed in target.speed_points)
    values = ", ".join(f"{factor * value:.8g}" for value in target.value_points)
    return (
        f'boost_control.target={{ speed = [{speeds}], unit = "rad/s", value = [{values}], value_unit = "Pa", '
        'value_basis = "absolute" }'
    )


def _judged(build: Build, plan: Plan | None) -> tuple[Curve | None, str]:
    """The table to judge: the build's own, else the plan's."""
    if build["boost_control"].has("target"):
        return build["boost_control"].curve("target"), "boost_control.target of the build"
    if plan is not None:
        there = np.isfinite(plan.target)
        if np.count_nonzero(there) > 1:
            curve = Curve(tuple(plan.speeds[there].tolist()), tuple(plan.target[there].tolist()), "absolute")
            return curve, "the plan's boost table"
    return None, "none: the build has no boost_control.target and no plan was made"


def facts_of(build: Build, plan: Plan | None = None, speeds: Sequence[float] | None = None) -> Facts:
    """Run what the rules need: the table on every day of [plan], gate open, spring alone, hose off.

    speeds  engine speeds [rad/s], rising; None takes the build's
    """
    target, table = _judged(build, plan)
    days = days_of(build)

    def run(settings: Sequence[str], mode: str) -> Prediction:
        return predict_build(with_settings(build, [*settings, f"prediction.mode={mode}"]), speeds=speeds)

    held: dict[str, Prediction] = {}
    if target is not None:
        for day in days:
            settings = (*day.settings, _target_setting(target, 1.0 + day.spike))
            held[day.name] = run(settings, "target")
    gate = build["wastegate"].text("kind") != "none"
    return Facts(
        build=build,
        target=target,
        table=table,
        days=days,
        held=held,
        floor=run((), "gate-open") if gate else None,
        spring=run(("boost_control.fixed_duty=0",), "spring") if gate else None,
        lost=run(("boost_control.signal_hose=lost",), "spring") if gate else None,
    )
