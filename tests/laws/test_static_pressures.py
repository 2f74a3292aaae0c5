"""The static pressure that a prediction gives for a wall tap, by continuity worked out anew."""

from __future__ import annotations

import math
import shutil
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from boostwright.tasks.predict import predict

ESTATE = Path(__file__).parents[2] / "examples" / "hill_climb_estate"


def _static(total: float, flow: float, temperature: float, bore: float) -> float:
    """p_s at which density times area times velocity is the flow, velocity from the fall of enthalpy."""
    gas, gamma = 289.0, 1.3
    heat = gas * gamma / (gamma - 1.0)

    def excess(static: float) -> float:
        cold = temperature * (static / total) ** ((gamma - 1.0) / gamma)
        velocity = math.sqrt(2.0 * heat * (temperature - cold))
        return static / (gas * cold) * math.pi / 4.0 * bore**2 * velocity - flow

    return float(brentq(excess, 0.6 * total, total * (1.0 - 1e-9)))


@pytest.mark.parametrize(("place", "bore"), [("em", 50e-3), ("4", 76e-3)])
def test_static_pressure_at_a_tap(tmp_path: Path, place: str, bore: float) -> None:
    folder = tmp_path / "estate"
    shutil.copytree(ESTATE, folder, ignore=shutil.ignore_patterns("logs"))
    found = predict(folder, speeds=np.array([3000.0, 5500.0]) * math.pi / 30.0)
    assert found.solved.all()
    for k in range(2):
        total, flow = found[f"pressure_{place}"][k], found["mass_flow_exhaust"][k]
        wanted = _static(total, flow, found[f"temperature_{place}"][k], bore)
        assert found[f"pressure_{place}_static"][k] == pytest.approx(wanted, rel=2e-3)
        assert 0.7 * total < wanted < 0.999 * total
