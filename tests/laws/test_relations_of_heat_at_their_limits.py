"""Heat, cylinder, sensors and bolts where a sceptic looks first."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boostwright.errors import OutOfDomain
from boostwright.physics import fuel_system, lambda_probe, road_load
from boostwright.physics.cylinder import (
    breathing,
    definitions,
    knock,
    residual_gas,
    slider_crank,
    trapped_charge,
)
from boostwright.physics.heat import convection, exchanger, probe, probe_lag, radiation
from boostwright.physics.strength import bolt
from boostwright.physics.turbo import compression

HOT = st.floats(600.0, 1300.0)
calmly = settings(deadline=None, derandomize=True, max_examples=60)


# Heat: no difference, both ways round, all of it.


@calmly
@given(hot=HOT, cold=st.floats(250.0, 590.0), one=st.floats(0.05, 1.0), other=st.floats(0.05, 1.0))
def test_radiation_is_the_same_both_ways_and_never_more_than_black(
    hot: float, cold: float, one: float, other: float
) -> None:
    there = float(radiation.exchange_parallel_plates(hot, cold, one, other))
    assert there == pytest.approx(
        -float(radiation.exchange_parallel_plates(cold, hot, other, one)), rel=1e-12
    )
    black = float(radiation.black_body_emission(hot) - radiation.black_body_emission(cold))
    assert there <= black * (1.0 + 1e-12)
    assert float(radiation.exchange_parallel_plates(hot, hot, one, other)) == 0.0
    around = float(radiation.exchange_concentric_cylinders(hot, cold, one, other, 0.0))
    assert around == pytest.approx(float(radiation.exchange_small_body(one, hot, cold)), rel=1e-12)
    shield = radiation.shield_resistance(one, other)
    shielded = float(radiation.exchange_parallel_plates(hot, cold, one, other, shield))
    assert shielded < there
    between = float(radiation.shield_temperature(hot, shielded, one, one))
    assert cold - 1e-9 <= between <= hot


@calmly
@given(
    units=st.floats(0.0, 8.0),
    ratio=st.floats(0.01, 1.0),
    hot=st.floats(320.0, 500.0),
    cold=st.floats(260.0, 310.0),
)
def test_a_cooler_cools_towards_its_coolant_only(units: float, ratio: float, hot: float, cold: float) -> None:
    for form in (
        exchanger.effectiveness_counterflow,
        exchanger.effectiveness_crossflow_unmixed,
        exchanger.effectiveness_crossflow_one_mixed,
    ):
        share = float(form(units, ratio))
        assert 0.0 <= share <= 1.0
        assert share <= 1.0 - np.exp(-units) + 1e-9, "an unlimited coolant is the most there is"
        assert float(form(0.0, ratio)) == pytest.approx(0.0, abs=1e-12)
        out = float(exchanger.outlet_temperature(hot, cold, share))
        assert cold - 1e-9 <= out <= hot + 1e-9
        # the coolant's gain is the charge's loss
        assert cold + ratio * (hot - out) <= hot + 1e-9


@pytest.mark.parametrize("as_given", [float, np.array], ids=["float", "array"])
def test_nothing_to_divide_by_is_infinite_for_a_float_as_for_an_array(as_given) -> None:  # type: ignore[no-untyped-def]
    warm, cold = as_given(330.0), as_given(300.0)
    assert np.isinf(exchanger.effectiveness(warm, cold, warm))
    assert np.isinf(compression.efficiency_from_temperatures(warm, warm, as_given(2.0), as_given(1.4)))


@calmly
@given(gas=HOT, wall=st.floats(300.0, 1300.0), h=st.floats(30.0, 3000.0), emissivity=st.floats(0.0, 1.0))
def test_a_probe_settles_between_gas_and_wall(gas: float, wall: float, h: float, emissivity: float) -> None:
    seen = float(probe.probe_temperature(gas, wall, emissivity, h))
    assert min(gas, wall) - 1e-3 <= seen <= max(gas, wall) + 1e-3
    assert gas - seen == pytest.approx(float(probe.radiation_error(emissivity, seen, wall, h)), abs=0.05)
    assert float(probe.probe_temperature(gas, wall, 0.0, h)) == pytest.approx(gas)


def test_a_probe_that_is_not_in_the_gas_is_its_wall_and_a_deep_one_is_not() -> None:
    def short(depth: float) -> float:
        return float(probe.conduction_error(1100.0, 900.0, 3e-3, depth, 25.0, 400.0))

    assert short(0.0) == pytest.approx(200.0)
    assert short(0.2) == pytest.approx(0.0, abs=1e-3)
    assert np.all(np.diff([short(d) for d in (0.0, 0.01, 0.02, 0.04)]) < 0.0)


@calmly
@given(d=st.floats(3e-4, 6e-3), h=st.floats(100.0, 2000.0))
def test_lags_of_shapes_and_flows(d: float, h: float) -> None:
    """Volume over surface: d/4 of a wire, d/6 of a ball; still gas (Re 0) leaves a ball its Nusselt number of 2."""
    assert float(probe.lag_sphere(d, 8600.0, 530.0, h)) == pytest.approx(
        2.0 / 3.0 * float(probe.lag_wire(d, 8600.0, 530.0, h))
    )
    assert float(probe.nusselt_ranz_marshall(0.0, 0.7)) == 2.0
    assert float(probe_lag.lag_at_flow(1.0, 0.1, 0.1, 0.5)) == 1.0
    assert float(probe_lag.lag_at_flow(1.0, 0.4, 0.1, 0.5)) == pytest.approx(0.5)
    assert float(probe.first_order_response(600.0, 900.0, 0.0, 1.5)) == 600.0
    assert float(probe.first_order_response(600.0, 900.0, 60.0, 1.5)) == pytest.approx(900.0)
    assert float(probe.recovery_error(150.0, 1250.0, 1.0)) == 0.0


def test_nusselt_numbers_of_pipes_are_of_one_size() -> None:
    """Dittus-Boelter beside Petukhov-Gnielinski (Incropera eq. 8.62, from memory), gas: within 15 %."""
    for reynolds in (1.5e4, 5e4, 1e5):
        f = (0.790 * np.log(reynolds) - 1.64) ** -2
        gnielinski = (
            f / 8.0 * (reynolds - 1000.0) * 0.7 / (1.0 + 12.7 * np.sqrt(f / 8.0) * (0.7 ** (2 / 3) - 1.0))
        )
        assert float(convection.nusselt_dittus_boelter(reynolds, 0.7)) == pytest.approx(gnielinski, rel=0.15)


# Cylinder.


@calmly
@given(stroke=st.floats(0.06, 0.11), ratio=st.floats(1.3, 4.0), angle=st.floats(-7.0, 7.0))
def test_piston_is_symmetric_and_periodic(stroke: float, ratio: float, angle: float) -> None:
    rod = ratio * stroke
    travel = float(slider_crank.piston_travel(angle, stroke, rod))
    assert travel == pytest.approx(float(slider_crank.piston_travel(-angle, stroke, rod)), abs=1e-12)
    assert travel == pytest.approx(
        float(slider_crank.piston_travel(angle + 2.0 * np.pi, stroke, rod)), abs=1e-12
    )
    assert -1e-12 <= travel <= stroke + 1e-12
    # what a rod of length l leaves is r^2/(2 l) at most: stroke/8e4
    endless = float(slider_crank.piston_travel(angle, stroke, 1e4 * stroke))
    assert endless == pytest.approx(0.5 * stroke * (1.0 - np.cos(angle)), abs=1.3e-5 * stroke)
    assert float(slider_crank.rod_force_along(1e4, angle, stroke, rod)) >= 1e4 * (1.0 - 1e-12)


@pytest.mark.parametrize(
    ("relation", "arguments"),
    [(slider_crank.piston_travel, (1.0, 0.1, 0.05)), (slider_crank.rod_force_along, (1e4, 1.0, 0.1, 0.05))],
)
def test_a_crank_that_cannot_turn_over_is_refused(relation, arguments) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfDomain, match="a rod longer than half the stroke"):
        relation(*arguments)


@calmly
@given(torque=st.floats(10.0, 900.0), volume=st.floats(8e-4, 6e-3), speed=st.floats(50.0, 900.0))
def test_torque_pressure_and_power_say_the_same(torque: float, volume: float, speed: float) -> None:
    """P = p_me V n/2, with n turns a second."""
    pressure = float(definitions.brake_mean_effective_pressure(torque, volume))
    assert float(definitions.torque_from_mean_effective_pressure(pressure, volume)) == pytest.approx(torque)
    power = float(definitions.brake_power(torque, speed))
    assert power == pytest.approx(pressure * volume * speed / (4.0 * np.pi), rel=1e-12)


@calmly
@given(fresh=st.floats(0.1, 1.0), residual=st.floats(0.0, 0.3), t=st.floats(280.0, 380.0), hot=HOT)
def test_mixing_keeps_the_enthalpy(fresh: float, residual: float, t: float, hot: float) -> None:
    mixed = float(trapped_charge.temperature_of_mixed_charge(fresh, t, residual, hot, 0.0, 0.0))
    assert min(t, hot) - 1e-9 <= mixed <= max(t, hot) + 1e-9
    assert (fresh + residual) * mixed == pytest.approx(fresh * t + residual * hot, rel=1e-12)
    assert float(trapped_charge.temperature_of_mixed_charge(fresh, t, 0.0, hot, 0.0, 0.0)) == pytest.approx(t)


def test_blowdown_and_cooling_at_their_ends() -> None:
    assert float(residual_gas.temperature_after_blowdown(1600.0, 2e5, 2e5, 0.23)) == 1600.0
    assert float(residual_gas.temperature_after_exhaust_stroke(1500.0, 480.0, 0.0)) == 1500.0
    assert float(residual_gas.temperature_after_exhaust_stroke(1500.0, 480.0, 50.0)) == pytest.approx(480.0)


@calmly
@given(ratio=st.floats(0.6, 3.0), rc=st.floats(7.0, 13.0), gamma=st.floats(1.25, 1.4))
def test_filling_and_residual_are_one_where_they_must(ratio: float, rc: float, gamma: float) -> None:
    for form in (breathing.backpressure_factor_heywood, breathing.backpressure_factor_eriksson):
        assert float(form(1.0, rc, gamma)) == pytest.approx(1.0, rel=1e-12)
        assert (float(form(ratio, rc, gamma)) - 1.0) * (1.0 - ratio) >= -1e-12
    # clearance filled with burned gas at the manifold's own state: xr = 1/rc
    assert float(breathing.residual_fraction_ideal(1.0, rc, gamma, 0.0)) == pytest.approx(1.0 / rc)
    assert (
        float(breathing.overlap_backflow_volume(1.5e5, 1.5e5, 1100.0, 320.0, 289.0, 287.0, 1e-5, 300.0))
        == 0.0
    )


def test_octane_hundred_is_the_bare_constant() -> None:
    """17.68 ms exp(3800/T) at 1 atm and octane 100."""
    assert float(knock.ignition_delay_douaud_eyzat(101325.0, 800.0, 100.0)) == pytest.approx(
        17.68e-3 * np.exp(3800.0 / 800.0), rel=1e-12
    )


# Sensors, fuel system, road, bolts.


@calmly
@given(k=st.floats(1e4, 1e5))
def test_pump_current_at_its_ends(k: float) -> None:
    p0 = lambda_probe.REFERENCE_PRESSURE
    assert float(lambda_probe.pump_current_pressure_factor(p0, p0, k)) == pytest.approx(1.0)
    endless = float(lambda_probe.pump_current_pressure_factor(1e12, p0, k))
    assert endless == pytest.approx(1.0 + k / p0, rel=1e-6)
    thin = float(lambda_probe.pump_current_pressure_factor(1.0, p0, k))
    assert thin == pytest.approx((k + p0) / (k * p0), rel=1e-3), "at low pressure in proportion to it"
    assert float(lambda_probe.pump_current(1.003)) == 0.0


@calmly
@given(flow=st.floats(1e-4, 0.05), speed=st.floats(80.0, 800.0))
def test_injectors_and_a_pump_at_their_references(flow: float, speed: float) -> None:
    assert float(fuel_system.injector_mass_flow(flow, 3e5, 3e5, 745.0, 745.0)) == pytest.approx(flow)
    assert float(fuel_system.injector_mass_flow(flow, 0.0, 3e5, 745.0, 745.0)) == 0.0
    one = float(fuel_system.injector_duty(flow, 4.0, 0.01, speed, 0.0, 1.0, 4.0 * np.pi))
    assert one == pytest.approx(flow / 0.04), (
        "without dead time duty is share of the flow, whatever the speed"
    )
    assert float(fuel_system.pump_flow_at_voltage(5e-5, 7e-5, 13.5, 13.5)) == pytest.approx(5e-5)


def test_road_load_of_a_parked_car_is_its_weight_along_the_slope() -> None:
    assert float(road_load.road_load_force(1500.0, 0.0, 0.7, 1.2, 0.0, 0.1)) == pytest.approx(
        1500.0 * 9.80665 * 0.1
    )
    slow, fast = (float(road_load.road_load_force(0.0, 0.01, 0.7, 1.2, v, 0.0)) for v in (20.0, 40.0))
    assert fast == pytest.approx(4.0 * slow)


@calmly
@given(force=st.floats(1e3, 1e5), d=st.sampled_from([(0.008, 0.00125), (0.010, 0.0015), (0.012, 0.00175)]))
def test_a_bolt_without_friction_is_a_screw(force: float, d: tuple[float, float]) -> None:
    """Torque times a turn is force times pitch: F P/(2 pi) = 0.159 F P, which VDI 2230 rounds to 0.16."""
    torque = float(bolt.tightening_torque_vdi_2230(force, d[0], d[1], 1e-9, 1.4 * d[0]))
    assert torque == pytest.approx(force * d[1] / (2.0 * np.pi), rel=6e-3)
    tight = [float(bolt.assembly_preload_vdi_2230(d[0], d[1], 640e6, mu)) for mu in (0.05, 0.12, 0.20)]
    assert tight[0] > tight[1] > tight[2] > 0.0
    area = float(bolt.bolt_stress_area(*d))
    assert tight[0] < 0.9 * 640e6 * area, "twist leaves less than the pull alone would"
