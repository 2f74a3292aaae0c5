"""Logs of channels that stand still, for formulas whose answer is known; and facts to go with them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.catalogue import work_out
from boostwright.logs.derived.facts import (
    CompressorFacts,
    Day,
    EngineFacts,
    Facts,
    FuelFacts,
    Number,
    Tap,
    TurbineFacts,
)
from boostwright.logs.derived.uncertain import Uncertain
from boostwright.logs.series import ChannelsInMemory, Series

RPM = np.pi / 30.0
ROWS = 40

__all__ = [
    "ROWS",
    "RPM",
    "compressor",
    "day",
    "engine",
    "petrol",
    "steady",
    "taken",
    "turbine",
    "value_of",
    "with_taps",
]

Array = NDArray[np.float64]


def steady(
    values: Mapping[str, float | Array], gauge: tuple[str, ...] = (), step: float = 0.1
) -> ChannelsInMemory:
    """Channels with one value each, or an array of them, on one time base; pressures absolute but for ``gauge``."""
    series = {}
    for name, value in values.items():
        long = np.broadcast_to(np.asarray(value, dtype=float), (ROWS,)) if np.ndim(value) == 0 else value
        basis = "gauge" if name in gauge else "absolute" if name.startswith("pressure_") else ""
        series[name] = Series(np.arange(long.size) * step, np.array(long), basis)
    return ChannelsInMemory(series)


def taken(
    name: str, values: Mapping[str, float | Array], facts: Facts | None = None, **how: object
) -> Uncertain:
    """A quantity from channels that stand still."""
    return work_out(steady(values, **how), facts or Facts(), [name]).made[name].result  # type: ignore[arg-type]


def value_of(
    name: str, values: Mapping[str, float | Array], facts: Facts | None = None, **how: object
) -> float:
    """The middle of that quantity."""
    return float(np.median(taken(name, values, facts, **how).value))


def engine(ve: float = 0.95, displacement: float = 2.0e-3, form: str = "eriksson") -> EngineFacts:
    """An engine whose filling does not change with speed; found at equal manifold pressures and 25 degC."""
    speeds = np.array([100.0, 800.0])
    return EngineFacts(
        displacement,
        4,
        9.0,
        speeds,
        np.full(2, ve),
        0.05,
        form,
        np.ones(2),
        np.full(2, 298.15),
        0.0,
        "made up",
    )


def petrol(ratio: float = 14.6) -> FuelFacts:
    """A petrol."""
    return FuelFacts(ratio, 0.01, 745.0, 0.02, "petrol")


def compressor(pressure: float = 1.0e5, temperature: float = 298.0, limit: float = 15e3) -> CompressorFacts:
    """A compressor with lines by a sum: ratio = 1 + (n/10000)^2 (1 - (m/m_c)^2/4), m from 0.3 to 1 of m_c = n/30000."""
    speeds = np.linspace(2e3, 14e3, 25)
    choke = speeds / 3e4
    flow = choke[:, None] * np.linspace(0.3, 1.0, 41)
    ratio = 1.0 + (speeds[:, None] / 1e4) ** 2 * (1.0 - 0.25 * (flow / choke[:, None]) ** 2)
    return CompressorFacts(1, pressure, temperature, speeds, flow, ratio, limit, 0.03, 0.03, "made up")


def turbine(choked: float = 3.0e-5, exponent: float = 2.3633, count: int = 1) -> TurbineFacts:
    """A turbine whose flow hangs on its expansion ratio alone."""
    log_ratio = np.linspace(0.0, np.log(5.0), 65)
    speeds, blade = np.array([100.0, 800.0]), np.array([0.2, 1.2])
    flow = choked * np.sqrt(1.0 - np.exp(-exponent * log_ratio))
    grid = np.broadcast_to(flow[None, :, None], (2, 65, 2)).copy()
    return TurbineFacts(count, 0.05, speeds, log_ratio, blade, grid, exponent, 0.1, "made up")


def with_taps(facts: Facts, **bores: float) -> Facts:
    """Facts with stated bores [m] at taps: pressure_2=0.05 ..."""
    return replace(facts, taps={name: Tap(bore, np.nan, "[taps]") for name, bore in bores.items()})


def day(pressure: float = 99e3, temperature: float = 293.15) -> Day:
    """The air of a day."""
    return Day(Number(pressure, 200.0, "given by the user"), Number(temperature, 1.5, "given by the user"))
