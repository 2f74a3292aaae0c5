"""Static pressures of a prediction: the total less the dynamic head, which another part of the solver works out too."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.tasks.predict import predict

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"


@pytest.mark.parametrize("name", ["hill_climb_estate", "transverse_three"])
def test_collector_static_is_total_less_its_head(name: str) -> None:
    found = predict(EXAMPLES / name, speeds=[3000 * np.pi / 30, 5000 * np.pi / 30])
    dynamic = found["pressure_em"] - found["pressure_em_static"]
    assert dynamic == pytest.approx(found["collector_head"], rel=0.06)  # compressible against rho v^2/2
    assert np.all(dynamic > 0.0)


@pytest.mark.parametrize("name", ["hill_climb_estate", "transverse_three"])
def test_downpipe_static_lies_a_little_below_total(name: str) -> None:
    found = predict(EXAMPLES / name, speeds=[3000 * np.pi / 30, 5000 * np.pi / 30])
    share = (found["pressure_4"] - found["pressure_4_static"]) / found["pressure_4"]
    assert np.all((share > 0.0) & (share < 0.2))
