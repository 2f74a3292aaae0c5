"""The gate's own motion against closed forms of a mass on a spring with dry friction (any text on mechanics)."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from boostwright.solve.transient_native import valve_motion

STIFFNESS, MASS, FRICTION = 9000.0, 0.2, 12.0
OMEGA = float(np.sqrt(STIFFNESS / MASS))
WIDE = 1.0  # m, a stop that is never met


def motion(
    start: float,
    drive: np.ndarray,
    step: float,
    *,
    rate: float = 0.0,
    damping: float = 0.0,
    friction: float = FRICTION,
    top: float = WIDE,
) -> tuple[np.ndarray, np.ndarray]:
    way = np.array([start, rate, STIFFNESS, MASS, damping, friction, top])
    return valve_motion(way, drive, step)


def test_turning_points_draw_in_by_twice_the_dead_band() -> None:
    """Coulomb friction takes 2 F/k off the amplitude each half swing, and each half swing lasts pi/omega."""
    middle, start = 0.010, 0.020
    half = np.pi / OMEGA
    lift, rate = motion(start, np.full(6, STIFFNESS * middle), half)
    away, expected = start - middle, []
    for _ in range(6):
        away -= 2.0 * FRICTION / STIFFNESS
        if away <= FRICTION / STIFFNESS:
            break
        expected.append(away)
    signs = np.array([-1.0, 1.0] * 3)[: len(expected)]
    assert lift[: len(expected)] == pytest.approx(middle + signs * expected, rel=1e-9)
    assert rate[: len(expected)] == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("parts", [1, 7, 100, 1000])
def test_result_does_not_hang_on_the_step(parts: int) -> None:
    once, _ = motion(0.004, np.full(1, 130.0), 0.05)
    many, _ = motion(0.004, np.full(parts, 130.0), 0.05 / parts)
    assert many[-1] == pytest.approx(once[-1], abs=1e-9)


def test_stands_still_within_the_dead_band() -> None:
    lift, rate = motion(0.005, 0.005 * STIFFNESS + FRICTION * np.linspace(-0.999, 0.999, 50), 1e-3)
    assert np.all(lift == 0.005)
    assert np.all(rate == 0.0)


def test_slow_force_draws_the_loop_of_dry_friction() -> None:
    """Up, the valve follows (force - F)/k; back down it first waits for 2 F, then follows (force + F)/k."""
    up = np.linspace(0.0, 120.0, 20_001)
    down = up[::-1]
    lift, _ = motion(0.0, np.concatenate([up, down]), 5e-3, damping=2.0 * 0.7 * np.sqrt(STIFFNESS * MASS))
    rising, falling = lift[: up.size], lift[up.size :]
    follows = np.maximum(up - FRICTION, 0.0) / STIFFNESS
    assert rising == pytest.approx(follows, abs=3e-5)
    waits = np.minimum(np.maximum(down + FRICTION, 0.0) / STIFFNESS, (120.0 - FRICTION) / STIFFNESS)
    assert falling == pytest.approx(waits, abs=3e-5)
    stuck = (down > 120.0 - 1.9 * FRICTION) & (down < 120.0 - 0.2 * FRICTION)
    assert np.ptp(falling[stuck]) < 1e-12  # it stands still, it does not creep


@pytest.mark.parametrize("zeta", [0.0, 0.3, 0.999, 1.0, 1.001, 2.5])
def test_damped_swing_agrees_with_a_general_integrator(zeta: float) -> None:
    damping = 2.0 * zeta * np.sqrt(STIFFNESS * MASS)

    def rates(_t: float, s: np.ndarray) -> list[float]:
        return [s[1], (100.0 - STIFFNESS * s[0] - damping * s[1]) / MASS]

    times = np.linspace(0.0, 0.06, 61)
    peer = solve_ivp(rates, (0.0, 0.06), [0.02, -0.5], t_eval=times, rtol=1e-10, atol=1e-13)
    lift, rate = motion(0.02, np.full(60, 100.0), 1e-3, rate=-0.5, damping=damping, friction=0.0, top=10.0)
    inside = peer.y[0][1:] > 0.0  # until the stop at zero is met
    inside = np.logical_and.accumulate(inside)
    assert lift[inside] == pytest.approx(peer.y[0][1:][inside], abs=1e-8)
    assert rate[inside] == pytest.approx(peer.y[1][1:][inside], abs=1e-5)


def test_stops_hold() -> None:
    lift, rate = motion(0.0, np.full(100, 500.0), 1e-3, friction=0.0, top=0.010)
    assert lift.max() == 0.010
    assert lift[-1] == 0.010
    assert rate[-1] == 0.0
    back, _ = motion(0.010, np.full(200, -50.0), 1e-3, friction=0.0, top=0.010)
    assert back[-1] == 0.0
    assert back.min() == 0.0


def test_no_work_is_made() -> None:
    """Under a steady force the energy of spring and mass never rises, by whatever steps."""
    drive = 70.0
    lift, rate = motion(0.015, np.full(400, drive), 0.37e-3, damping=3.0)
    energy = 0.5 * MASS * rate**2 + 0.5 * STIFFNESS * (lift - drive / STIFFNESS) ** 2
    assert np.all(np.diff(energy) < 1e-12)
