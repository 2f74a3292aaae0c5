"""A plan's table and its spring, written into the build they were made for, hold what the plan says."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from boostwright.tasks.plan import plan
from boostwright.tasks.predict import predict

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


@pytest.mark.parametrize("risk_samples", [0, 100])
def test_the_table_with_its_own_spring_is_held(risk_samples: int) -> None:
    folder = EXAMPLES / "hill_climb_estate"
    found = plan(folder, settings=["plan.parts="], samples=risk_samples)  # each part is a plan of its own
    assert found.spring is not None
    assert found.spring.chosen is not None
    known = np.isfinite(found.target)
    speeds = ", ".join(f"{speed * 30.0 / math.pi:.6g}" for speed in found.speeds[known])
    values = ", ".join(f"{pressure / 1e3:.6g}" for pressure in found.target[known])
    written = predict(
        folder,
        mode="target",
        settings=[
            f'boost_control.target={{ speed = [{speeds}], unit = "rpm", value = [{values}], value_unit = "kPa", '
            'value_basis = "absolute" }',
            f"wastegate.spring_rating={found.spring.chosen.rating / 1e5:.6g} bar gauge",
        ],
        speeds=found.speeds[known],
    )
    over = written["pressure_im"] - found.target[known]
    assert np.nanmax(over) < 1.0  # Pa
    held = np.array(written.binding_limit) == "boost-target"
    assert np.all(np.abs(over[held]) < 1.0)
    assert set(written.binding_limit) <= {"boost-target", "spool"}
    assert held.sum() > 0.7 * known.sum()
