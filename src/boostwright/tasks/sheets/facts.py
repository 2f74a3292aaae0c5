"""What the rules look at: the build as written, and what the model says of its boost table on every day."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, with_settings
from boostwright.build.build import Curve, Value
from boostwright.build.schema import boost_control
from boostwright.cards.card import Card
from boostwright.cards.look_up import find_card
from boostwright.solve.operating_point import Limit, NoSteadyState, Prediction
from boostwright.tasks.plan_bench import Change
from boostwright.tasks.plan_days import DayOfPlan, days_of
from boostwright.tasks.plan_knock import knock_plan
from boostwright.tasks.plan_result import Plan
from boostwright.tasks.predict import predict_build
from boostwright.tasks.ready import cards_of

__all__ = ["Facts", "Worst", "facts_of", "rpm", "spring_of", "with_table"]

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

    target    boost table judged, absolute; None where there is none
    table     which table that is, in words
    plan      whose table it is; None where it is the build's own
    days      the days, the build's own first
    held      day, and where nobody has fitted knock the end of its band the spark stands at -> the table held then, its
              spike laid on; the build's own day at the late end comes first
    spikes    those of them with an overshoot
    floor     gate fully open, own day; None without a gate
    spring    spring alone, own day
    lost      the gate's hose off, own day
    """

    build: Build
    target: Curve | None
    table: str
    plan: Plan | None
    days: tuple[DayOfPlan, ...]
    held: Mapping[str, Prediction]
    spikes: frozenset[str]
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
        for day, prediction in self.held.items():
            if day in self.spikes and not spikes:
                continue
            found += [
                worst
                for limit in prediction.limits
                if names(limit.name) and (worst := _worst(limit, day, prediction)) is not None
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


def with_table(
    build: Build, settings: Sequence[str], table: Curve | None, mode: str, spring: float | None
) -> Build:
    """The build on a day, holding a table: past the checks of a file, which want no table below the spring.

    settings  of the day, laid over the build
    table     absolute [Pa] over engine speed; None holds none
    spring    rating [Pa gauge] in place of the build's; None keeps that
    """
    other = with_settings(build, ["boost_control.target=", "prediction.mode=gate-shut", *settings])
    control, prediction, gate = (other[name] for name in ("boost_control", "prediction", "wastegate"))
    held = dict(control.values)
    if table is not None:
        parameter = boost_control.SECTION.find("target")
        held["target"] = Value(parameter, "the table judged", "set", curve=table, basis="absolute")
    changed = {
        "boost_control": replace(control, values=held),
        "prediction": replace(
            prediction, values={**prediction.values, "mode": replace(prediction.values["mode"], text=mode)}
        ),
    }
    if spring is not None:
        rating = replace(gate.values["spring_rating"], si=spring)
        changed["wastegate"] = replace(gate, values={**gate.values, "spring_rating": rating})
    return replace(other, sections={**other.sections, **changed})


def spring_of(plan: Plan | None) -> float | None:
    """Spring rating [Pa gauge] that a plan wants, or keeps; None without a plan or a gate."""
    if plan is None or plan.spring is None:
        return None
    return (plan.spring.chosen or plan.spring.fitted).rating


def _judged(build: Build, plan: Plan | None) -> tuple[Curve | None, str]:
    """The table to judge: the plan's, else the build's own."""
    if plan is not None:
        there = np.isfinite(plan.target)
        if np.count_nonzero(there) > 1:
            curve = Curve(tuple(plan.speeds[there].tolist()), tuple(plan.target[there].tolist()), "absolute")
            return curve, "the plan's boost table"
        return None, "none: the plan found no table inside every limit"
    if build["boost_control"].has("target"):
        return build["boost_control"].curve("target"), "boost_control.target of the build"
    return None, "none: the build has no boost_control.target and no plan was made"


def facts_of(build: Build, plan: Plan | None = None, speeds: Sequence[float] | None = None) -> Facts:
    """Run what the rules need: the table on every day of [plan], gate open, spring alone, hose off.

    speeds  engine speeds [rad/s], rising; None takes the build's
    """
    target, table = _judged(build, plan)
    days, spring = days_of(build), spring_of(plan)
    knock = knock_plan(build, cards_of(build)["fuel"])

    def run(settings: Sequence[str], mode: str, change: Change, held: Curve | None = None) -> Prediction:
        other = with_table(knock.build, settings, held, mode, spring)
        return predict_build(other, speeds=speeds, change=change)

    held: dict[str, Prediction] = {}
    spikes = set()
    for end, change in knock.ends:
        for day in days if target is not None else ():
            name = f"{day.name}, {end} spark" if end else day.name
            held[name] = run(day.settings, "target", change, _over(target, day.spike))
            spikes |= {name} if day.spike > 0.0 else set()
    gate, late = build["wastegate"].text("kind") != "none", knock.ends[0][1]
    return Facts(
        build=build,
        target=target,
        table=table,
        plan=plan,
        days=days,
        held=held,
        spikes=frozenset(spikes),
        floor=run((), "gate-open", late) if gate else None,
        spring=run(("boost_control.fixed_duty=0",), "spring", late) if gate else None,
        lost=run(("boost_control.signal_hose=lost",), "spring", late) if gate else None,
    )


def _over(table: Curve | None, spike: float) -> Curve | None:
    """The table with an overshoot, a share of the absolute pressure."""
    if table is None or spike == 0.0:
        return table
    return replace(table, value_points=tuple((1.0 + spike) * value for value in table.value_points))
