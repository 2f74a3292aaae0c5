"""The hill-climb estate mended until every line of its go / no-go sheet is a go, for tests to spoil one at a time."""

from __future__ import annotations

from pathlib import Path

__all__ = ["ESTATE", "GREEN"]

ESTATE = Path(__file__).parents[2] / "examples" / "hill_climb_estate"
GREEN: tuple[str, ...] = (
    'boost_control.target={ speed = [2250, 3000, 4500, 6500], unit = "rpm", value = [145, 160, 166, 160], '
    'value_unit = "kPa", value_basis = "absolute" }',
    "wastegate.spring_rating=0.40 bar gauge",
    "coolant.pressure_test=held",
    "sensors.pressures_agree=yes",
    "sensors.exhaust_leak_test=held",
    "sensors.gate_pressure=fitted",
    "fail_safes.boost_cut_tried=yes",
    "hoses.leak_test=held",
)
