"""A curve read at many speeds at once is the one read speed by speed."""

from __future__ import annotations

import numpy as np

from boostwright.build.build import Curve


def test_along_gives_the_very_numbers_of_at() -> None:
    curve = Curve((100.0, 200.0, 350.0, 351.0), (1.0, 3.0, -2.0, 7.0))
    speeds = np.concatenate([np.linspace(0.0, 500.0, 997), np.array(curve.speed_points)])
    assert curve.along(speeds).tolist() == [curve.at(float(speed)) for speed in speeds]


def test_a_constant_holds_everywhere() -> None:
    assert Curve((0.0,), (4.2,)).along(np.array([0.0, 3.0, 900.0])).tolist() == [4.2, 4.2, 4.2]
