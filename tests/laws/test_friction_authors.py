"""Friction by author on one grid: speed, peak pressure, boost; and what is left of the work at full boost."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.build import read_build
from boostwright.components.friction import friction_pressure
from boostwright.tasks.predict import predict

BUILD = Path(__file__).resolve().parents[2] / "examples" / "hill_climb_estate"
RPM = np.pi / 30.0
AUTHORS = ("sandoval-heywood", "chen-flynn", "barnes-moss")
SPEED = np.arange(1000.0, 7001.0, 500.0) * RPM
PEAK = np.arange(40e5, 121e5, 20e5)


def grid(author: str) -> np.ndarray:
    """(speeds, peaks) [Pa]; boost goes with the peak pressure, 45 of it to one of the manifold."""
    build = read_build(BUILD, [f"cylinder.friction={author}"])
    piston = 2.0 * build["engine"].si("stroke") * SPEED / (2.0 * np.pi)
    return np.stack(
        [
            friction_pressure(build, np.full(SPEED.shape, p), np.full(SPEED.shape, p / 45.0), piston, SPEED)
            for p in PEAK
        ],
        axis=1,
    )


@pytest.mark.parametrize("author", AUTHORS)
def test_it_rises_with_speed_and_never_falls_with_load(author: str) -> None:
    found = grid(author)
    assert (np.diff(found, axis=0) > 0.0).all()
    assert (np.diff(found, axis=1) >= 0.0).all()
    assert ((found > 0.5e5) & (found < 4.6e5)).all()


def test_siblings_lie_where_their_page_says() -> None:
    """Sandoval-Heywood lowest; Barnes-Moss, of older engines, highest at speed; none is an outlier at low speed."""
    by_place, chen, barnes = (grid(author) for author in AUTHORS)
    assert (by_place[2:] < chen[2:]).all()
    fast = SPEED >= 5000.0 * RPM
    assert (barnes[fast, 0] > chen[fast, 0]).all()
    slow = SPEED <= 2000.0 * RPM
    assert (np.maximum(chen, by_place)[slow] / np.minimum(chen, by_place)[slow] < 1.5).all()


def test_unboosted_total_is_below_engines_of_fifty_years_ago() -> None:
    """With its own valve loss added it stays under Barnes-Moss's total at every speed, and above half of it."""
    build = read_build(BUILD)
    piston = 2.0 * build["engine"].si("stroke") * SPEED / (2.0 * np.pi)
    own = friction_pressure(build, np.full(SPEED.shape, 55e5), np.full(SPEED.shape, 1e5), piston, SPEED)
    rpm = SPEED / RPM / 1e3
    older = 1e5 * (0.97 + 0.15 * rpm + 0.05 * rpm**2)
    assert ((own > 0.5 * older) & (own < older)).all()


@pytest.mark.parametrize("setting", ["", "cylinder.friction=barnes-moss"])
def test_what_is_left_at_full_boost(setting: str) -> None:
    """0.85 to 0.94 of the indicated work at full boost: computed from a published split (28 to 29 of 31 to 32 parts).

    The default holds the band over the whole speed range; Barnes-Moss falls out of it at the top, which is why it is
    no default."""
    p = predict(BUILD, settings=[setting] if setting else [])
    share = p["power"] / (p["power"] + p["friction_power"])
    if setting:
        assert share[-1] < 0.82
    else:
        assert ((share > 0.85) & (share < 0.945)).all()
