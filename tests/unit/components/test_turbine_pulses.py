"""Pulses: the averaged table against integrals done elsewhere, its limits, and the solver's own reading of a table."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from boostwright.components.turbine import TurbineTable, turbine_from_one_number
from boostwright.components.turbine_lookup import RatioRows, turbine_at
from boostwright.components.turbine_pulses import (
    LARGEST_AMPLITUDE,
    PulsingTurbine,
    deepest_trough,
    pulse_amplitude_by_rule,
    pulse_averaged,
    pulsing_turbine,
)
from boostwright.solve.kernel.turbine import turbine_flow_and_efficiency

CHOKED, PEAK, BEST = 2.2e-5, 0.70, 0.65
K = 0.30 / 1.30
RPM = np.pi / 30.0


@pytest.fixture(scope="module")
def turbine() -> TurbineTable:
    return turbine_from_one_number(CHOKED, 0.06, PEAK, BEST)


def over_a_pulse(f: Callable[[float], float]) -> float:
    """Mean over one turn of the phase, by adaptive quadrature."""
    return float(quad(lambda angle: f(float(np.sin(angle))), -np.pi / 2, np.pi / 2, epsabs=1e-11)[0] / np.pi)


def by_hand(ratio: float, blade: float, amplitude: float) -> tuple[float, float]:
    """Flow factor and efficiency of the one-number turbine from its formulas alone, without any table."""
    amplitude = min(amplitude, 1.0 - 1.0 / ratio)

    def swallow(r: float) -> float:
        return float(np.sqrt(max(1.0 - r**-2.3633, 0.0)))

    def drop(r: float) -> float:
        return 1.0 - max(r, 1.0) ** -K

    def efficiency_of(here: float) -> float:
        inside = min(here, 1.4)  # beyond it the solver goes on along the slope
        slope = -2.0 * PEAK * (inside - BEST) / BEST**2
        return PEAK * (1.0 - ((inside - BEST) / BEST) ** 2) + slope * (here - inside)

    def gas(s: float, level: float) -> float:
        p = 1.0 + amplitude * s
        return swallow(ratio * p) * p / np.sqrt(level * p**K)

    def enthalpy_left(level: float) -> float:
        passes = over_a_pulse(lambda s: gas(s, level))
        return over_a_pulse(lambda s: gas(s, level) * level * (1.0 + amplitude * s) ** K) / passes - 1.0

    level = brentq(enthalpy_left, 0.8, 1.2, xtol=1e-12)

    def power(s: float) -> float:
        p = 1.0 + amplitude * s
        warmth = level * p**K
        at = drop(ratio * p)
        if at <= 1e-12:
            return 0.0
        here = blade * np.sqrt(drop(ratio) / (at * warmth))
        return float(gas(s, level) * efficiency_of(here) * at * warmth)

    flow = over_a_pulse(lambda s: gas(s, level))
    return flow / swallow(ratio), over_a_pulse(power) / (flow * drop(ratio))


def at(table: np.ndarray, ratio: float, blade: float) -> tuple[float, float]:
    flow, efficiency = turbine_at(table, np.array([ratio]), np.array([blade]))
    return float(flow[0]), float(efficiency[0])


def test_no_pulses_is_the_very_same_table(turbine: TurbineTable) -> None:
    assert pulse_averaged(turbine.table, 0.0) is turbine.table
    assert PulsingTurbine(turbine).table(0.0) is turbine.table
    rows, index = PulsingTurbine(turbine).tables(np.zeros(5))
    assert rows.shape == (1, turbine.table.size)
    assert (rows[0] == turbine.table).all()
    assert (index == 0).all()


def test_a_table_is_read_as_the_solver_reads_it(turbine: TurbineTable) -> None:
    rng = np.random.default_rng(7)
    ratio = np.concatenate([rng.uniform(0.7, 7.0, 300), [0.999, 1.0, 1.0005, 1.002]])
    blade = rng.uniform(0.0, 2.5, ratio.size)
    flow, efficiency = turbine_at(turbine.table, ratio, blade)
    for i, (r, b) in enumerate(zip(ratio, blade, strict=True)):
        kernel = turbine_flow_and_efficiency(turbine.table, r, np.log(max(r, 1.0)), b)
        assert flow[i] == pytest.approx(kernel[0], rel=1e-12, abs=1e-18)
        assert efficiency[i] == pytest.approx(kernel[1], rel=1e-11, abs=1e-13)


def test_rows_are_read_as_single_states_are(turbine: TurbineTable) -> None:
    rng = np.random.default_rng(8)
    ratio, blade = rng.uniform(0.8, 7.0, 40), rng.uniform(0.0, 2.5, (40, 30))
    rows = RatioRows(turbine.table, ratio)
    flow, efficiency = rows.at(blade)
    one = turbine_at(turbine.table, np.repeat(ratio, 30), blade.ravel())
    assert flow.ravel() == pytest.approx(one[0], rel=1e-12, abs=1e-18)
    assert efficiency.ravel() == pytest.approx(one[1], rel=1e-11, abs=1e-12)
    assert (rows.at(blade, with_efficiency=False)[0] == flow).all()


@pytest.mark.parametrize("amplitude", [0.1, 0.25, 0.4, 0.6])
@pytest.mark.parametrize("ratio", [1.15, 1.4, 1.8, 2.6])
@pytest.mark.parametrize("blade", [0.45, 0.65, 0.85])
def test_averages_are_those_of_quadrature_by_hand(
    turbine: TurbineTable, amplitude: float, ratio: float, blade: float
) -> None:
    """0.4 % of flow and 0.8 points of efficiency: what the table's grid leaves beside the edge of the pulses."""
    factor, efficiency = by_hand(ratio, blade, amplitude)
    found = at(pulse_averaged(turbine.table, amplitude), ratio, blade)
    steady = CHOKED * np.sqrt(1.0 - ratio**-2.3633)
    assert found[0] / steady == pytest.approx(factor, rel=4e-3)
    assert found[1] == pytest.approx(efficiency, abs=8e-3)


def test_small_pulses_are_the_second_order_expansion(turbine: TurbineTable) -> None:
    """f + a^2/4 f'', for flow and enthalpy flow by finite differences of the steady formulas alone."""
    ratio, amplitude, step = 1.8, 0.06, 1e-3

    def gas(p: float) -> float:
        return float(np.sqrt(1.0 - (ratio * p) ** -2.3633) * p / np.sqrt(p**K))

    def curvature(f: Callable[[float], float]) -> float:
        return (f(1.0 + step) - 2.0 * f(1.0) + f(1.0 - step)) / step**2

    quarter = amplitude**2 / 4.0
    flow = 1.0 + quarter * curvature(gas) / gas(1.0)
    enthalpy = 1.0 + quarter * curvature(lambda p: gas(p) * p**K) / gas(1.0)
    # the isentrope is set so that the enthalpy that passes is the engine's: level = flow / enthalpy, flow / sqrt(level)
    expected = np.sqrt(flow * enthalpy) - 1.0
    found = at(pulse_averaged(turbine.table, amplitude, 64), ratio, BEST)[0] / gas(1.0) / CHOKED - 1.0
    assert expected < -5e-4
    assert found == pytest.approx(expected, rel=0.03)


def test_next_to_a_ratio_of_one_pulses_are_as_large_as_can_be(turbine: TurbineTable) -> None:
    """There flow goes with the root of the pressure difference, whose mean over 1 + sin is 2 sqrt(2)/pi = 0.9003.

    At an equal flow the power is then (mean of root^3)/(mean of root)^3 = 1.645 times the steady one, at an equal
    efficiency of every instant.
    """
    flat = turbine_from_one_number(
        CHOKED, 0.06, 0.7, 0.65, efficiency_width=1e3
    )  # an efficiency that hardly changes
    pulsing, steady = (pulse_averaged(flat.table, a, 400) for a in (LARGEST_AMPLITUDE, 0.0))
    ratio = 1.0 + 1.0 / 90.0
    flow, efficiency = (p / s for p, s in zip(at(pulsing, ratio, 0.65), at(steady, ratio, 0.65), strict=True))
    assert flow == pytest.approx(2.0 * np.sqrt(2.0) / np.pi, rel=6e-3)
    assert efficiency / flow**2 == pytest.approx(1.645, rel=0.02)


@pytest.mark.parametrize("ratio", [1.1, 1.3, 1.6, 2.2, 3.0])
def test_the_same_flow_gives_more_power_in_pulses(turbine: TurbineTable, ratio: float) -> None:
    """Power grows faster than flow with pressure, so a mean over a pulse can only gain (Jensen)."""
    last_flow, last_power = 2.0, 0.0
    for amplitude in (0.0, 0.1, 0.2, 0.35, 0.5):
        flow, efficiency = at(pulse_averaged(turbine.table, amplitude), ratio, 0.6)
        swallowed = flow / CHOKED
        assert swallowed <= last_flow * (1.0 + 1e-9)
        power = efficiency / (swallowed**2)
        assert power >= last_power * (1.0 - 1e-9)
        last_flow, last_power = swallowed, power


@pytest.mark.parametrize("amplitude", [0.012, 0.13, 0.17, 0.22, 0.31, 0.47, 0.59])
def test_blended_tables_stand_for_worked_out_ones(turbine: TurbineTable, amplitude: float) -> None:
    ratio = np.exp(np.linspace(0.05, 1.2, 80))
    blended, direct = PulsingTurbine(turbine).table(amplitude), pulse_averaged(turbine.table, amplitude)
    for blade in (0.4, 0.6, 0.8):
        one, other = (turbine_at(t, ratio, np.full(80, blade)) for t in (blended, direct))
        assert one[0] == pytest.approx(other[0], rel=4e-3)
        assert one[1] == pytest.approx(other[1], abs=6e-3)


def test_one_table_for_each_amplitude_met_and_no_more(turbine: TurbineTable) -> None:
    amplitudes = np.array([0.2, 0.1, 0.2, 0.0, 0.1])
    rows, index = pulsing_turbine(turbine).tables(amplitudes)
    assert rows.shape[0] == 3
    assert index.tolist() == [2, 1, 2, 0, 1]
    assert rows.flags.c_contiguous
    many, _ = pulsing_turbine(turbine).tables(np.linspace(0.0, 0.6, 5000))
    assert many.shape[0] == 301  # however many points a batch has
    assert pulsing_turbine(turbine) is pulsing_turbine(turbine)


def test_the_rule_falls_with_speed_and_with_overlap() -> None:
    speeds = np.linspace(800.0, 9000.0, 30) * RPM
    last = np.full(30, LARGEST_AMPLITUDE)
    for cylinders in (1, 2, 3, 4, 5, 6, 8, 12):
        found = pulse_amplitude_by_rule(speeds, cylinders)
        assert (found > 0.0).all()
        assert (found <= last).all()
        assert (np.diff(found) <= 0.0).all()
        last = found
    assert pulse_amplitude_by_rule(np.array([2000.0 * RPM]), 4)[0] == pytest.approx(0.21, abs=0.01)


def test_overlapping_pulses_do_not_go_down_to_the_outlet(turbine: TurbineTable) -> None:
    assert [deepest_trough(n) for n in (1, 2, 3)] == [1.0, 1.0, 1.0]
    assert deepest_trough(7) == pytest.approx(0.5)
    ratio, trough = 1.25, 0.5  # the mean stands a fifth above the outlet, so pulses end at a tenth
    assert at(pulse_averaged(turbine.table, 0.4, trough=trough), ratio, 0.6) == pytest.approx(
        at(pulse_averaged(turbine.table, 0.1), ratio, 0.6), rel=2e-3
    )
    blended = PulsingTurbine(turbine, trough).table(0.4)
    assert at(blended, ratio, 0.6) == pytest.approx(
        at(pulse_averaged(turbine.table, 0.1), ratio, 0.6), rel=4e-3
    )
    assert pulsing_turbine(turbine, 0.5) is not pulsing_turbine(turbine, 1.0)
    # where the amplitude is smaller than that, overlap changes nothing
    assert at(pulse_averaged(turbine.table, 0.1, trough=trough), 1.6, 0.6) == pytest.approx(
        at(pulse_averaged(turbine.table, 0.1), 1.6, 0.6), rel=1e-9
    )
