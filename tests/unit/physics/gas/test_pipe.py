"""Friction and fittings against the open-source fluids library; trends of the junction relations."""

from __future__ import annotations

import fluids
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boostwright.physics.gas import fittings, pipe, restriction

REYNOLDS = st.floats(4.0e3, 5.0e6)
ROUGHNESS = st.floats(0.0, 0.04)


@given(reynolds=REYNOLDS, roughness=ROUGHNESS)
def test_friction_factors(reynolds: float, roughness: float) -> None:
    colebrook = pipe.friction_factor_colebrook(reynolds, roughness)
    assert colebrook == pytest.approx(fluids.friction.Colebrook(reynolds, roughness), rel=1e-9)
    haaland = pipe.friction_factor_haaland(reynolds, roughness)
    assert haaland == pytest.approx(fluids.friction.Haaland(reynolds, roughness), rel=1e-9)
    churchill = pipe.friction_factor_churchill(reynolds, roughness)
    assert churchill == pytest.approx(fluids.friction.Churchill_1977(reynolds, roughness), rel=1e-9)
    # Siblings: the explicit forms stay by Colebrook, within what is said of them.
    assert haaland == pytest.approx(colebrook, rel=0.025)
    if reynolds > 1e4:
        assert churchill == pytest.approx(colebrook, rel=0.035)


@given(angle=st.floats(5.0, 150.0), radius=st.floats(0.6, 6.0), friction=st.floats(0.01, 0.04))
def test_bends(angle: float, radius: float, friction: float) -> None:
    expected = fluids.bend_rounded(Di=1.0, angle=angle, rc=radius, fd=friction, method="Rennels")
    assert fittings.loss_bend_rennels(np.radians(angle), radius, friction) == pytest.approx(
        expected, rel=1e-9
    )
    assert fittings.loss_mitre_rennels(np.radians(angle)) == pytest.approx(fluids.bend_miter(angle), rel=1e-9)


@given(split=st.floats(0.0, 1.0), bore=st.floats(0.02, 0.05), angle=st.floats(10.0, 90.0))
def test_branch_by_piping_practice(split: float, bore: float, angle: float) -> None:
    expected = fluids.fittings.K_branch_diverging_Crane(0.05, bore, 1.0 - split, split, angle)
    ours = fittings.loss_branch_crane(split, (0.05 / bore) ** 2, np.radians(angle))
    assert ours == pytest.approx(expected, rel=1e-9, abs=1e-12)


BRANCHES = [
    fittings.loss_branch_hager_bassett,
    fittings.loss_branch_gardel,
    fittings.loss_branch_idelchik,
]


@pytest.mark.parametrize("branch", BRANCHES, ids=lambda relation: relation.__name__)
@pytest.mark.parametrize("area_ratio", [1.0, 1.5, 2.5])
@pytest.mark.parametrize("split", [0.1, 0.3, 0.6, 1.0])
def test_a_shallower_branch_loses_less(branch, area_ratio: float, split: float) -> None:  # type: ignore[no-untyped-def]
    angles = np.radians(np.linspace(20.0, 135.0, 24))
    losses = branch(split, area_ratio, angles)
    assert np.all(np.diff(losses) > 0.0)


@pytest.mark.parametrize("branch", BRANCHES, ids=lambda relation: relation.__name__)
def test_whole_flow_round_a_square_corner(branch) -> None:  # type: ignore[no-untyped-def]
    assert 1.2 <= branch(1.0, 1.0, np.pi / 2.0) <= 1.81


@pytest.mark.parametrize("branch", BRANCHES, ids=lambda relation: relation.__name__)
def test_nothing_drawn_off_loses_about_the_whole_head(branch) -> None:  # type: ignore[no-untyped-def]
    assert branch(0.0, 2.0, np.pi / 2.0) == pytest.approx(1.0, abs=0.06)


def test_relations_part_by_the_factor_that_is_said() -> None:
    at_30 = [branch(1.0, 1.0, np.radians(30.0)) for branch in BRANCHES]
    assert max(at_30) / min(at_30) == pytest.approx(2.3, abs=0.05)


@given(flow=st.floats(0.001, 0.5), temperature=st.floats(250.0, 1200.0), down=st.floats(6e4, 3e5))
def test_restriction_from_either_end(flow: float, temperature: float, down: float) -> None:
    upstream = restriction.upstream_pressure_eriksson(2.0e8, flow, temperature, down)
    loss = restriction.pressure_loss_eriksson(2.0e8, flow, temperature, upstream)
    assert upstream - loss == pytest.approx(down, rel=1e-10)
    coefficient = restriction.restriction_coefficient_eriksson(loss, flow, temperature, upstream)
    assert coefficient == pytest.approx(2.0e8, rel=1e-10)


def test_loss_is_that_of_the_velocity_head() -> None:
    """K on the head of a 60 mm pipe and the known-point form are the same relation."""
    area = np.pi / 4.0 * 0.060**2
    density = 1.2e5 / (287.0 * 320.0)
    head = pipe.velocity_head(0.2, area, density)
    loss = pipe.pressure_loss_darcy_weisbach(0.2, 0.060, density, 0.0, 0.0, 3.0)
    assert loss == pytest.approx(3.0 * head)
    coefficient = restriction.restriction_coefficient_eriksson(loss, 0.2, 320.0, 1.2e5)
    half = restriction.pressure_loss_eriksson(coefficient, 0.1, 320.0, 1.2e5)
    assert half == pytest.approx(loss / 4.0)
