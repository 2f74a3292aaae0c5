"""Gas through both open valves: its sign, its size beside a published form, and what the solved engine makes of it."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from boostwright.physics.cylinder import breathing
from boostwright.physics.gas import orifice
from boostwright.tasks.predict import predict

BUILD = Path(__file__).resolve().parents[2] / "examples" / "hill_climb_estate"
RPM = np.pi / 30.0
DISPLACEMENT = 0.5e-3  # m3, of one cylinder
CAMS = tuple(
    f"breathing.{key}={value}"
    for key, value in {
        "intake_valve_diameter": "32 mm",
        "exhaust_valve_diameter": "28 mm",
        "intake_valve_lift": "9.5 mm",
        "exhaust_valve_lift": "9 mm",
        "cam_lift_basis": "1-mm",
        "intake_closing": "38 deg",
        "exhaust_opening": "40 deg",
    }.items()
)


def backflow(
    p_em: object, p_im: object, area: object = 4e-5, speed: object = 300.0, smoothing: float = 1e3
) -> np.ndarray:
    """Volume [m3] at exhaust pressure, with a piston that stands still."""
    found = breathing.overlap_backflow_volume(
        p_em, p_im, 1150.0, 320.0, 288.0, 287.05, area, speed, 0.0, smoothing
    )
    return np.asarray(found)


def mass(p_em: float, volume: object) -> np.ndarray:
    """Of exhaust gas that runs back [kg]."""
    return np.asarray(np.asarray(volume) * p_em / (288.0 * 1150.0))


def test_it_runs_towards_the_lower_pressure_and_is_smooth_through_none() -> None:
    p_em = np.linspace(140e3, 160e3, 20001)
    flow = backflow(p_em, 150e3)
    away = np.abs(p_em - 150e3) > 0.1
    assert ((flow > 0.0) == (p_em > 150e3))[away].all()
    slope = np.diff(flow) / np.diff(p_em)
    assert (slope > 0.0).all()
    assert np.abs(np.diff(slope)).max() < 0.01 * slope.max()


@pytest.mark.parametrize(("ratio", "over"), [(0.55, 0.054), (0.7, 0.030), (0.9, 0.009), (0.95, 0.004)])
def test_it_is_above_the_compressible_orifice_by_what_its_page_says(ratio: float, over: float) -> None:
    exact = orifice.mass_flow_orifice(1.0, 4e-5, 200e3, 1150.0, 200e3 * ratio, 288.0, 1.3) / 300.0
    assert float(mass(200e3, backflow(200e3, 200e3 * ratio, smoothing=1.0))) == pytest.approx(
        (1.0 + over) * float(exact), rel=0.003
    )


def fox(p_im: object, p_em: object, speed: object, factor: object) -> np.ndarray:
    """Fox's part that comes of overlap: with overlap less without."""
    with_it = breathing.residual_fraction_fox(p_im, p_em, speed, factor, 9.5, 1.0)
    return np.asarray(with_it - breathing.residual_fraction_fox(p_im, p_em, speed, 0.0, 9.5, 1.0))


def area_of(factor: object) -> np.ndarray:
    """Effective area-angle of an overlap factor: curtains pi D L with 0.65.

    Fox takes each valve over its half of the overlap, up to where both lifts are equal: there the smaller curtain
    rules, so the sum of both halves is taken as the area of the pair."""
    return np.asarray(0.65 * np.pi * np.asarray(factor) * DISPLACEMENT)


@pytest.mark.parametrize("speed", [1000.0, 1500.0, 3000.0])
@pytest.mark.parametrize("pressure_im", [45e3, 60e3, 80e3])
def test_size_is_that_of_fox_at_part_load(pressure_im: float, speed: float) -> None:
    """Within a factor of two over his range; both are for the same overlap of 1 deg/m."""
    factor = np.pi / 180.0
    back = float(mass(100e3, backflow(100e3, pressure_im, area_of(factor), speed * RPM)))
    charge = pressure_im * DISPLACEMENT / (287.0 * 330.0) * 0.9
    ratio = back / (charge + back) / float(fox(pressure_im, 100e3, speed * RPM, factor))
    assert 0.5 < ratio < 2.0


def test_trends_are_those_of_fox() -> None:
    speeds = np.array([1000.0, 2000.0, 4000.0]) * RPM
    pressures = np.array([90e3, 70e3, 50e3])
    factors = np.array([0.5, 1.0, 2.0]) * np.pi / 180.0
    assert (np.diff(fox(60e3, 100e3, speeds, factors[1])) < 0.0).all()
    assert (np.diff(backflow(100e3, 60e3, area_of(factors[1]), speeds)) < 0.0).all()
    assert (np.diff(fox(pressures, 100e3, speeds[0], factors[1])) > 0.0).all()
    assert (np.diff(backflow(100e3, pressures) / pressures) > 0.0).all()
    assert (np.diff(fox(60e3, 100e3, speeds[0], factors)) > 0.0).all()
    assert (np.diff(backflow(100e3, 60e3, area_of(factors))) > 0.0).all()


def test_residual_mass_is_added_to_and_cleared_but_never_below_none() -> None:
    back = np.linspace(-3e-4, 3e-4, 501)
    left = np.asarray(breathing.residual_mass_with_overlap(2e-5, 6e-5, back))
    assert (left > 0.0).all()
    assert (np.diff(left) > 0.0).all()
    near = np.asarray(breathing.residual_mass_with_overlap(2e-5, 6e-5, np.array([-3e-9, 0.0, 3e-9])))
    assert np.diff(near) == pytest.approx([1e-9, 1e-9], rel=1e-3)  # the same slope on both sides


def test_more_overlap_keeps_more_where_the_exhaust_stands_above_boost_and_clears_where_below() -> None:
    found = [
        predict(
            BUILD,
            settings=[
                *CAMS,
                f"breathing.intake_opening={angle} deg",
                f"breathing.exhaust_closing={angle} deg",
            ],
        )
        for angle in (-25, 2, 14)
    ]
    for less, more in pairwise(found):
        above = less["drive_pressure_ratio"] > 1.05
        below = less["drive_pressure_ratio"] < 0.93  # nearer to 1 the piston keeps more than the air clears
        assert above.any()
        assert below.any()
        assert (more["residual_fraction"][above] > less["residual_fraction"][above]).all()
        assert (more["residual_fraction"][below] < less["residual_fraction"][below]).all()


def test_a_moving_piston_leaves_a_small_difference_of_pressure_less_to_do() -> None:
    differences = np.array([1e3, 5e3, 20e3, 60e3])
    still = backflow(100e3 + differences, 100e3)
    moved = np.asarray(
        breathing.overlap_backflow_volume(
            100e3 + differences, 100e3, 1150.0, 320.0, 288.0, 287.05, 4e-5, 300.0, 2000.0
        )
    )
    share = moved / still
    assert (np.diff(share) > 0.0).all()
    assert share[0] < 0.55
    assert 0.8 < share[-1] < 1.0
