"""Temperatures of the gas at the stations, as far as probes show them or the model expects them."""

from __future__ import annotations

import numpy as np

from boostwright.logs.derived.rows import Missing, Need, Quantity, Rows
from boostwright.logs.derived.uncertain import Uncertain, through

__all__ = ["QUANTITIES", "egt_channels"]

_WARMER = 5.0  # K: how much warmer than outside the compressor may draw its air, largest either way
_OVER_READING = (60.0, 60.0)  # K of gas over a probe's reading, and how far off; design: 50-100 K
_MODEL_ERROR = 150.0  # K of a predicted exhaust temperature in a pull whose walls may still be cold, largest
_DROP = (0.93, 0.07)  # behind over ahead of the turbine: 110 to 170 K less read, less with the gate open
_USUAL_EFFICIENCY = (
    0.73,
    0.13,
)  # of a compressor in a pull, from beside its map's middle to its best; common practice
_COOLER_OUTLET = 3.0  # K from the cooler's outlet to the manifold


def _amb(rows: Rows) -> Uncertain:
    day = rows.facts.day.temperature
    if day is not None and day.words.startswith("given"):
        return _of_the_day(rows)
    return rows.first(lambda: rows.channel("temperature_amb"), lambda: _of_the_day(rows))


def _of_the_day(rows: Rows) -> Uncertain:
    day = rows.facts.day.temperature
    if day is None:
        raise Missing(Need("--air-temperature, or a build"))
    words = f"air outside: {day.value - 273.15:.1f} degC, {day.words}"
    return rows.fact("air temperature of the day", day).with_flag("air-temperature", words)


def _inlet(rows: Rows) -> Uncertain:
    return rows.first(
        lambda: rows.channel("temperature_1"),
        lambda: (
            rows.get("temperature_amb")
            .with_error("warming on the way to the compressor", _WARMER / np.sqrt(3.0))
            .with_flag("temperature-1", "compressor inlet temperature taken as the air outside, within 5 K")
        ),
    )


def _boost_pipe(rows: Rows) -> Uncertain:
    return rows.first(
        lambda: rows.channel("temperature_bp"),
        lambda: (
            rows.channel("temperature_im")
            .with_error("cooler outlet to manifold", _COOLER_OUTLET / np.sqrt(3.0))
            .with_flag("temperature-bp", "behind the cooler: intake air temperature taken, within 3 K")
        ),
    )


def _manifold(rows: Rows) -> Uncertain:
    return rows.first(
        lambda: rows.channel("temperature_im"),
        lambda: (
            rows.channel("temperature_bp")
            .with_error("cooler outlet to manifold", _COOLER_OUTLET / np.sqrt(3.0))
            .with_flag("temperature-im", "intake manifold: temperature behind the cooler taken, within 3 K")
        ),
    )


def _outlet(rows: Rows) -> Uncertain:
    """Behind the compressor; by efficiency where it is not logged, for a density that needs no more."""
    return rows.first(lambda: rows.channel("temperature_2"), lambda: _outlet_by_ratio(rows))


def _outlet_by_ratio(rows: Rows) -> Uncertain:
    found = through(
        lambda t, p, a, e: t * (1.0 + (np.maximum(p / a, 1.0) ** (0.4 / 1.4) - 1.0) / e),
        rows.get("temperature_1"),
        rows.get("pressure_im"),
        rows.get("pressure_amb"),
        rows.number("efficiency assumed of the compressor", *_USUAL_EFFICIENCY),
    )
    return found.with_flag(
        "temperature-2", "compressor outlet: no probe, an efficiency of 0.73 within 0.13 assumed"
    )


def egt_channels(rows: Rows) -> tuple[str, ...]:
    """Probes ahead of the turbine."""
    return rows.samples.numbered("egt_reading")


def _exhaust(rows: Rows) -> Uncertain:
    """Enthalpy mean at the turbine: the probes' mean brought to the gas, or what the model expects."""
    names = egt_channels(rows)
    expected, speed = rows.facts.expected, None
    if expected is not None:
        speed = rows.channel("engine_speed")
    if names:
        reading = rows.mean(names)
        if expected is None or speed is None:
            over = rows.number("gas over the probe's reading", *_OVER_READING)
            words = "exhaust temperature: reading plus 60 K within 60 K, for want of a model of the probe"
        else:
            largest = np.full(expected.speeds.shape, _OVER_READING[1] * 0.5)
            over = rows.along(
                "gas over the probe's reading",
                speed,
                expected.speeds,
                expected.temperature_over_reading,
                largest,
            )
            words = f"exhaust temperature: reading plus what it stands below the gas by {expected.words}, within 30 K"
        return through(np.add, reading, over).with_flag("temperature-em", words)
    if expected is None or speed is None:
        raise Missing(Need("channel egt_reading", "or a build, whose model expects it"))
    largest = np.full(expected.speeds.shape, _MODEL_ERROR)
    found = rows.along(
        "exhaust temperature expected", speed, expected.speeds, expected.temperature_em, largest
    )
    return found.with_flag("temperature-em", f"exhaust temperature: no probe, {expected.words}, within 150 K")


def _downpipe(rows: Rows) -> Uncertain:
    def by_drop() -> Uncertain:
        drop = rows.number("temperature drop over the turbine", *_DROP)
        found = through(np.multiply, rows.get("temperature_em"), drop)
        return found.with_flag(
            "temperature-4", "downpipe temperature: no probe, 0.93 of that ahead of the turbine, within 0.07"
        )

    def probe() -> Uncertain:
        over = rows.number("gas over the probe's reading", *_OVER_READING)
        return through(np.add, rows.channel("egt_reading_downpipe"), over)

    return rows.first(probe, by_drop)


QUANTITIES = (
    Quantity("temperature_amb", "K", "temperature of the air outside", "", "as logged or stated", _amb),
    Quantity(
        "temperature_1",
        "K",
        "compressor inlet temperature",
        "total",
        "as logged; else T_amb within 5 K",
        _inlet,
    ),
    Quantity(
        "temperature_2",
        "K",
        "compressor outlet temperature",
        "total",
        "as logged; else T_1 (1 + ((p_im/p_amb)^(2/7) - 1)/0.73)",
        _outlet,
    ),
    Quantity(
        "temperature_bp",
        "K",
        "boost pipe temperature",
        "total",
        "as logged; else T_im within 3 K",
        _boost_pipe,
    ),
    Quantity(
        "temperature_im",
        "K",
        "intake manifold temperature",
        "total",
        "as logged; else T_bp within 3 K",
        _manifold,
    ),
    Quantity(
        "temperature_em",
        "K",
        "gas temperature at the turbine inlet",
        "total, enthalpy mean: what the turbine sees",
        "mean of the readings + what the model says the gas stands above them; else the model's",
        _exhaust,
    ),
    Quantity(
        "temperature_4",
        "K",
        "downpipe temperature",
        "total, mixed",
        "reading + 60 K within 60 K; else 0.93 T_em within 0.07",
        _downpipe,
    ),
)
"""Gas temperatures, in flow order."""
