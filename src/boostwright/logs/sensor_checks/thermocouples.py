"""Exhaust probes: wires exchanged, no answer at all."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.sensor_checks.certainty import certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.view import LogView, Mask
from boostwright.logs.sensor_checks.words import reading

__all__ = ["before_turbine", "behind_turbine", "check_wires"]

Array = NDArray[np.float64]
_DEAD = 120.0


def behind_turbine(view: LogView) -> str:
    """The probe behind the turbine; "" where none."""
    return "egt_reading_downpipe" if "egt_reading_downpipe" in view.signals else ""


def before_turbine(view: LogView) -> list[str]:
    """The probes before the turbine."""
    behind = behind_turbine(view)
    return [n for n in view.names if n.startswith("egt_reading") and n != behind]


def check_wires(view: LogView) -> None:
    """Find probes that fall where they should rise, or do nothing; they are left out of the checks that follow."""
    probes = [n for n in view.names if n.startswith("egt_reading")]
    if not probes:
        return
    hot = _hot(view)
    if hot.sum() * view.step < 4.0:
        view.could_not("exhaust probes by their answer to load", (), "the engine never works for long enough")
        return
    view.did("exhaust probes by their answer to load")
    for name in probes:
        values = view.on(name)
        here = hot & np.isfinite(values)
        if here.sum() < 8 or here.sum() * view.step < 3.0:
            continue
        level = float(np.median(values[here]))
        if level > 273.15 + _DEAD:
            continue
        cold = _cold_level(view, name)
        falls = level < cold - 12.0
        _say_wires(view, name, level, cold, here, falls=falls)
        view.drop(name)


def _hot(view: LogView) -> Mask:
    """Where any probe in the exhaust must be hot: on boost, or running for half a minute on end."""
    long = view.lasting(view.running, 30.0, 25.0) if "engine_speed" in view.signals else view.running & False
    boost = view.lasting(view.boosted, 2.0, 1.5)
    return np.asarray(boost if boost.sum() * view.step >= 4.0 else boost | long)


def _cold_level(view: LogView, name: str) -> float:
    """What it should show cold [K]: itself at rest, else the air's temperature, else 20 degC."""
    own = view.on(name)[view.off]
    own = own[np.isfinite(own)]
    if own.size >= 5:
        return float(np.median(own))
    for other in ("temperature_amb", "temperature_1", "temperature_im"):
        if other in view.signals:
            return float(np.percentile(view.signals[other].value, 10))
    return 293.0


def _say_wires(view: LogView, name: str, level: float, cold: float, mask: Mask, *, falls: bool) -> None:
    what = (
        f"{name} falls to {reading(name, level)} as the engine works: its two wires are exchanged."
        if falls
        else f"{name} stays at {reading(name, level)} while the engine works."
    )
    view.faults.append(
        SensorFault(
            "reversed-thermocouple" if falls else "no-response",
            (name,),
            what,
            certainty_of_deviation(2.6, 0.98 if falls else 0.95),
            view.where(mask),
            (Evidence("reading at work", level, "K"), Evidence("reading or air, cold", cold, "K")),
            "Exhaust gas at work is at 500 degC and more. A thermocouple shows the difference to its cold end, "
            "so that with "
            "wires exchanged it falls below the air as much as it should rise.",
            ("an amplifier that shows its lowest value for a broken wire",)
            if falls
            else (
                "wires that touch at the plug: it then shows the plug's temperature",
                "a probe drawn out of the gas",
                "a broken wire",
            ),
            "Warm the tip with a flame or a soldering iron: it must rise. Exchange the wires at the amplifier "
            "where it falls.",
        )
    )
