"""The rule from the inlet Mach index against a cylinder filled step by step through the same valves."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from boostwright.components.valve_train import TRAPPING_LIFT, Cam, _piston_over_valve_area
from boostwright.physics.cylinder import pumping, valves
from studies.filling import filling as study

DEGREE = math.pi / 180.0
SOUND = math.sqrt(study.GAMMA * study.GAS * study.TEMPERATURE)


@pytest.fixture(scope="module", params=study.CAMS)
def cam_and_study(request: pytest.FixtureRequest) -> tuple[Cam, np.ndarray, np.ndarray]:
    opening, closing = (angle * DEGREE for angle in request.param)
    duration = math.pi + opening + closing
    cam = Cam(
        study.VALVES,
        study.DIAMETER,
        study.LIFT,
        -opening + 0.5 * duration,
        duration,
        study.CURTAIN,
        study.THROAT,
    )
    filled, loss = study.fill(*request.param, steps=1500)
    return cam, filled, loss


def piston_speed() -> np.ndarray:
    return 2.0 * study.STROKE * study.SPEEDS / 60.0


def index(cam: Cam) -> np.ndarray:
    found = valves.inlet_mach_index_taylor(
        study.BORE, cam.diameter, float(cam.count), cam.mean_flow_coefficient, piston_speed(), SOUND
    )
    return np.asarray(found)


def test_rule_follows_the_filling(cam_and_study: tuple[Cam, np.ndarray, np.ndarray]) -> None:
    cam, filled, _ = cam_and_study
    closing = cam.middle + cam.half_duration(TRAPPING_LIFT) - math.pi
    kept = valves.share_kept_at_closing(closing, study.ROD_RATIO)
    rule = kept * valves.filling_factor_taylor(index(cam), cam.duration)
    assert np.abs(rule - filled).max() < 0.045
    assert 0.1 < index(cam)[0] < 0.2
    assert index(cam)[-1] > 1.3


def test_no_rule_passes_what_choked_valves_let_through(
    cam_and_study: tuple[Cam, np.ndarray, np.ndarray],
) -> None:
    """Choked flow through the mean area for the time it is open: 0.579 d/(pi Z)."""
    cam, filled, _ = cam_and_study
    bound = 0.579 * cam.duration / (math.pi * index(cam))
    assert (filled < bound).all()
    closing = cam.middle + cam.half_duration(TRAPPING_LIFT) - math.pi
    kept = valves.share_kept_at_closing(closing, study.ROD_RATIO)
    assert (kept * valves.filling_factor_taylor(index(cam), cam.duration) < 1.01 * bound).all()


def test_loss_of_the_intake_stroke_is_of_the_size_of_the_fillings(
    cam_and_study: tuple[Cam, np.ndarray, np.ndarray],
) -> None:
    """Within a quarter up to an index of 0.65; above it the plain orifice says too much, as its page states."""
    cam, _, loss = cam_and_study
    ratio = _piston_over_valve_area(cam, study.BORE, 0.0)
    density = study.PRESSURE / (study.GAS * study.TEMPERATURE)
    plain = np.asarray(pumping.valve_loss_orifice(piston_speed(), density, ratio))
    near = index(cam) < 0.66
    assert near.sum() >= 5
    np.testing.assert_allclose(plain[near] / loss[near], 1.0, atol=0.25)
    assert plain[-1] > 1.5 * loss[-1]


def test_written_result_is_what_the_study_gives() -> None:
    path = Path(study.__file__).with_name("result.csv")
    with path.open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["closing_deg"] == "50.0"]
    filled, _ = study.fill(15.0, 50.0)
    np.testing.assert_allclose([float(row["volumetric_efficiency"]) for row in rows], filled, atol=1e-4)
