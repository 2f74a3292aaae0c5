"""Fuel pressure against what a regulator holds: it follows the manifold one for one, from a level the build states."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.other_units import pressure_unit
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.view import LogView, Mask

__all__ = ["check_fuel_rail"]

_TITLE = "fuel pressure against its regulator"
_RANGE = 60e3
_SLOPE = 0.12
"""95 % half-width of the slope of a sound rail: gains of both sensors and a regulator that droops (common practice)."""
_STATED = 0.05
"""95 % half-width of a stated rail pressure (common practice)."""


@dataclass(frozen=True)
class _Line:
    """Fuel pressure over the air's = level + slope times (manifold over the air's): [Pa], [-], its standard error."""

    slope: float
    error: float
    level: float
    mask: Mask


def check_fuel_rail(view: LogView) -> None:
    """Find a fuel pressure that is off by a factor, which is then put right."""
    if "fuel_pressure" not in view.signals:
        view.could_not(_TITLE, ("fuel_pressure",), "it is not logged")
        return
    if view.signals["fuel_pressure"].basis not in ("gauge", "absolute"):
        view.could_not(_TITLE, (), "whether fuel_pressure is gauge or absolute is not said")
        return
    blamed = {c for f in view.faults for c in f.channels}
    if blamed & {"fuel_pressure", "pressure_im", "boost"}:
        view.could_not(_TITLE, (), "it or the manifold's pressure is doubtful itself, see the faults")
        return
    line = _line(view)
    if line is None:
        view.could_not(_TITLE, (), "manifold and fuel pressure are not logged over 60 kPa of load")
        return
    view.did(_TITLE)
    car = view.facts.car
    stated = car.injectors.rail_pressure if car is not None and car.injectors is not None else None
    follows = line.slope > 0.5
    by_slope = abs(line.slope - 1.0) / np.hypot(_SLOPE, 2.0 * line.error) if line.slope > 0.25 else 0.0
    if stated is None:
        if follows or line.slope > 0.25:
            _say(view, line, by_slope, np.nan, 0.85)
        view.could_not(
            "the level of fuel_pressure",
            ("fuel_system.rail_pressure of a build",),
            "nothing says what is held",
        )
        return
    width = float(np.hypot(view.tolerance("fuel_pressure", stated), _STATED * stated))
    by_level = abs(line.level - stated) / width
    share = line.level / stated
    both = abs(share - line.slope) < 0.12 or line.slope < 0.25
    _say(view, line, by_level, stated, 0.97 if both and line.slope > 0.25 else 0.85)


def _line(view: LogView) -> _Line | None:
    """By least squares over the running engine, twice, the second time without what lies far off."""
    air = view.barometer[0]
    rail, manifold = view.absolute("fuel_pressure") - air, view.load - air
    mask = view.running & np.isfinite(rail + manifold)
    if mask.sum() < 50 or float(np.ptp(np.percentile(manifold[mask], [2, 98]))) < _RANGE:
        return None
    for _ in range(2):
        x, y = manifold[mask], rail[mask]
        middle = x.mean()
        spread = float(((x - middle) ** 2).sum())
        slope = float(((x - middle) * (y - y.mean())).sum()) / spread
        level = float(y.mean()) - slope * float(middle)
        rest = rail - level - slope * manifold
        sigma = float(np.std(rest[mask]))
        # neighbouring samples lean on each other: one in ten is taken as new
        error = sigma * np.sqrt(10.0 / spread)
        mask = mask & (np.abs(rest) < 3.0 * max(sigma, 1e3))
        if mask.sum() < 50:
            return None
    return _Line(slope, float(error), level, mask)


def _say(view: LogView, line: _Line, z: float, stated: float, ceiling: float) -> None:
    sure = certainty_of_deviation(float(z), ceiling)
    if sure < LEAST:
        return
    known = bool(np.isfinite(stated))
    share = line.level / stated if known else line.slope
    mixed = pressure_unit(line.level, stated) if known else ""
    what = (
        f"fuel_pressure reads {line.level / 1e3:.0f} kPa over the air with the manifold at the air's pressure, where "
        f"the build holds {stated / 1e3:.0f} kPa"
        if known
        else f"fuel_pressure follows the manifold by {line.slope:.2f} of its change, where a regulator follows it by 1"
    )
    view.faults.append(
        SensorFault(
            "unit" if mixed else "scale",
            ("fuel_pressure",),
            f"{what}: {mixed}." if mixed else f"{what}: it reads {share:.2f} times what it should.",
            sure,
            view.where(line.mask),
            (
                Evidence("fuel pressure over the air's, manifold at the air's", line.level, "Pa", step=True),
                Evidence("its change over that of the manifold", line.slope),
                *((Evidence("the build's rail pressure", stated, "Pa", step=True),) if known else ()),
            ),
            "A regulator with a hose to the manifold holds one pressure over it, one without holds one over the air; "
            "a sensor that reads by a factor shows both the level and the change by that factor.",
            (
                "a pump, filter or regulator that truly gives this pressure",
                "a regulator hose that leaks",
                "another regulator than the build's",
            ),
            "Put a gauge on the rail with the pump running and the engine off, hose off: it shows the level.",
        )
    )
    if ceiling > 0.9:
        view.put_right("fuel_pressure", factor=1.0 / share)
    else:
        view.condemn("fuel_pressure")
