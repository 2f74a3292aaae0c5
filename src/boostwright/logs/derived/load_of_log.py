"""What the engine pulled in a log: the road, or a roller; as far as the log itself tells."""

from __future__ import annotations

import numpy as np

from boostwright.logs.derived.pace import paces
from boostwright.logs.derived.samples import Samples

__all__ = ["load_of_log"]

_FULL, _LONG = 0.8, 1.5  # of throttle, and s in a gear at it
_RISING = 5.0  # rad/s2
_SAME_GEAR = 0.06
_DEFAULT = "taken for a log of the {0}, as [dyno] kind says; --load says otherwise"


def load_of_log(samples: Samples, usual: str) -> tuple[str, str]:
    """(load, why): 'road', 'roller' without a brake, or '' where nothing tells.

    usual  what the build's [dyno] says its pulls are done on
    A roller's own speed is of a roller and a speed by satellite of the road; a car driven with full throttle in several
    gears was on the road, since pulls on a roller are done in one (common practice).
    """
    if samples.find("vehicle_speed_roller") is not None:
        return ("roller", "the log has a roller's speed") if usual == "roller" else ("", "")
    if samples.find("vehicle_speed_gps") is not None:
        return "road", "the log has a speed by satellite"
    if samples.find("vehicle_speed") is None:
        return usual, ""
    if _gears_at_full_throttle(samples) > 1:
        return "road", "taken for a log of the road: full throttle in several gears; --load says otherwise"
    return usual, _DEFAULT.format(usual) if usual else ""


def _gears_at_full_throttle(samples: Samples) -> int:
    """In how many gears engine speed rose with the throttle open for a while."""
    road, engine = samples.find("vehicle_speed"), samples.find("engine_speed")
    name = next((one for one in ("throttle_position", "pedal_position") if samples.find(one) is not None), "")
    pedal = samples.find(name)
    if road is None or engine is None or pedal is None:
        return 0
    slope, _ = engine.slopes(0.3)
    turning, rate = engine.at(road.time), np.interp(road.time, engine.time, np.nan_to_num(slope))
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = road.value / turning
        wanted = (pedal.at(road.time) > _FULL) & (rate > _RISING) & (road.value > 1.0)
    gears = samples.once("gears by vehicle_speed", lambda: paces(samples, "vehicle_speed"))
    seconds = []
    for gear in gears:
        with np.errstate(divide="ignore", invalid="ignore"):
            inside = wanted & (np.abs(np.log(ratio / gear.pace)) < _SAME_GEAR)
        seconds.append(float(inside.sum()) * road.period)
    return sum(one > _LONG for one in seconds)
