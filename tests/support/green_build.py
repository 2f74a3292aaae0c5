"""The hill-climb estate mended until every line of its go / no-go sheet is a go, for tests to spoil one at a time.

Every figure of the model stands some per cent inside its limit, so that a better model does not turn a line by itself.
"""

from __future__ import annotations

from pathlib import Path

__all__ = ["ESTATE", "GREEN"]

ESTATE = Path(__file__).parents[2] / "examples" / "hill_climb_estate"
GREEN: tuple[str, ...] = (
    'boost_control.target={ speed = [2750, 3250, 4500, 6500], unit = "rpm", value = [142, 150, 157, 152], '
    'value_unit = "kPa", value_basis = "absolute" }',
    "wastegate.spring_rating=0.40 bar gauge",
    "coolant.pressure_test=held",
    "sensors.pressures_agree=yes",
    "sensors.exhaust_leak_test=held",
    "sensors.gate_pressure=fitted",
    "fail_safes.boost_cut_tried=yes",
    "fail_safes.boost_cut=190 kPa absolute",
    "plan.altitude=1000 m",
    "hoses.leak_test=held",
)
