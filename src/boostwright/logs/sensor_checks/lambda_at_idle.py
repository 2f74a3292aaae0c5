"""Lambda against its target, at idle and at load: air drawn in ahead of the probe shows where little gas flows."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.view import LogView, Mask

__all__ = ["check_air_drawn_in"]

Array = NDArray[np.float64]
_TITLE = "air drawn in ahead of the lambda probe"
_HALF = 0.07
"""95 % half-width of lambda over its target between idle and load, probe and control together (common practice)."""
_TRIM_HALF = 0.08
"""The same of what trims take away at idle in a sound car (common practice)."""
_TRIMS = ("fuel_trim_short", "fuel_trim_long")
_BURNS = 1.4
_TOLD = 0.03


def check_air_drawn_in(view: LogView) -> None:
    """Find a probe that is lean at idle alone; say what a probe off everywhere is taken for."""
    probe = next(iter(view.numbered("lambda")), "")
    if not probe:
        return  # said already
    if "lambda_target" not in view.signals:
        view.could_not(_TITLE, ("lambda_target",), "nothing says what was asked for at idle")
        return
    with np.errstate(invalid="ignore", divide="ignore"):
        share = view.on(probe) / view.on("lambda_target") * _trimmed(view)
        burning = np.isfinite(share) & (view.on(probe) < _BURNS)
    idle, load = view.idle & burning, view.lasting(view.boosted, 1.5, 1.0) & burning
    if min(idle.sum(), load.sum()) < 10 or min(idle.sum(), load.sum()) * view.step < 1.0:
        view.could_not(_TITLE, (), "it takes two seconds of idle and of boost, with fuel")
        return
    view.did(_TITLE)
    low, high = float(np.median(share[idle])), float(np.median(share[load]))
    width = float(np.hypot(_HALF, _TRIM_HALF if any(view.numbered(kind) for kind in _TRIMS) else 0.0))
    sure = certainty_of_deviation((low - max(high, 1.0)) / width, 0.85)
    if sure >= LEAST and abs(high - 1.0) < _HALF:
        _say(view, probe, (low, high), sure, idle)
    elif min(abs(low - 1.0), abs(high - 1.0)) > _TOLD and abs(low - high) < _HALF:
        view.could_not(
            f"whether {probe}, {high:.2f} times its target all along, is off or the fuelling is",
            (),
            "both look alike; hold the probe in free air, or log a second one",
        )


def _trimmed(view: LogView) -> Array:
    """What a closed loop took away: a probe held at its target shows the air in the trim instead."""
    found = np.ones(view.grid.size)
    for kind in _TRIMS:
        banks = [view.on(name) for name in view.numbered(kind)]
        if banks:
            found = found * (1.0 + np.mean([np.nan_to_num(bank) for bank in banks], axis=0))
    return found


def _say(view: LogView, probe: str, shares: tuple[float, float], sure: float, mask: Mask) -> None:
    low, high = shares
    view.faults.append(
        SensorFault(
            "air-leak",
            (probe,),
            f"{probe} is {low - 1.0:.0%} leaner than asked for at idle, right at load: air is drawn in ahead of it.",
            sure,
            view.where(mask),
            (
                Evidence("lambda over its target at idle, trims counted", low),
                Evidence("lambda over its target on boost", high),
            ),
            "Between pulses a pipe with little flow draws air in through a leak, much beside the gas of an idling "
            "engine; at load the pipe is pressed and nothing comes in.",
            (
                "a cylinder that misfires at idle",
                "injectors whose dead time is stated wrongly, which weighs where they are open shortest",
                "a leak of the inlet behind the air meter",
            ),
            "Smoke or soapy water on every joint ahead of the probe, with the engine cold.",
        )
    )
