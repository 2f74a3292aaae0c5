"""Force on the road and the mass of turning parts, against sums by hand."""

from __future__ import annotations

import pytest

from boostwright.errors import OutOfDomain
from boostwright.physics.road_load import STANDARD_GRAVITY, equivalent_mass, road_load_force


def test_force_by_hand() -> None:
    """1200 kg, 0.012, 0.65 m2 in 1.2 kg/m3 at 30 m/s on 2 % uphill: 141.2 + 235.4 + 351.0 N."""
    assert road_load_force(1200.0, 0.012, 0.65, 1.2, 30.0, 0.02) == pytest.approx(
        141.216 + 235.360 + 351.0, abs=0.01
    )
    assert road_load_force(1000.0, 0.0, 0.0, 1.2, 30.0, 0.0) == 0.0
    assert STANDARD_GRAVITY == 9.80665


def test_mass_by_energy() -> None:
    """Kinetic energy of car and wheels over v^2/2: 1200 kg and 4 kg m2 at 0.3 m."""
    v = 20.0
    energy = 0.5 * 1200.0 * v**2 + 0.5 * 4.0 * (v / 0.3) ** 2
    assert equivalent_mass(1200.0, 4.0, 0.3) == pytest.approx(2.0 * energy / v**2)


def test_what_has_no_meaning_is_refused() -> None:
    with pytest.raises(OutOfDomain, match="radius"):
        equivalent_mass(1000.0, 1.0, 0.0)
    with pytest.raises(OutOfDomain, match="mass"):
        road_load_force(-1.0, 0.01, 0.6, 1.2, 10.0, 0.0)
