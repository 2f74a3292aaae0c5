"""Random plausible points for the solvability run and the property tests: drawn field by field, seeded.

Ranges span engines of 0.6 to 6 litres, 800 to 9 000 rpm, sea level to 4 500 m, every shipped compressor, turbines from
far too small to far too large, gates from none to two large ones, and all five modes.
"""

from __future__ import annotations

import numpy as np

from boostwright.cards.look_up import find_card, list_cards
from boostwright.components.air import kernel_coefficients, standard_air
from boostwright.components.closed_cycle import CycleGeometry, CycleModel, cycle_fuel
from boostwright.components.compressor import compressor_surface
from boostwright.components.turbine import turbine_from_one_number
from boostwright.physics.cylinder.breathing import backpressure_factor_eriksson
from boostwright.physics.gas import air, exhaust, fuel, mixture
from boostwright.solve.cycle_rows import Spark, cycle_fields_of
from boostwright.solve.cycle_store import cycle_table
from boostwright.solve.kernel.layout import POINT
from boostwright.solve.problem import SURFACE_END

__all__ = ["CYCLE", "compressor_tables", "random_points", "random_points_and_lambda", "turbine_tables"]

GAMMA = 1.3
CYCLE = CycleModel(
    geometry=CycleGeometry(bore=0.083, stroke=0.092, rod_length=0.148, compression_ratio=9.0),
    fuel=cycle_fuel(find_card("fuel", "petrol-ron98")),
    air=standard_air(),
)


def compressor_tables():
    """Packed surfaces of every shipped compressor, one a row, and their highest speeds [rad/s] and choke flows."""
    surfaces = [compressor_surface(find_card("compressor", name)) for name in list_cards("compressor")]
    longest = max(surface.table.size for surface in surfaces)
    tables = np.zeros((len(surfaces), longest))
    for row, surface in zip(tables, surfaces, strict=True):
        row[: surface.table.size] = surface.table
    highest = np.array([surface.speed_highest_measured for surface in surfaces])
    flow = np.array([max(line.flow.max() for line in surface.lines) for surface in surfaces])
    diameter = np.array([surface.wheel_diameter for surface in surfaces])
    return tables, highest, flow, diameter


def turbine_tables():
    """One table of unit swallowing capacity: points scale it."""
    return np.ascontiguousarray(turbine_from_one_number(1e-5, 0.05, 0.70, 0.65).table[None, :])


def _gases(rng, n, points):
    pressure = rng.uniform(55e3, 104e3, n)
    temperature = rng.uniform(253.0, 318.0, n)
    vapour = air.vapour_pressure(rng.uniform(0.0, 1.0, n), air.saturation_pressure_wagner_pruss(temperature))
    fresh = np.asarray(air.humid_air_mole_fractions(pressure, vapour))
    lam = rng.uniform(0.72, 1.15, n)
    hydrogen, oxygen = 1.87, rng.choice([0.0, 0.02, 0.4], n)
    burned = np.asarray(exhaust.exhaust_mole_fractions(lam, hydrogen, oxygen, fresh))
    ratio = np.asarray(fuel.stoichiometric_air_fuel_ratio(hydrogen, oxygen))
    humidity = np.asarray(air.humidity_ratio(pressure, vapour))
    per_fuel = np.asarray(exhaust.exhaust_per_fuel_mass(lam, ratio, humidity))
    cold, hot = mixture.mixture_coefficients(fresh), mixture.mixture_coefficients(burned)
    points["pressure_amb"], points["temperature_amb"] = pressure, temperature
    points["gas_constant_air"] = mixture.gas_constant(fresh)
    points["air"] = kernel_coefficients(np.asarray(cold), 0)
    points["gas_constant_exhaust"] = mixture.gas_constant(burned)
    points["exhaust_low"] = kernel_coefficients(np.asarray(hot), 0)
    points["exhaust_high"] = kernel_coefficients(np.asarray(hot), 1)
    points["fuel_air_ratio"] = 1.0 / (per_fuel - 1.0)
    points["released_heat"] = exhaust.released_heat_per_fuel_mass(
        2.97e6 * ratio, per_fuel, exhaust.chemical_energy(burned)
    )
    return lam


def _cylinders(rng, n, points, lam, displacement, ratio, speed):
    """Cylinders of all sizes, on the table of one engine: it is read by density, so volumes scale freely."""
    table = cycle_table(CYCLE)
    rows = np.concatenate([table.rows(speed[k : k + 5000], lam[k : k + 5000]) for k in range(0, n, 5000)])
    count = np.clip(np.round(displacement / rng.uniform(0.25e-3, 0.6e-3, n)), 2, 8)
    clearance = displacement / count / (ratio - 1.0)
    closing = clearance + 0.9 * displacement / count
    rows[:, 8] = np.log(closing)
    best = np.full(n, 0.14)
    kinds = (
        Spark("knock-limit", best, 1.0 / rng.uniform(0.6, 1.6, n), best),
        Spark("phasing", rng.uniform(0.1, 0.5, n), best, best),
        Spark("advance", -rng.uniform(0.0, 0.5, n), np.full(n, 0.51), best),
    )
    found = [cycle_fields_of(rows, spark) for spark in kinds]
    which = rng.integers(0, 3, n)
    fields = {name: np.choose(which, [f[name] for f in found]) for name in ("phasing", "spark_limit")}
    fields["spark_form"] = np.array([f["spark_form"] for f in found])[which]
    # about what cycles leave: 700 to 1000 K, warmer with density and with back-pressure
    flow = speed * displacement / (4.0 * np.pi)  # kg/s for 1 kg/m3
    middle = np.array([560.0, 100.0, -15.0, 6e-4, -1e-4, 0.4, -0.02])
    fields["residual_course"] = middle * rng.uniform(0.8, 1.2, (n, len(middle)))
    fields["residual_course"][:, (1, 4, 6)] /= flow[:, None]
    fields["residual_course"][:, 2] /= flow**2
    fields["temperature_residual"] = rng.uniform(950.0, 1150.0, n)
    fields["cycle"] = np.where((which == 2)[:, None], found[2]["cycle"], found[0]["cycle"])
    return {
        **fields,
        "cylinders": count,
        "clearance_volume": clearance,
        "volume_closing": closing,
        "volume_opening": closing,
        "gas_constant_fresh": points["gas_constant_air"] * 0.96,
        "fresh_heat": 1010.0 + 1800.0 * points["fuel_air_ratio"],
        "residual_heat": 1200.0,
        "evaporation_heat": points["fuel_air_ratio"] * rng.uniform(0.1e6, 0.4e6, n),
        "intake_heat_share": rng.uniform(0.0, 0.2, n),
        "wall_temperature": rng.uniform(400.0, 500.0, n),
        "residual_volume": 1.1 * clearance,
        "overlap_opening": np.where(rng.random(n) < 0.5, 0.0, rng.uniform(0.0, 5e-5, n))
        / (1.1 * clearance * speed),
        "overlap_piston": 0.02 * speed * speed / clearance,
        "port_conductance": rng.uniform(20.0, 80.0, n),
    }


def random_points(n, seed, tables, highest, flow, diameter):
    """(n,) POINT records; the same seed gives the same points."""
    return random_points_and_lambda(n, seed, tables, highest, flow, diameter)[0]


def random_points_and_lambda(n, seed, tables, highest, flow, diameter):
    """The records, and the lambda of each."""
    rng = np.random.default_rng(seed)
    points = np.zeros(n, POINT)
    lam = _gases(rng, n, points)
    displacement = np.exp(rng.uniform(np.log(0.6e-3), np.log(6e-3), n))
    speed = rng.uniform(800.0, 9000.0, n) * np.pi / 30.0
    ratio = rng.uniform(7.5, 12.5, n)
    wanted = displacement * 1.7 * rng.uniform(4500.0, 8000.0, n) / 120.0 * 1.2 * rng.uniform(0.5, 1.8, n)
    nearest = np.abs(np.log(flow)[None, :] - np.log(wanted)[:, None])
    choice = np.argsort(nearest, axis=1)[np.arange(n), rng.integers(0, 6, n)]
    p_amb, t_amb = points["pressure_amb"], points["temperature_amb"]
    diaphragm = np.pi / 4 * rng.uniform(0.035, 0.08, n) ** 2
    valve = rng.uniform(0.018, 0.062, n) * (displacement / 2.5e-3) ** 0.3
    head = np.pi / 4 * valve**2
    scale = flow[choice]
    gates = rng.integers(0, 3, n)
    fields = {
        "engine_speed": speed,
        "displacement": displacement,
        "compression_ratio": ratio,
        "volumetric_efficiency": rng.uniform(0.6, 1.08, n),
        "breathing_reference": backpressure_factor_eriksson(rng.uniform(0.9, 1.2, n), ratio, GAMMA),
        "breathing_form": rng.integers(0, 2, n),
        "breathing_temperature": 298.15,
        "breathing_exponent": rng.uniform(0.0, 0.6, n),
        **_cylinders(rng, n, points, lam, displacement, ratio, speed),
        "valve_loss": rng.uniform(0.0, 0.2, n),
        "intake_loss": rng.uniform(200.0, 6000.0, n) * 1e5 / (scale**2 * 293.0),
        "compressor_count": 1.0,
        "compressor_index": choice,
        "shaft_speed_ceiling": SURFACE_END * highest[choice] * np.sqrt(t_amb / 288.15),
        "cooler_transfer_units": np.where(rng.random(n) < 0.1, 0.0, rng.uniform(0.4, 2.5, n)),
        "cooler_flow": 0.7 * scale,
        "cooler_derating": rng.uniform(0.7, 1.0, n),
        "cooler_temperature": t_amb + rng.uniform(0.0, 20.0, n),
        "cooler_loss": rng.uniform(1e3, 25e3, n) * 1.8e5 / (scale**2 * 360.0),
        "throttle_loss": rng.uniform(100.0, 3000.0, n) * 1.8e5 / (scale**2 * 310.0),
        "collector_area": np.pi / 4 * (rng.uniform(0.6, 1.5, n) * 0.1 * np.sqrt(scale / 0.9)) ** 2,
        "heat_conductance": rng.uniform(0.0, 25.0, n),
        "turbine_index": 0,
        "turbine_count": 1.0,
        "turbine_radius": diameter[choice] / 2 * rng.uniform(0.75, 1.15, n),
        "turbine_flow_scale": scale * 1.05 * np.sqrt(1150.0) / 2.2e5 / 1e-5 * rng.uniform(0.4, 2.0, n),
        "turbine_efficiency_scale": rng.uniform(0.75, 1.1, n),
        "mechanical_efficiency": rng.uniform(0.85, 0.99, n),
        "exhaust_loss": rng.uniform(1e3, 45e3, n) * 1.1e5 / (scale**2 * 1000.0),
        "gate_count": gates,
        "gate_diameter": valve,
        "gate_stem_diameter": rng.choice([0.0, 0.008], n),
        "gate_full_lift": valve * rng.uniform(0.15, 0.35, n),
        "gate_discharge_curtain": rng.uniform(0.6, 0.85, n),
        "gate_discharge_seat": rng.uniform(0.6, 0.85, n),
        "gate_lever": 1.0,
        "gate_open_outlet": np.where(gates > 0, rng.integers(0, 2, n), 0),
        "diaphragm_area": diaphragm,
        "spring_force": rng.uniform(0.2e5, 1.6e5, n) * diaphragm,
        "spring_rate": rng.uniform(2e3, 25e3, n),
        "friction_force": rng.uniform(0.0, 15.0, n),
        "head_area": head,
        "back_area": head - 5e-5 * rng.integers(0, 2, n),
        "head_force_fall": rng.uniform(0.0, 0.7, n),
        "takeoff_form": rng.integers(0, 3, n),
        "takeoff_angle": rng.uniform(0.0, 2.8, n),
        "takeoff_area_ratio": rng.uniform(0.7, 3.0, n),
        "branch_loss": rng.uniform(0.1, 1.5, n),
        "signal_from_plenum": rng.integers(0, 2, n),
        "signal_share": np.where(rng.random(n) < 0.8, 1.0, rng.uniform(0.0, 1.0, n)),
        "signal_share_low": rng.choice([0.0, -1.0], n),
        "target_pressure": p_amb + rng.uniform(0.1e5, 1.6e5, n),
        "mode": rng.integers(0, 5, n),
    }
    for name, values in fields.items():
        points[name] = values
    return points, lam
