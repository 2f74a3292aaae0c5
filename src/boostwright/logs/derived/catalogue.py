"""Every quantity that can be worked out from a log, and working them all out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
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
    taps,
    temperatures,
    weather,
)
from boostwright.logs.derived.facts import Facts
from boostwright.logs.derived.rows import OF_THE_DAY, Missing, Need, Quantity, Rows
from boostwright.logs.derived.samples import Samples
from boostwright.logs.derived.uncertain import Uncertain
from boostwright.logs.series import Channels

__all__ = ["CATALOGUE", "Derived", "NotMade", "WorkedOut", "work_out", "work_out_samples"]

Array = NDArray[np.float64]

_HIGH_FLOW = 0.5  # of the largest: idle decides nothing

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
    """What a log gives: quantities by name, and those it does not give."""

    made: Mapping[str, Derived]
    missing: tuple[NotMade, ...]


def work_out(channels: Channels, facts: Facts, names: Iterable[str] | None = None) -> WorkedOut:
    """Work out the quantities of a log.

    channels  of one part of it
    facts     what is known of the car
    names     the quantities wanted, all of them by default; an unknown name raises KeyError
    """
    return work_out_samples(Samples(channels), facts, names)


def work_out_samples(samples: Samples, facts: Facts, names: Iterable[str] | None = None) -> WorkedOut:
    """The same, for channels whose samples were found already."""
    at: dict[str, Rows] = {}
    route = _narrowest_route(samples, facts)
    made: dict[str, Derived] = {}
    missing: list[NotMade] = []
    for name in CATALOGUE if names is None else names:
        try:
            made[name] = _one(CATALOGUE[name], samples, facts, at, route)
        except Missing as lacking:
            missing.append(NotMade(CATALOGUE[name], tuple(dict.fromkeys(lacking.needs))))
    return WorkedOut(made, tuple(missing))


def _narrowest_route(samples: Samples, facts: Facts) -> str:
    """The route to the air flow with the narrowest band where flow is high, '' where there is none."""
    bands: dict[str, float] = {}
    at: dict[str, Rows] = {}
    for route in air_flow.ROUTES:
        try:
            result = _one(CATALOGUE[f"mass_flow_air_{route}"], samples, facts, at, "").result
        except Missing:
            continue
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.where(result.value > 0.0, result.sigma / result.value, np.nan)
        good = np.isfinite(share)
        if good.any():
            high = good & (result.value > _HIGH_FLOW * np.max(result.value[good]))
            bands[route] = float(np.median(share[high]))
    return min(bands, key=lambda route: bands[route], default="")


def _one(quantity: Quantity, samples: Samples, facts: Facts, at: dict[str, Rows], route: str) -> Derived:
    """One quantity at the samples of the slowest channel it turns out to need. Raises Missing."""
    trial = Rows(samples, facts, CATALOGUE, np.zeros(2), route)
    quantity.make(trial)
    inputs = tuple(sorted(trial.touched))
    pace = _slowest(samples, inputs)
    sampled = samples.find(pace)
    if pace not in at:
        instants = sampled.time if sampled is not None else np.zeros(1)
        at[pace] = Rows(samples, facts, CATALOGUE, instants, route)
    result = at[pace].get(quantity.name)
    return Derived(
        quantity, at[pace].time, result, inputs, pace, sampled.period if sampled is not None else np.inf
    )


def _slowest(samples: Samples, names: tuple[str, ...]) -> str:
    """The channel with the longest time between samples; one of the weather only where nothing else is there."""
    setting = [name for name in names if name not in OF_THE_DAY] or list(names)
    periods = {}
    for name in setting:
        sampled = samples.find(name)
        if sampled is not None:
            periods[name] = sampled.period
    return max(periods, key=lambda name: periods[name], default="")
