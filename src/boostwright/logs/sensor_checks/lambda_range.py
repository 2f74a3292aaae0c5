"""Lambda on boost outside what burns."""

from __future__ import annotations

import numpy as np

from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.view import LogView

__all__ = ["HIGHEST", "LOWEST", "check_lambda"]

LOWEST, HIGHEST = 0.6, 1.5
"""Lambda of a spark-ignition engine at load stays between these (common practice)."""


def check_lambda(view: LogView) -> None:
    """Find probes that show what no engine on boost burns."""
    names = [*view.numbered("lambda"), *view.numbered("air_fuel_ratio")]
    if not names:
        view.could_not("lambda at load", ("lambda",), "it is not logged")
        return
    mask = view.lasting(view.boosted, 1.5, 1.0)
    if mask.sum() * view.step < 1.0:
        view.could_not("lambda at load", (), "the log has no steady stretch on boost")
        return
    lean_is_sound = view.facts.spark_ignited is False or _unthrottled(view)
    stoichiometric = view.facts.stoichiometric_ratio or 14.6
    view.did("lambda at load")
    for name in names:
        scale = stoichiometric if name.startswith("air_fuel_ratio") else 1.0
        values = view.on(name)[mask] / scale
        values = values[np.isfinite(values)]
        if values.size < 5:
            continue
        level = float(np.median(values))
        over = level - HIGHEST if level > HIGHEST else LOWEST - level if level < LOWEST else 0.0
        if level > HIGHEST and lean_is_sound:
            continue
        sure = certainty_of_deviation(over / (0.02 + 0.02 * level), 0.95)
        if sure >= LEAST:
            _say(view, name, level, sure, mask & np.isfinite(view.on(name)))
            view.condemn(name)


def _unthrottled(view: LogView) -> bool:
    """A diesel: its manifold is at the air's pressure at idle."""
    idle = view.load[view.idle]
    idle = idle[np.isfinite(idle)]
    return idle.size >= 10 and float(np.median(idle)) > 0.85 * view.barometer[0]


def _say(view: LogView, name: str, level: float, sure: float, mask: np.ndarray) -> None:
    lean = level > HIGHEST
    view.faults.append(
        SensorFault(
            "lambda-range",
            (name,),
            f"{name} shows lambda {level:.2f} on boost, {'leaner' if lean else 'richer'} than an engine can run "
            f"there.",
            sure,
            view.where(mask),
            (Evidence("lambda on boost", level), Evidence("sound from", LOWEST), Evidence("to", HIGHEST)),
            "Petrol does not burn reliably leaner than 1.4 nor richer than 0.6, least of all while it makes boost.",
            (
                "air drawn in ahead of the probe",
                "a probe that was left unheated in the gas",
                "another scaling of its output",
                "a misfire",
            ),
            "Read the probe in free air and look at the controller's own display; smoke-test the exhaust ahead "
            "of it.",
        )
    )
