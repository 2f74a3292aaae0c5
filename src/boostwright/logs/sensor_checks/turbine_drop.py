"""Exhaust probes before and behind the turbine: the gas cools by what the compressor takes, whichever way it goes."""

from __future__ import annotations

import numpy as np

from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.thermocouples import before_turbine, behind_turbine
from boostwright.logs.sensor_checks.view import LogView, Mask

__all__ = ["check_order", "gas_cools_by"]

_TITLE = "exhaust probes before and behind the turbine exchanged"
_USUAL_EFFICIENCY = 0.72
_HEATS = 1007.0 / 1210.0 / 1.07
"""Heat capacity of the air over that of the gas, and air over gas by mass."""
_DROP_HALF, _PLACE_HALF = 25.0, 30.0
"""[K] 95 % half-widths: of the drop as two sheaths show it, and of one cylinder beside the mean (common practice)."""


def check_order(view: LogView) -> None:
    """Find a probe behind the turbine and one before it in each other's place."""
    behind = behind_turbine(view)
    # a slow probe is cool in a pull, too
    slow = {c for f in view.faults if f.code == "slow-thermocouple" for c in f.channels}
    before = [n for n in before_turbine(view) if n in view.signals and n not in slow]
    if before and not behind:
        view.could_not(_TITLE, ("egt_reading_downpipe",), "it is not logged")
    if not (behind and before):
        return
    names = [*before, behind]
    mask = view.lasting(view.boosted, 2.0, 1.5) & np.isfinite(np.sum([view.on(n) for n in names], axis=0))
    if mask.sum() < 8:
        view.could_not(_TITLE, (), "no stretch on boost is long enough")
        return
    view.did("exhaust probes before and behind the turbine")
    drop = gas_cools_by(view, mask)
    level = {n: float(np.median(view.on(n)[mask])) for n in names}
    _judge(view, level, behind, drop, mask)


def gas_cools_by(view: LogView, mask: Mask) -> float:
    """What all gas, turbine's and gate's mixed again, loses to the compressor [K], from its pressure ratio.

    Source: energy balance of the shaft, constant specific heats, a compressor efficiency of 0.72. Heat lost to the
    housing comes on top, and a gate that blows into the open leaves less gas behind the turbine, cooled by more.
    """
    ratio = max(float(np.median(view.load[mask])) / view.barometer[0], 1.0)
    return float(_HEATS * 295.0 * (ratio**0.2857 - 1.0) / _USUAL_EFFICIENCY)


def _judge(view: LogView, level: dict[str, float], behind: str, drop: float, mask: Mask) -> None:
    """Too hot behind for what is before it; the coolest one before is meant, and all must fit once it is exchanged."""
    before = [n for n in level if n != behind]
    suspect = min(before, key=lambda n: level[n])
    mean = float(np.mean([level[n] for n in before]))
    alone = len(before) == 1
    width = float(np.hypot(_DROP_HALF, _PLACE_HALF if alone else _PLACE_HALF / np.sqrt(len(before))))
    z = (level[behind] - (mean - drop)) / width
    after = mean + (level[behind] - level[suspect]) / len(before)
    if abs(level[suspect] - (after - drop)) / width > 1.5:
        return
    if not alone and z >= 1.0:
        below = float(np.median([level[n] for n in before if n != suspect])) - level[suspect]
        z = float(
            np.hypot(z, max(below, 0.0) / _PLACE_HALF)
        )  # that it stands below its siblings says the same
    sure = certainty_of_deviation(z, 0.93)
    if sure < LEAST or level[behind] <= level[suspect]:
        return
    view.faults.append(
        SensorFault(
            "swapped",
            (suspect, behind),
            f"{behind}, behind the turbine, is {level[behind] - level[suspect]:.0f} K hotter than {suspect} before it: "
            "they are exchanged.",
            sure,
            view.where(mask),
            (
                *(Evidence(f"{name} on boost", value, "K") for name, value in level.items()),
                Evidence("what the compressor takes out of the gas", drop, "K", step=True),
            ),
            "The turbine takes the compressor's work out of the gas, which leaves it cooler than it came.",
            (
                "fuel that burns in the turbine and behind it",
                f"{suspect} is drawn out of the gas, or shows its bung",
            ),
            "Warm one tip with the engine cold and see which channel answers.",
        )
    )
    view.exchange(suspect, behind)
