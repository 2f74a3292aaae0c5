"""Every quantity that can be worked out from a log, and working them all out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived import (
    air_flow,
    charge,
    compressor,
    egt,
    engine_load,
    exhaust_side,
    fuel_flow,
    pressures,
    probe,
    road,
    taps,
    temperatures,
    weather,
)
from boostwright.logs.derived.facts import Facts
from boostwright.logs.derived.rows import OF_THE_DAY, Missing, Need, Quantity, Rows
from boostwright.logs.derived.samples import Samples
from boostwright.logs.derived.uncertain import Uncertain, joined
from boostwright.logs.series import Channels

__all__ = ["CATALOGUE", "Derived", "NotMade", "WorkedOut", "work_out", "work_out_samples"]

Array = NDArray[np.float64]

_HIGH_FLOW = 0.5  # of the largest: idle decides nothing
_FEW = 4000  # instants by which the route is chosen
_BLOCK, _PAD = (
    20_000,
    200,
)  # instants worked out at once, and so many more at each end for what looks to both sides

CATALOGUE: Mapping[str, Quantity] = MappingProxyType(
    {
        one.name: one
        for part in (
            pressures,
            temperatures,
            taps,
            fuel_flow,
            probe,
            air_flow,
            compressor,
            charge,
            exhaust_side,
            egt,
            road,
            engine_load,
            weather,
        )
        for one in part.QUANTITIES
    }
)
"""Every quantity by name, in the order of the gas."""


@dataclass(frozen=True, eq=False)
class Derived:
    """A quantity that was worked out.

    quantity  what it is
    time      [s] (n,) its instants: the samples of ``pace``, the slowest channel in it
    result    value, parts and flags, (n,)
    inputs    channels that went into it
    pace      name of the slowest one; '' where nothing but what is stated went in
    period    [s] between its samples
    """

    quantity: Quantity
    time: Array
    result: Uncertain
    inputs: tuple[str, ...]
    pace: str
    period: float


@dataclass(frozen=True)
class NotMade:
    """A quantity that could not be worked out, and what is missing for it."""

    quantity: Quantity
    needs: tuple[Need, ...]


@dataclass(frozen=True)
class WorkedOut:
    """What a log gives: quantities by name, and those it does not give.

    air_route  by which route the air flow is taken, '' for none
    """

    made: Mapping[str, Derived]
    missing: tuple[NotMade, ...]
    air_route: str = ""


def work_out(channels: Channels, facts: Facts, names: Iterable[str] | None = None) -> WorkedOut:
    """Work out the quantities of a log.

    channels  of one part of it
    facts     what is known of the car
    names     the quantities wanted, all of them by default; an unknown name raises KeyError
    """
    return work_out_samples(Samples(channels), facts, names)


def work_out_samples(samples: Samples, facts: Facts, names: Iterable[str] | None = None) -> WorkedOut:
    """The same, for channels whose samples were found already."""
    route = _narrowest_route(samples, facts)
    plans: dict[str, _Plan] = {}
    missing: list[NotMade] = []
    wanted = tuple(CATALOGUE if names is None else names)
    planner = _Planner(samples, facts, route)
    for name in wanted:
        try:
            plans[name] = planner.plan(name)
        except Missing as lacking:
            if lacking.needs:
                missing.append(NotMade(CATALOGUE[name], tuple(dict.fromkeys(lacking.needs))))
    results: dict[str, Uncertain] = {}
    for pace in dict.fromkeys(plan.pace for plan in plans.values()):
        these = [name for name, plan in plans.items() if plan.pace == pace]
        results |= _at_pace(these, _instants(samples, pace), samples, facts, route)
    made = {name: _derived(name, plan, results[name], samples) for name, plan in plans.items()}
    return WorkedOut(made, tuple(missing), route)


@dataclass(frozen=True)
class _Plan:
    """What a quantity turns out to need: its channels, and the slowest of them."""

    inputs: tuple[str, ...]
    pace: str


class _Planner:
    """Finds what quantities need by trying them at two instants; what they share is tried once."""

    def __init__(self, samples: Samples, facts: Facts, route: str) -> None:
        self._samples, self._facts, self._route = samples, facts, route
        self._trial = self._fresh()

    def _fresh(self) -> Rows:
        return Rows(self._samples, self._facts, CATALOGUE, np.zeros(2), self._route)

    def plan(self, name: str) -> _Plan:
        """Raises Missing, and KeyError for a name there is not."""
        trial = self._trial
        trial.touched = set()
        try:
            trial.get(name)
        finally:
            if trial.went_round:  # what was tried on the way lacked what this one would have given
                self._trial = self._fresh()
        inputs = tuple(sorted(trial.touched))
        return _Plan(inputs, _slowest(self._samples, inputs))


def _derived(name: str, plan: _Plan, result: Uncertain, samples: Samples) -> Derived:
    sampled = samples.find(plan.pace)
    period = sampled.period if sampled is not None else np.inf
    return Derived(CATALOGUE[name], _instants(samples, plan.pace), result, plan.inputs, plan.pace, period)


def _instants(samples: Samples, pace: str) -> Array:
    sampled = samples.find(pace)
    return sampled.time if sampled is not None else np.zeros(1)


def _at_pace(
    names: Sequence[str], time: Array, samples: Samples, facts: Facts, route: str
) -> dict[str, Uncertain]:
    """Quantities at the same instants (n,); of a long log in blocks, so that memory does not grow with every source."""
    if time.size <= _BLOCK:
        rows = Rows(samples, facts, CATALOGUE, time, route)
        return {name: rows.get(name) for name in names}
    blocks: dict[str, list[Uncertain]] = {name: [] for name in names}
    for begin in range(0, time.size, _BLOCK):
        first, end = max(begin - _PAD, 0), min(begin + _BLOCK, time.size)
        rows = Rows(samples, facts, CATALOGUE, time[first : end + _PAD], route)
        kept = slice(begin - first, end - first)
        for name in names:
            blocks[name].append(rows.get(name).cut(kept).in_brief())
    return {name: joined(some) for name, some in blocks.items()}


def _narrowest_route(samples: Samples, facts: Facts) -> str:
    """The route to the air flow with the narrowest band where flow is high, '' where there is none."""
    bands: dict[str, float] = {}
    planner = _Planner(samples, facts, "")
    for route in air_flow.ROUTES:
        name = f"mass_flow_air_{route}"
        try:
            plan = planner.plan(name)
        except Missing:
            continue
        time = _instants(samples, plan.pace)
        thin = time[:: -(-time.size // _FEW)]
        result = Rows(samples, facts, CATALOGUE, thin, "").get(name)
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.where(result.value > 0.0, result.sigma / result.value, np.nan)
        good = np.isfinite(share)
        if good.any():
            high = good & (result.value > _HIGH_FLOW * np.max(result.value[good]))
            bands[route] = float(np.median(share[high]))
    return min(bands, key=lambda route: bands[route], default="")


def _slowest(samples: Samples, names: tuple[str, ...]) -> str:
    """The channel with the longest time between samples; one of the weather only where nothing else is there."""
    setting = [name for name in names if name not in OF_THE_DAY] or list(names)
    periods = {}
    for name in setting:
        sampled = samples.find(name)
        if sampled is not None:
            periods[name] = sampled.period
    return max(periods, key=lambda name: periods[name], default="")
