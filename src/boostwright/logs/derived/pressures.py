"""Pressures that need no bore: the barometer that was used, the intake manifold's, boost."""

from __future__ import annotations

import numpy as np

from boostwright.logs.derived.rows import Missing, Need, Quantity, Rows
from boostwright.logs.derived.uncertain import Uncertain, through

__all__ = ["QUANTITIES", "absolute", "air_gas_constant"]

_AT_REST = 5.0  # rad/s, below which the engine does not turn
_FEWEST = 5
_SETTLED = 1.0  # s


def air_gas_constant(rows: Rows) -> Uncertain:
    """R of the day's air [J/(kg K)]: dry air's, plus up to 1 % for its vapour."""
    return rows.number("vapour in the air", 288.2, 1.2)


def absolute(rows: Rows, name: str) -> Uncertain:
    """A pressure channel, absolute: one logged as gauge gets the barometer added. Raises Missing."""
    found = rows.channel(name)
    basis = rows.basis(name)
    if basis == "gauge":
        return through(np.add, found, rows.get("pressure_amb"))
    if basis != "absolute":
        raise Missing(Need(f"basis of {name}", "say gauge or absolute when importing: --unit"))
    return found


def _barometer(rows: Rows) -> Uncertain:
    day = rows.facts.day.pressure
    if day is not None and day.words.startswith("given"):
        return _stated(rows)
    return rows.first(
        lambda: rows.channel("pressure_amb").with_flag(
            "barometer", "barometer: the log's own channel pressure_amb"
        ),
        lambda: _key_on(rows),
        lambda: _stated(rows),
    )


def _stated(rows: Rows) -> Uncertain:
    day = rows.facts.day.pressure
    if day is None:
        raise Missing(Need("--barometer, or a build"))
    found = rows.fact("barometer of the day", day)
    return found.with_flag("barometer", f"barometer: {day.value / 1e3:.1f} kPa, {day.words}")


def _key_on(rows: Rows) -> Uncertain:
    """What the manifold sensor reads while the engine stands; its error is that of every other reading of it."""
    pressure, speed = rows.samples.find("pressure_im"), rows.samples.find("engine_speed")
    if pressure is None or speed is None or pressure.basis != "absolute":
        raise Missing(Need("pressure_im and engine_speed with the engine at rest"))
    around = max(pressure.period, speed.period) if speed.time.size > 1 and pressure.time.size > 1 else 0.0
    still = np.ones(pressure.time.shape, dtype=bool)
    for apart in (-1.0, 0.0, 1.0):  # nothing turns before or after either: the manifold has filled
        at = pressure.time + apart * max(around, _SETTLED)
        still &= speed.at(at, anywhere=True) < _AT_REST
    values = pressure.value[still]
    if values.size < _FEWEST:
        raise Missing(Need("pressure_im and engine_speed with the engine at rest"))
    scatter = 1.4826 * float(np.median(np.abs(values - np.median(values))))
    if scatter > 1e3 or not 60e3 < float(np.median(values)) < 108e3:
        raise Missing(Need("pressure_im and engine_speed with the engine at rest"))
    level = float(np.median(values))
    found = rows.with_sensor_error("pressure_im", np.full(rows.time.shape, level))
    rows.touched.add("pressure_im")  # as faulty as it is, so is this
    text = f"barometer: {level / 1e3:.1f} kPa, pressure_im with the engine at rest ({values.size} samples)"
    return found.with_flag("barometer", text)


def _pressure_im(rows: Rows) -> Uncertain:
    return rows.first(
        lambda: absolute(rows, "pressure_im"),
        lambda: through(np.add, rows.channel("boost"), rows.get("pressure_amb")),
    )


def _boost(rows: Rows) -> Uncertain:
    if rows.has("boost"):
        return rows.channel("boost")
    if rows.has("pressure_im") and rows.basis("pressure_im") == "gauge":
        return rows.channel("pressure_im")
    return through(np.subtract, rows.get("pressure_im"), rows.get("pressure_amb"))


QUANTITIES = (
    Quantity(
        "pressure_amb",
        "Pa",
        "pressure of the air outside",
        "absolute, station pressure",
        "p_amb: the log's own, else pressure_im with the engine at rest, else what is stated",
        _barometer,
    ),
    Quantity(
        "pressure_im",
        "Pa",
        "intake manifold pressure",
        "absolute, total",
        "p_im: as logged absolute; p_gauge + p_amb where gauge; boost + p_amb where only boost is logged",
        _pressure_im,
    ),
    Quantity(
        "boost",
        "Pa",
        "boost",
        "gauge: pressure_im - pressure_amb",
        "p_im - p_amb; as logged where the log has gauge pressure",
        _boost,
    ),
)
"""Barometer, manifold, boost."""
