"""Driveline losses: there and back, and what each of the two takes."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.errors import OutOfDomain
from boostwright.physics import driveline


@pytest.mark.parametrize(("share", "drag"), [(0.0, 0.0), (0.14, 0.0), (0.0, 12.0), (0.1, 8.0)])
def test_there_and_back(share: float, drag: float) -> None:
    power, speed = np.array([20e3, 150e3, 300e3]), np.array([150.0, 450.0, 700.0])
    wheel = driveline.power_at_wheels(power, speed, share, drag)
    assert (wheel <= power).all()
    np.testing.assert_allclose(driveline.power_at_crankshaft(wheel, speed, share, drag), power)


def test_by_hand() -> None:
    """150 kW at 600 rad/s: 8 N m of drag are 4.8 kW, and a tenth of the rest is lost."""
    assert float(driveline.power_at_wheels(150e3, 600.0, 0.1, 8.0)) == pytest.approx(130.68e3)


def test_a_drag_weighs_more_at_part_load() -> None:
    loss = [
        1.0 - float(driveline.power_at_wheels(power, 400.0, 0.0, 10.0)) / power for power in (20e3, 200e3)
    ]
    assert loss[0] == pytest.approx(10.0 * loss[1])


def test_a_loss_of_everything_is_refused() -> None:
    with pytest.raises(OutOfDomain, match="loss_share"):
        driveline.power_at_crankshaft(100e3, 400.0, 1.0, 0.0)
