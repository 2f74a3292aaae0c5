"""Every relation inside the compiled solver against the published relation it stands for, on random points."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from benchmarks.random_points import CYCLE, compressor_tables, random_points_and_lambda, turbine_tables
from boostwright.components.turbine import turbine_from_one_number
from boostwright.physics.cylinder import breathing, pumping, residual_gas, trapped_charge
from boostwright.physics.gas import air as humid_air
from boostwright.physics.gas import fittings, isentropic, mixture, orifice, pipe, restriction
from boostwright.physics.turbo import actuator, poppet, turbine
from boostwright.solve.cycle_store import cycle_table
from boostwright.solve.kernel import cylinder, exhaust, gas, intake, junction
from boostwright.solve.kernel.cycle_table import cycle_outputs, outside_table
from boostwright.solve.kernel.layout import GATE_OPEN, KNOCK_LIMIT, NO_TURBO, SPARK_ANGLE, SPRING
from boostwright.solve.kernel.turbine import turbine_flow_and_efficiency
from boostwright.solve.residual import temperature_on_course

Array = NDArray[np.float64]

TABLES, HIGHEST, FLOW, DIAMETER = compressor_tables()
TURBINES = turbine_tables()
POINTS, LAMBDA = random_points_and_lambda(60, 20, TABLES, HIGHEST, FLOW, DIAMETER)
CYCLES = cycle_table(CYCLE)
EVERY = pytest.mark.parametrize("p", list(POINTS), ids=range(len(POINTS)))


def humid(p: np.void) -> Array:
    """The coefficients of the point's air as ``physics.gas.mixture`` keeps them; enthalpy zero at 298.15 K."""
    row = np.append(p["air"], 0.0)
    return np.stack([row, row])


def burned(p: np.void) -> Array:
    return np.stack([np.append(p["exhaust_low"], 0.0), np.append(p["exhaust_high"], 0.0)])


def state(p: np.void) -> tuple[float, float, float, float]:
    """A likely air flow, p_im, T_im and p_em for the point."""
    p_im = 1.4 * p["pressure_amb"]
    cycles = p["displacement"] * p["engine_speed"] / (4 * np.pi)
    return 0.9 * cycles * p_im / (287.0 * 320.0), p_im, 320.0, 1.3 * p_im


@EVERY
def test_gas_properties(p: np.void) -> None:
    for kelvin in (260.0, 298.15, 420.0, 800.0):
        assert gas.air_heat(p, kelvin) == pytest.approx(
            float(mixture.specific_heat(humid(p), kelvin)), rel=1e-12
        )
        rise = gas.air_enthalpy(p, kelvin) - gas.air_enthalpy(p, 298.15)
        assert rise == pytest.approx(float(mixture.sensible_enthalpy(humid(p), kelvin)), rel=1e-9, abs=1e-6)
        found = gas.air_temperature(p, gas.air_enthalpy(p, kelvin), kelvin + 15.0)
        assert found == pytest.approx(kelvin, abs=1e-8)
    for kelvin in (400.0, 999.9, 1000.1, 1250.0, 1700.0):
        cp = float(mixture.specific_heat(burned(p), kelvin))
        assert gas.exhaust_heat(p, kelvin) == pytest.approx(cp, rel=1e-12)
        heat = float(mixture.specific_enthalpy(burned(p), kelvin))
        assert gas.exhaust_enthalpy(p, kelvin) == pytest.approx(heat, rel=1e-12)
        found = gas.exhaust_temperature(
            p, gas.exhaust_enthalpy(p, kelvin) + 50.0 * kelvin, 50.0, kelvin - 90.0
        )
        assert found == pytest.approx(kelvin, abs=1e-7)
    # the two ranges of the published polynomials meet
    low, high = (float(mixture.specific_enthalpy(burned(p), kelvin)) for kelvin in (999.999999, 1000.0))
    assert low == pytest.approx(high, rel=1e-6)


@EVERY
def test_intake_and_charge_path(p: np.void) -> None:
    """Each station from the one before it, by the relation that the documentation names."""
    flow, _, _, _ = state(p)
    p = p.copy()
    p["mode"] = SPRING
    # a small share of the loss that a machine of this size would see, so that nothing is at its floor
    speed = 0.6 * p["shaft_speed_ceiling"]
    flow = min(flow, 0.5 * FLOW[p["compressor_index"]])
    p1, speed_c, flow_c, ratio, power, p2, t2, effect, p_bp, t_bp, p_im, t_im = intake.charge_path(
        p, TABLES, flow, speed
    )
    t1 = p["temperature_amb"]
    lost = restriction.pressure_loss_eriksson(p["intake_loss"], flow, t1, p["pressure_amb"])
    assert p1 == pytest.approx(p["pressure_amb"] - lost, rel=1e-12)
    assert speed_c == pytest.approx(speed / np.sqrt(t1 / 288.15), rel=1e-12)
    assert flow_c == pytest.approx(flow * np.sqrt(t1 / 288.15) / (p1 / 101325.0), rel=1e-12)
    assert p2 == pytest.approx(p1 * ratio, rel=1e-12)
    taken = flow * (gas.air_enthalpy(p, t2) - gas.air_enthalpy(p, t1))
    assert taken == pytest.approx(power, rel=1e-7, abs=1e-3)
    units = p["cooler_transfer_units"] * (p["cooler_flow"] / flow) ** 0.4
    assert effect == pytest.approx(p["cooler_derating"] * -np.expm1(-units), rel=1e-12)
    assert t_bp == pytest.approx(t2 - effect * (t2 - p["cooler_temperature"]), rel=1e-12)
    lost = restriction.pressure_loss_eriksson(p["cooler_loss"], flow, t2, p2)
    assert p_bp == pytest.approx(max(p2 - lost, 0.2 * p2), rel=1e-12)
    lost = restriction.pressure_loss_eriksson(p["throttle_loss"], flow, t_bp, p_bp)
    assert p_im == pytest.approx(max(p_bp - lost, 0.2 * p_bp), rel=1e-12)
    assert t_im == t_bp


@EVERY
def test_breathing(p: np.void) -> None:
    _, p_im, t_im, p_em = state(p)
    form = (
        breathing.backpressure_factor_heywood
        if p["breathing_form"]
        else breathing.backpressure_factor_eriksson
    )
    factor = float(form(p_em / p_im, p["compression_ratio"], 1.3)) / p["breathing_reference"]
    warm = (t_im / p["breathing_temperature"]) ** p["breathing_exponent"]
    wanted = breathing.mass_flow_speed_density(
        p["volumetric_efficiency"] * factor * warm,
        p_im,
        t_im,
        p["displacement"],
        p["engine_speed"],
        p["gas_constant_air"],
    )
    flow, efficiency = intake.engine_breathing(p, p_im, t_im, p_em)
    assert flow == pytest.approx(float(wanted), rel=1e-12)
    assert efficiency == pytest.approx(p["volumetric_efficiency"] * factor * warm, rel=1e-12)


@EVERY
def test_cylinder_and_manifold_keep_energy(p: np.void) -> None:
    flow, p_im, t_im, p_em = state(p)
    port, t_em, lost_port = exhaust.exhaust_gas(p, flow, p_im, t_im, p_em)
    cycle = cylinder.cylinder_cycle(p, flow, p_im, t_im, p_em)
    air, _mass, _t, _x, _angle, work, wall, taken_up = cycle[:8]
    fuel = flow * p["fuel_air_ratio"]
    cycles = p["engine_speed"] / (4 * np.pi)
    assert air * p["cylinders"] * cycles == pytest.approx(flow, rel=1e-12)
    mean = pumping.pumping_mean_effective_pressure(p_em, p_im, p["valve_loss"] * p_im)
    pumped = float(mean) * p["displacement"] * cycles
    into = fuel * p["released_heat"] + flow * gas.air_enthalpy(p, t_im) + pumped
    out = (work + wall - taken_up) * p["cylinders"] * cycles + (flow + fuel) * port + lost_port
    assert into == pytest.approx(out, rel=1e-12)
    lost = p["heat_conductance"] * (t_em - p["temperature_amb"])
    left = (flow + fuel) * float(mixture.specific_enthalpy(burned(p), t_em)) + lost
    assert left == pytest.approx((flow + fuel) * port, rel=1e-9)


@EVERY
def test_trapped_charge(p: np.void) -> None:
    """Mass, temperature and pressure at intake closing by the relations, from the same residual temperature."""
    flow, p_im, t_im, p_em = state(p)
    air, mass, temperature, residual, _a, _w, _h, taken_up, _to, _po, p_close, _log = cylinder.cylinder_cycle(
        p, flow, p_im, t_im, p_em
    )
    hot = float(temperature_on_course(np.array([p]), *(np.array([x]) for x in (flow, t_im, p_em)))[0])
    left = residual_gas.residual_mass_in_clearance(p_em, p["residual_volume"], p["gas_constant_exhaust"], hot)
    if p["overlap_opening"] > 0.0:
        back = breathing.overlap_backflow_volume(
            p_em,
            p_im,
            hot,
            t_im,
            p["gas_constant_exhaust"],
            p["gas_constant_air"],
            p["overlap_opening"] * p["residual_volume"] * p["engine_speed"],
            p["engine_speed"],
            p["overlap_piston"] * left,
        )
        left = breathing.residual_mass_with_overlap(left, p["residual_volume"], back)
    fresh = air * (1 + p["fuel_air_ratio"])
    assert mass == pytest.approx(fresh + float(left), rel=1e-12)
    assert residual == pytest.approx(float(left) / mass, rel=1e-12)
    capacities = air * p["fresh_heat"], float(left) * p["residual_heat"]
    mixed = float(
        trapped_charge.temperature_of_mixed_charge(
            capacities[0], t_im, capacities[1], hot, air * p["evaporation_heat"], 0.0
        )
    )
    warm = float(
        trapped_charge.temperature_of_mixed_charge(
            capacities[0], t_im, capacities[1], hot, air * p["evaporation_heat"], taken_up
        )
    )
    assert temperature == pytest.approx(warm + p["trapped_temperature_shift"], rel=1e-12)
    assert (warm - mixed) / (p["wall_temperature"] - mixed) == pytest.approx(p["intake_heat_share"], abs=1e-9)
    constant = (fresh * p["gas_constant_fresh"] + float(left) * p["gas_constant_exhaust"]) / mass
    assert p_close == pytest.approx(mass * constant * temperature / p["volume_closing"], rel=1e-12)


@EVERY
def test_the_points_own_polynomials_are_the_tables(p: np.void) -> None:
    """Work, wall heat and temperature from the piece a point carries, against the whole row of the table."""
    flow, p_im, t_im, p_em = state(p)
    _air, mass, temperature, residual, angle, work, wall, _u, t_open, p_open, p_close, _log = (
        cylinder.cylinder_cycle(p, flow, p_im, t_im, p_em)
    )
    row = CYCLES.rows(p["engine_speed"], LAMBDA[int(np.flatnonzero(p == POINTS)[0])])[0]
    row[8] = p["cycle"][8]
    if outside_table(row, mass, temperature, residual, angle):
        pytest.skip("outside the table's box")
    out = np.zeros(10)
    cycle_outputs(row, mass, temperature, residual, angle, out)
    bottom = p["displacement"] / p["cylinders"] + p["clearance_volume"]
    outside = trapped_charge.work_outside_closed_part(
        p_close, bottom - p["volume_closing"], p_open, p_em, bottom - p["volume_opening"]
    )
    assert work == pytest.approx(out[0] + float(outside), rel=1e-9)
    assert wall == pytest.approx(out[1], rel=1e-9)
    assert t_open == pytest.approx(out[2], rel=1e-9)
    if p["spark_form"] == KNOCK_LIMIT and angle > p["phasing"] + np.radians(1.0) and angle < np.radians(39.0):
        assert out[5] == pytest.approx(np.exp(p["spark_limit"]) * row[10], rel=0.01)
    if p["spark_form"] == SPARK_ANGLE:
        assert angle == pytest.approx(p["phasing"] + p["spark_limit"] * out[6], abs=np.radians(0.05))


@EVERY
def test_downpipe(p: np.void) -> None:
    flow, _, _, _ = state(p)
    power, t_em = 60e3 * flow, 1180.0
    p4, t4 = exhaust.downpipe(p, flow, t_em, power)
    cooled = gas.exhaust_enthalpy(p, t_em) - power / flow
    assert gas.exhaust_enthalpy(p, t4) == pytest.approx(cooled, rel=1e-9)
    wanted = restriction.upstream_pressure_eriksson(p["exhaust_loss"], flow, t4, p["pressure_amb"])
    assert p4 == pytest.approx(float(wanted), rel=1e-12)


@EVERY
def test_turbine_power_is_the_share_of_an_exact_isentropic_drop(p: np.void) -> None:
    """The kernel takes cp at mean temperatures; the integral over the polynomial is the measure."""
    for ratio, tolerance in ((1.05, 1e-4), (1.4, 1e-4), (2.0, 1e-4), (3.0, 3e-4), (4.5, 6e-4)):
        for t_em in (900.0, 1150.0, 1300.0):
            p4 = 1.1e5
            flow, power, efficiency, blade, _ = exhaust.turbine_state(
                p, TURBINES, ratio * p4, t_em, p4, 0.5 * p["shaft_speed_ceiling"]
            )
            s_end = humid_entropy(p, t_em) - p["gas_constant_exhaust"] * np.log(ratio)
            t_end = entropy_temperature(p, s_end, t_em / ratio**0.24)
            drop = gas.exhaust_enthalpy(p, t_em) - gas.exhaust_enthalpy(p, t_end)
            assert power == pytest.approx(flow * efficiency * drop, rel=tolerance)
            tip = turbine.blade_speed(2.0 * p["turbine_radius"], 0.5 * p["shaft_speed_ceiling"])
            wanted = turbine.blade_speed_ratio(tip, np.sqrt(2.0 * drop))
            assert blade == pytest.approx(float(wanted), rel=tolerance)
            swallowed = turbine.turbine_flow_sivertsson_eriksson(ratio * p4, p4, t_em, 1.0, 1e-5, 1.0, 2.3633)
            assert flow == pytest.approx(float(swallowed) * p["turbine_flow_scale"], rel=2e-4)


def humid_entropy(p: np.void, kelvin: float) -> float:
    """Temperature part of the exhaust's entropy, one continuous function over both ranges [J/(kg K)]."""
    low, high = p["exhaust_low"], p["exhaust_high"]

    def part(c: Array, t: float) -> float:
        return float(c[0] * np.log(t) + t * (c[1] + t * (c[2] / 2 + t * (c[3] / 3 + t * c[4] / 4))))

    if kelvin < 1000.0:
        return part(low, kelvin)
    return part(high, kelvin) - part(high, 1000.0) + part(low, 1000.0)


def entropy_temperature(p: np.void, entropy: float, guess: float) -> float:
    kelvin = guess
    for _ in range(60):
        kelvin *= float(np.exp((entropy - humid_entropy(p, kelvin)) / gas.exhaust_heat(p, kelvin)))
    return kelvin


def test_one_number_turbine_is_the_published_pair_of_forms() -> None:
    table = turbine_from_one_number(2.2e-5, 0.055, 0.68, 0.62, 1.1).table
    for ratio in (1.002, 1.05, 1.3, 2.0, 3.5, 5.9):
        for blade in (0.0, 0.1, 0.45, 0.62, 0.9, 1.3):
            swallow, efficiency = turbine_flow_and_efficiency(table, ratio, np.log(ratio), blade)
            wanted = turbine.turbine_flow_sivertsson_eriksson(ratio, 1.0, 1.0, 1.0, 2.2e-5, 1.0, 2.3633)
            assert swallow == pytest.approx(float(wanted) / ratio, rel=2e-4)
            curvature = 0.68 / (1.1 * 0.62) ** 2
            form = turbine.turbine_efficiency_sivertsson_eriksson(blade, 0.68, 0.62, curvature)
            assert efficiency == pytest.approx(float(form), abs=2e-4)
    # with a width of 1 it is also the parabola through rest
    narrow = turbine_from_one_number(2.2e-5, 0.055, 0.68, 0.62).table
    for blade in (0.05, 0.4, 0.8):
        _, efficiency = turbine_flow_and_efficiency(narrow, 2.0, np.log(2.0), blade)
        form = turbine.turbine_efficiency_parabola(blade, 0.68, 0.62)
        assert efficiency == pytest.approx(float(form), abs=2e-4)


@EVERY
def test_junction(p: np.void) -> None:
    share, ratio, angle = 0.35, float(p["takeoff_area_ratio"]), float(p["takeoff_angle"])
    forms = (fittings.loss_branch_hager_bassett, fittings.loss_branch_gardel, fittings.loss_branch_idelchik)
    for number, form in enumerate(forms):
        if number == 2 and abs(share * ratio - 0.8) < 0.05:
            continue  # there the kernel joins the handbook's step smoothly
        found = junction.branch_loss_coefficient(float(number), share, ratio, angle, 0.0)
        assert found == pytest.approx(float(form(share, ratio, angle)), rel=1e-12)
        shifted = junction.branch_loss_coefficient(float(number), share, ratio, angle, 0.7)
        assert shifted - found == pytest.approx(0.7 * 2.0 * share * ratio / (1.0 + share * ratio), rel=1e-9)
    assert junction.branch_loss_coefficient(3.0, share, ratio, angle, 0.7) == 0.7


def test_handbook_step_is_joined_between_its_sides() -> None:
    values = [
        junction.branch_loss_coefficient(2.0, speed, 1.0, 1.4, 0.0) for speed in np.linspace(0.74, 0.86, 241)
    ]
    assert max(abs(np.diff(values))) < 0.01
    assert values[0] == pytest.approx(float(fittings.loss_branch_idelchik(0.74, 1.0, 1.4)))
    assert values[-1] == pytest.approx(float(fittings.loss_branch_idelchik(0.86, 1.0, 1.4)))


@EVERY
def test_gate_branch_and_flow(p: np.void) -> None:
    if p["gate_count"] == 0:
        pytest.skip("no gate")
    _, _, _, p_em = state(p)
    t_em, total = 1150.0, 0.35 * p["collector_area"] * p_em / np.sqrt(290.0 * 1150.0)
    gate = 0.3 * total
    p_g, loss, head = exhaust.gate_branch(p, p_em, t_em, total, gate)
    area, constant = p["collector_area"], p["gas_constant_exhaust"]
    mach = isentropic.mach_number_from_total_pressure(total, p_em, t_em, area, constant, 1.3)
    density = float(humid_air.density_ideal_gas(p_em, t_em, constant) * isentropic.density_ratio(mach, 1.3))
    assert 0.3 < mach < 0.4
    assert head == pytest.approx(float(pipe.velocity_head(total, area, density)), rel=2e-3)
    own = 0.3 / p["gate_count"]
    branch_head = float(pipe.velocity_head(own * total, area / p["takeoff_area_ratio"], density))
    wanted = p_em - loss * head - p["branch_loss"] * branch_head
    assert p_g == pytest.approx(wanted, abs=2e-3 * (p_em - wanted) + 1.0)

    lift, p_back = 0.4 * p["gate_full_lift"], 0.7 * p_g
    effective = poppet.effective_area_poppet(
        lift * p["gate_lever"],
        p["gate_diameter"],
        p["gate_stem_diameter"],
        p["gate_discharge_curtain"],
        p["gate_discharge_seat"],
    )
    assert exhaust.gate_area(p, lift) == pytest.approx(float(effective), rel=1e-12)
    gamma = mixture.heat_capacity_ratio(gas.exhaust_heat(p, t_em), p["gas_constant_exhaust"])
    for back in (p_back, 0.3 * p_g, 0.95 * p_g):
        wanted = orifice.mass_flow_orifice(1.0, effective, p_g, t_em, back, p["gas_constant_exhaust"], gamma)
        found = exhaust.gate_flow(p, lift, p_g, t_em, back)
        assert found == pytest.approx(p["gate_count"] * float(wanted), rel=1e-9)
    assert exhaust.gate_flow(p, lift, p_g, t_em, 1.01 * p_g) == 0.0


@EVERY
def test_actuator(p: np.void) -> None:
    if p["gate_count"] == 0:
        pytest.skip("no gate")
    p_g, p_back = 2.1e5, 1.2e5
    for lever in (1.0, 0.7):
        p = p.copy()
        p["gate_lever"] = lever
        shut = float(
            actuator.head_force_by_lift(
                p_g, p_back, p["head_area"], p["back_area"], 0.0, 1.0, p["head_force_fall"]
            )
        )
        # ambient stands on the end of the stem, where it leaves the housing
        shut -= p["pressure_amb"] * (p["head_area"] - p["back_area"])
        assert exhaust.head_force(p, p_g, p_back) == pytest.approx(lever * shut, rel=1e-12)
        for boost in (0.0, 0.5e5, 1.0e5, 2.0e5):
            wanted = actuator.poppet_lift(
                0.8 * boost,
                0.0,
                p["diaphragm_area"],
                lever * shut,
                p["head_force_fall"],
                p["spring_force"],
                p["friction_force"],
                p["spring_rate"],
                p["gate_full_lift"],
            )
            found = exhaust.gate_lift(p, SPRING, 0.8, p["pressure_amb"] + boost, p_g, p_back)
            assert found == pytest.approx(float(wanted), rel=1e-9, abs=1e-12)
    assert exhaust.gate_lift(p, GATE_OPEN, 0.0, 0.0, p_g, p_back) == p["gate_full_lift"]


def test_flap_on_its_lever_cracks_where_the_moments_say() -> None:
    p = POINTS[POINTS["gate_count"] > 0][0].copy()
    flap, arm_flap, arm_rod = np.pi / 4 * 0.025**2, 0.018, 0.024
    p["gate_lever"] = arm_flap / arm_rod
    p["head_area"] = p["back_area"] = flap
    p["friction_force"] = 0.0
    across, p_back = 60e3, 1.1e5
    crack = float(
        actuator.flap_opening_pressure(
            p["spring_force"], p["spring_rate"], 0.0, p["diaphragm_area"], flap, across, arm_rod, arm_flap
        )
    )
    for boost, opens in ((crack - 10.0, False), (crack + 10.0, True)):
        lift = exhaust.gate_lift(p, SPRING, 1.0, p["pressure_amb"] + boost, p_back + across, p_back)
        assert (lift > 0.0) is opens


def test_without_a_turbo_nothing_is_compressed() -> None:
    p = POINTS[0].copy()
    p["mode"] = NO_TURBO
    p1, _, _, ratio, power, p2, t2, *_ = intake.charge_path(p, TABLES, 0.05, 1.0)
    assert (ratio, power, p2, t2) == (1.0, 0.0, p1, p["temperature_amb"])
