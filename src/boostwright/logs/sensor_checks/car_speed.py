"""Speeds of the car against each other."""

from __future__ import annotations

import numpy as np

from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.view import LogView

__all__ = ["check_car_speed"]

_FACTORS = ((1.609344, "mph and km/h"), (3.6, "m/s and km/h"), (2.236936, "m/s and mph"))


def check_car_speed(view: LogView) -> None:
    """Find a speed that is a fixed factor off the others."""
    title = "speeds of the car against each other"
    names = [n for n in ("vehicle_speed", "vehicle_speed_gps", "vehicle_speed_roller") if n in view.signals]
    if len(names) < 2:
        view.could_not(title, ("vehicle_speed_gps",), "a second speed is not logged")
        return
    view.did(title)
    one, two = names[:2]
    a, b = view.on(one), view.on(two)
    with np.errstate(invalid="ignore", divide="ignore"):
        moving = (np.fmin(a, b) > 2.0) & (np.abs(np.gradient(a, view.step)) < 2.0)
        share = np.log(a / b)[moving]
    share = share[np.isfinite(share)]
    if share.size < 20:
        return
    middle = float(np.median(share))
    sure = certainty_of_deviation(abs(middle) / 0.07, 0.95)
    if sure < LEAST:
        return
    mixed = next((words for f, words in _FACTORS if abs(abs(middle) - np.log(f)) < 0.06), "")
    view.faults.append(
        SensorFault(
            "unit" if mixed else "scale",
            (one, two),
            f"{one} is {np.exp(middle):.3f} times {two}" + (f", as {mixed} differ." if mixed else "."),
            sure,
            view.where(moving),
            (
                Evidence(one, float(np.median(a[moving])), "m/s"),
                Evidence(two, float(np.median(b[moving])), "m/s"),
            ),
            "The car has one speed; tyres and slip change it by a few per cent.",
            ("another tyre or final drive than the controller was told", "wheels that spin"),
            "Compare both with a satellite speed at steady pace.",
        )
    )
