"""Exchangers, probes and radiation: limits, inverses, order of arrangements."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boostwright.physics.heat import exchanger, probe, radiation

UNITS = st.floats(0.05, 6.0)
CAPACITY = st.floats(0.02, 1.0)


@given(units=UNITS, capacity=CAPACITY)
def test_counterflow_is_best_and_all_stay_below_one(units: float, capacity: float) -> None:
    counter = exchanger.effectiveness_counterflow(units, capacity)
    cross = exchanger.effectiveness_crossflow_unmixed(units, capacity)
    mixed = exchanger.effectiveness_crossflow_one_mixed(units, capacity)
    assert 0.0 < cross < 1.0
    assert cross <= counter + 0.005
    assert mixed <= counter + 1e-12


@pytest.mark.parametrize(
    "form",
    [exchanger.effectiveness_counterflow, exchanger.effectiveness_crossflow_one_mixed],
    ids=lambda relation: relation.__name__,
)
def test_unlimited_coolant_leaves_one_formula(form) -> None:  # type: ignore[no-untyped-def]
    assert form(1.3, 1e-9) == pytest.approx(1.0 - np.exp(-1.3), rel=1e-6)


def test_counterflow_has_no_hole_at_equal_rates() -> None:
    near = exchanger.effectiveness_counterflow(2.0, np.array([1.0 - 1e-6, 1.0 - 1e-12, 1.0]))
    np.testing.assert_allclose(near, 2.0 / 3.0, rtol=1e-6)


def _exact_crossflow(units: float, capacity: float) -> float:
    """Both streams unmixed, the two heat balances marched over a grid of 400 by 400 cells (centred)."""
    cells = 400
    hot = np.ones(cells)  # the smaller rate, entering at 1, one value a channel
    step_hot, step_cold = units / cells, units * capacity / cells
    outlet = np.empty(cells)
    for row in range(cells):
        temperature = 0.0
        for column in range(cells):
            a, b = step_hot / 2.0, step_cold / 2.0
            h, c = hot[column], temperature
            # centred: dh = -A (h + h' - c - c')/2, dc = +B (h + h' - c - c')/2
            flux = (h - c) / (1.0 + a + b)
            hot[column] = h - 2.0 * a * flux
            temperature = c + 2.0 * b * flux
        outlet[row] = temperature
    return float(outlet.mean() / capacity)


@pytest.mark.parametrize(("units", "capacity"), [(1.0, 0.3), (2.5, 0.5), (4.0, 0.9)])
def test_unmixed_approximation_against_the_marched_exchanger(units: float, capacity: float) -> None:
    approximation = exchanger.effectiveness_crossflow_unmixed(units, capacity)
    assert approximation == pytest.approx(_exact_crossflow(units, capacity), abs=0.01)


def test_effectiveness_and_outlet_are_inverse() -> None:
    outlet = exchanger.outlet_temperature(420.0, 300.0, 0.7)
    assert exchanger.effectiveness(420.0, outlet, 300.0) == pytest.approx(0.7)
    assert exchanger.number_of_transfer_units(300.0, 150.0) == pytest.approx(2.0)


@given(gas=st.floats(700.0, 1400.0), below=st.floats(10.0, 500.0), h=st.floats(100.0, 2000.0))
def test_probe_settles_where_the_balance_is(gas: float, below: float, h: float) -> None:
    reading = probe.probe_temperature(gas, gas - below, 0.8, h)
    assert gas - below < reading < gas
    error = probe.radiation_error(0.8, reading, gas - below, h)
    assert reading + error == pytest.approx(gas, abs=1e-6)


def test_faster_gas_shrinks_radiation_error_and_lag() -> None:
    slow, fast = probe.nusselt_scadron_warshawsky(np.array([400.0, 1600.0]), 0.7)
    assert fast == pytest.approx(2.0 * slow)
    assert probe.lag_wire(3e-3, 8600.0, 530.0, fast) < probe.lag_wire(3e-3, 8600.0, 530.0, slow)
    assert probe.lag_sphere(3e-3, 8600.0, 530.0, 500.0) < probe.lag_wire(3e-3, 8600.0, 530.0, 500.0)


def test_recovery_error_is_what_the_factor_leaves() -> None:
    head = probe.dynamic_temperature(150.0, 1250.0)
    assert probe.recovery_error(150.0, 1250.0, 1.0) == pytest.approx(0.0)
    assert probe.recovery_error(150.0, 1250.0, 0.0) == pytest.approx(float(head))


def test_first_order_at_one_time_constant() -> None:
    assert probe.first_order_response(0.0, 1.0, 2.0, 2.0) == pytest.approx(1.0 - np.exp(-1.0))


def test_cylinders_of_equal_area_are_plates() -> None:
    plates = radiation.exchange_parallel_plates(900.0, 400.0, 0.8, 0.6)
    cylinders = radiation.exchange_concentric_cylinders(900.0, 400.0, 0.8, 0.6, 1.0)
    assert cylinders == pytest.approx(float(plates))


def test_heat_flows_from_hot_to_cold() -> None:
    assert radiation.exchange_small_body(0.8, 400.0, 900.0) < 0.0
    assert radiation.exchange_parallel_plates(500.0, 500.0, 0.8, 0.8) == pytest.approx(0.0)


def test_shield_lies_between() -> None:
    added = radiation.shield_resistance(0.1, 0.1)
    flux = radiation.exchange_parallel_plates(1000.0, 350.0, 0.8, 0.9, added)
    temperature = radiation.shield_temperature(1000.0, flux, 0.8, 0.1)
    assert 350.0 < temperature < 1000.0
    behind = radiation.exchange_parallel_plates(temperature, 350.0, 0.1, 0.9)
    assert behind == pytest.approx(float(flux), rel=1e-9), "what reaches the shield leaves it"
