"""Oil pressure against what an engine at speed must have, and none at rest."""

from __future__ import annotations

import numpy as np

from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.view import RPM, LogView, Mask

__all__ = ["HIGHEST", "LOWEST", "check_oil"]

_TITLE = "oil pressure at speed and at rest"
LOWEST, HIGHEST = 150e3, 1000e3
"""[Pa] gauge over 3000 rpm: 70 kPa for each 1000 rpm is the trade's rule, relief valves open at 400 to 700 kPa (common
practice, no source); the bounds leave a third below and above.
"""
_UNITS = ((6.894757, "psi read as kPa"), (100.0, "bar read as kPa"), (1 / 6.894757, "kPa read as psi"))
_REST = 15e3


def check_oil(view: LogView) -> None:
    """Find an oil pressure no running engine has, or one that is left with the engine at rest."""
    if "pressure_oil" not in view.signals:
        view.could_not(_TITLE, ("pressure_oil",), "it is not logged")
        return
    gauge = view.absolute("pressure_oil") - view.barometer[0]
    if view.signals["pressure_oil"].basis not in ("gauge", "absolute"):
        gauge = view.on("pressure_oil")
    with np.errstate(invalid="ignore"):
        fast = view.lasting(view.speed > 3000 * RPM, 1.0, 0.5) & np.isfinite(gauge)
    still = view.off & ~np.maximum.accumulate(view.running) & np.isfinite(gauge)
    if fast.sum() * view.step < 2.0 or fast.sum() < 8:
        view.could_not(_TITLE, (), "the engine never turns over 3000 rpm for two seconds")
        return
    view.did(_TITLE)
    level = float(np.median(gauge[fast]))
    off = LOWEST - level if level < LOWEST else level - HIGHEST if level > HIGHEST else 0.0
    width = float(np.hypot(view.tolerance("pressure_oil", level), 0.15 * LOWEST))
    sure = certainty_of_deviation(off / width, 0.95)
    if sure >= LEAST:
        _say(view, level, sure, fast)
    elif still.sum() * view.step >= 1.0:
        _at_rest(view, float(np.median(gauge[still])), still)


def _say(view: LogView, level: float, sure: float, mask: Mask) -> None:
    mixed = next((words for factor, words in _UNITS if 1.2 * LOWEST < level * factor < 0.9 * HIGHEST), "")
    what = f"pressure_oil reads {level / 1e3:.0f} kPa over 3000 rpm"
    view.faults.append(
        SensorFault(
            "unit" if mixed else "impossible",
            ("pressure_oil",),
            f"{what}: {mixed}." if mixed else f"{what}, which no engine runs with for long.",
            sure if mixed else min(sure, 0.85),
            view.where(mask),
            (
                Evidence("oil pressure over 3000 rpm", level, "Pa", step=True),
                Evidence("a sound engine has at least", LOWEST, "Pa", step=True),
                Evidence("and at most", HIGHEST, "Pa", step=True),
            ),
            "Bearings at speed need some 70 kPa for each 1000 rpm, and a relief valve ends the rise.",
            ("an engine that truly has this pressure: stop it until a gauge says otherwise", "a dead sender"),
            "Screw a gauge into the gallery beside the sensor before the engine is run again.",
        )
    )
    view.condemn("pressure_oil")


def _at_rest(view: LogView, level: float, mask: Mask) -> None:
    width = float(np.hypot(_REST, view.tolerance("pressure_oil", level)))
    sure = certainty_of_deviation(abs(level) / width, 0.95)
    if sure < LEAST:
        return
    whole = abs(abs(level) - view.barometer[0]) < 0.15 * view.barometer[0]
    view.faults.append(
        SensorFault(
            "gauge-absolute" if whole else "offset",
            ("pressure_oil",),
            f"pressure_oil reads {level / 1e3:.0f} kPa before the engine has turned"
            + (": gauge and absolute are mixed up." if whole else "."),
            sure,
            view.where(mask),
            (Evidence("oil pressure before the first start", level, "Pa", step=True),),
            "No pump turns, so that nothing presses the oil.",
            ("an engine that was stopped a moment ago, its oil still cold",),
            "Unplug the hose or wait a minute with the engine off: it must read the air's pressure.",
        )
    )
