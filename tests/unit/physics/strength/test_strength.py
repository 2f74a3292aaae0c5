"""Sections by counting small squares, columns by the eigenvalue of a bent bar, joints by their springs."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.linalg import eigh

from boostwright.errors import OutOfDomain
from boostwright.physics.strength import bolt, column, section

SIZES = {"section_depth": 24.0, "flange_width": 15.0, "flange_thickness": 4.0, "web_thickness": 3.0}


def _squares() -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    """Middles of the small squares that lie in the I of SIZES, and the area of each."""
    step = 0.05
    along, across = np.meshgrid(
        np.arange(-12.0, 12.0, step) + step / 2, np.arange(-7.5, 7.5, step) + step / 2
    )
    inside = (np.abs(along) > 8.0) | (np.abs(across) < 1.5)
    return along[inside], across[inside], step**2


def test_an_i_is_the_sum_of_its_squares() -> None:
    along, across, each = _squares()
    assert section.i_section_area(**SIZES) == pytest.approx(along.size * each, rel=1e-6)
    strong, weak = (float(np.sum(places**2)) * each for places in (along, across))
    assert section.i_section_second_moment_strong(**SIZES) == pytest.approx(strong, rel=1e-4)
    assert section.i_section_second_moment_weak(**SIZES) == pytest.approx(weak, rel=1e-4)


@pytest.mark.parametrize(("ends", "condition"), [("hinged", 1.0), ("clamped", 4.0)])
def test_eulers_force_is_the_first_eigenvalue_of_a_bent_bar(ends: str, condition: float) -> None:
    """Beam elements, stiffness against the geometric stiffness of an axial force."""
    area, length, radius, modulus = 180e-6, 0.9, 5e-3, 207e9
    n = 24
    h, bending = length / n, modulus * area * radius**2
    k = bending / h**3 * np.array(
        [[12, 6 * h, -12, 6 * h], [6 * h, 4 * h**2, -6 * h, 2 * h**2],
         [-12, -6 * h, 12, -6 * h], [6 * h, 2 * h**2, -6 * h, 4 * h**2]])  # fmt: skip
    g = 1.0 / (30 * h) * np.array(
        [[36, 3 * h, -36, 3 * h], [3 * h, 4 * h**2, -3 * h, -(h**2)],
         [-36, -3 * h, 36, -3 * h], [3 * h, -(h**2), -3 * h, 4 * h**2]])  # fmt: skip
    stiff, soft = np.zeros((2 * n + 2, 2 * n + 2)), np.zeros((2 * n + 2, 2 * n + 2))
    for i in range(n):
        here = slice(2 * i, 2 * i + 4)
        stiff[here, here] += k
        soft[here, here] += g
    held = [0, 2 * n] if ends == "hinged" else [0, 1, 2 * n, 2 * n + 1]
    free = np.setdiff1d(np.arange(2 * n + 2), held)
    lowest = 1.0 / eigh(soft[np.ix_(free, free)], stiff[np.ix_(free, free)], eigvals_only=True)[-1]
    found = column.column_force_euler(area, length, radius, modulus, condition)
    assert found == pytest.approx(lowest, rel=1e-4)


def test_johnson_and_euler_meet_at_half_the_yield_strength() -> None:
    for ends in (0.25, 1.0, 4.0):
        edge = float(column.transition_slenderness(550e6, 207e9, ends))
        below, above = (
            column.column_force_johnson(1e-4, edge * share, 1.0, 550e6, 207e9, ends)
            for share in (0.999, 1.001)
        )
        assert below == pytest.approx(above, rel=5e-3)
        assert below == pytest.approx(0.5 * 550e6 * 1e-4, rel=5e-3)


def test_rankine_lies_below_both_and_comes_to_crushing_and_to_euler() -> None:
    slender = np.linspace(1.0, 400.0, 80)
    ends, strength, modulus = 1.0, 550e6, 207e9
    constant = column.rankine_constant(strength, modulus, ends)
    rankine = column.column_force_rankine(1e-4, slender, 1.0, strength, constant)
    assert (rankine < column.column_force_johnson(1e-4, slender, 1.0, strength, modulus, ends)).all()
    assert (np.diff(rankine) < 0.0).all()
    assert rankine[0] == pytest.approx(strength * 1e-4, rel=1e-3)
    assert rankine[-1] == pytest.approx(column.column_force_euler(1e-4, 400.0, 1.0, modulus, ends), rel=0.05)


@pytest.mark.parametrize("share", [0.1, 0.25, 0.5])
def test_a_joint_opens_and_a_bolt_yields_where_two_springs_say(share: float) -> None:
    """Bolt and parts as springs side by side: the clamp is gone, or the bolt at its proof load, at that pull."""
    preload, proof = 30e3, 42e3
    opens = float(bolt.pull_at_separation(preload, share))
    assert preload - (1.0 - share) * opens == pytest.approx(0.0, abs=1e-6)
    passes = float(bolt.pull_at_proof_load(proof, preload, share))
    assert preload + share * passes == pytest.approx(proof)


def test_a_bolt_in_thick_parts_takes_the_smaller_share() -> None:
    shares = []
    for grip in (0.02, 0.04, 0.08):
        own = bolt.shank_stiffness(bolt.bolt_stress_area(9e-3, 1e-3), grip, 205e9)
        shares.append(float(own / (own + bolt.joint_stiffness_wileman(9e-3, grip, 205e9))))
    assert all(after < before for before, after in itertools.pairwise(shares))
    assert 0.05 < shares[-1] < shares[0] < 0.3


@pytest.mark.parametrize("bad", [0.0, -1.0, np.nan])
def test_a_size_not_above_zero_has_no_section(bad: float) -> None:
    with pytest.raises(OutOfDomain, match="web_thickness"):
        section.i_section_area(**{**SIZES, "web_thickness": bad})
    with pytest.raises(OutOfDomain, match="length"):
        column.column_force_euler(1e-4, bad, 5e-3, 207e9, 1.0)
