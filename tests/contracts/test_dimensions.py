"""Every relation keeps its dimensions: in other units of mass, length, time, temperature it says the same.

The units are those of its own docstring, so a wrong unit there is found too. A relation that carries constants with
dimensions (a correlation in its author's units, a standard atmosphere, gravity) cannot pass and is named below.
"""

from __future__ import annotations

import re

import numpy as np
import pytest

from boostwright.physics.relation import Relation
from boostwright.proof.runner import load_relations
from tests.contracts.test_relations import ARRAYS, described_arguments, sample_arguments

RELATIONS = dict(sorted(load_relations().items()))
Powers = dict[str, float]

WITH_CONSTANTS = {
    # correlations in their authors' units
    "cylinder.breathing.residual_fraction_fox",
    "cylinder.burn.burn_speed_factor",
    "cylinder.burn.laminar_burning_velocity_rhodes_keck",
    "cylinder.friction.friction_barnes_moss",
    "cylinder.friction.friction_chen_flynn_original",
    "cylinder.friction.friction_heywood_diesel",
    "cylinder.friction_by_place.friction_auxiliaries_sandoval_heywood",
    "cylinder.friction_by_place.friction_crankshaft_sandoval_heywood",
    "cylinder.friction_by_place.friction_gas_load_sandoval_heywood",
    "cylinder.friction_by_place.friction_pistons_sandoval_heywood",
    "cylinder.friction_by_place.friction_valve_gear_sandoval_heywood",
    "cylinder.knock.ignition_delay_douaud_eyzat",
    "cylinder.pumping.valve_loss",
    "cylinder.wall_heat.wall_heat_hohenberg",
    "cylinder.wall_heat.wall_heat_woschni",
    "lambda_probe.lambda_of_pump_current",
    "lambda_probe.pump_current",
    "turbo.inertia.shaft_inertia_from_wheels",
    # properties of air, water and fuel, and the air of a standard
    "gas.air.dew_point_magnus_alduchov_eskridge",
    "gas.air.dew_point_wagner_pruss",
    "gas.air.relative_humidity_from_wet_bulb",
    "gas.air.saturation_pressure_magnus_alduchov_eskridge",
    "gas.air.saturation_pressure_wagner_pruss",
    "gas.air.thermal_conductivity_power_law",
    "gas.air.viscosity_lemmon_jacobsen",
    "gas.air.viscosity_sutherland",
    "gas.fuel.molar_mass_per_carbon",
    "gas.standard_atmosphere.density_altitude",
    "gas.standard_atmosphere.geopotential_height",
    "gas.standard_atmosphere.pressure_altitude",
    "gas.standard_atmosphere.standard_density",
    "gas.standard_atmosphere.standard_pressure",
    "gas.standard_atmosphere.standard_temperature",
    "gas.standard_atmosphere.station_pressure_from_qnh",
    "power_correction.correction_compression_ignition",
    "power_correction.correction_din_70020",
    "power_correction.correction_iso_1585",
    "power_correction.correction_j1349",
    "power_correction.correction_j1349_exact",
    "power_correction.correction_j607",
    "power_correction.correction_jis_d_1001",
    "turbo.compressor_similarity.density_ratio_over_wheel",
    "turbo.compressor_similarity.isentropic_head",
    "turbo.compressor_similarity.pressure_ratio_of_head",
    "turbo.corrected.mass_flow_of_volume_flow",
    # Stefan-Boltzmann's constant, and gravity
    "heat.probe.probe_temperature",
    "heat.probe.radiation_error",
    "heat.radiation.black_body_emission",
    "heat.radiation.exchange_concentric_cylinders",
    "heat.radiation.exchange_parallel_plates",
    "heat.radiation.exchange_small_body",
    "heat.radiation.shield_temperature",
    "road_load.road_load_force",
}
BASE: dict[str, Powers] = {
    "-": {},
    "rad": {},
    "kg": {"mass": 1},
    "m": {"length": 1},
    "s": {"time": 1},
    "K": {"temperature": 1},
    "A": {"current": 1},
    "mol": {"amount": 1},
    "kmol": {"amount": 1},
    "Hz": {"time": -1},
    "N": {"mass": 1, "length": 1, "time": -2},
    "Pa": {"mass": 1, "length": -1, "time": -2},
    "J": {"mass": 1, "length": 2, "time": -2},
    "W": {"mass": 1, "length": 2, "time": -3},
    "V": {"mass": 1, "length": 2, "time": -3, "current": -1},
    "1": {},
}
OTHER = {"mass": 1.7, "length": 1.3, "time": 0.8, "temperature": 1.15, "current": 1.4, "amount": 1.25}


def powers(unit: str) -> Powers:
    """Powers of the base quantities in a unit such as ``J/(kg K)``, ``Pa2 s2/(kg2 K)`` or ``kg sqrt(K)/(s Pa)``."""
    found: Powers = {}
    above, _, below = unit.partition("/")
    for part, sign in ((above, 1.0), (below.strip("()"), -1.0)):
        for word in part.split():
            rooted = word.startswith("sqrt(")
            name, digits = re.fullmatch(
                r"([A-Za-z]+|-|1)(\d*)", word.removeprefix("sqrt(").rstrip(")")
            ).groups()  # type: ignore[union-attr]
            share = sign * (0.5 if rooted else 1.0) * float(digits or 1)
            for quantity, power in BASE[name].items():
                found[quantity] = found.get(quantity, 0.0) + share * power
    return found


def factor(unit: str) -> float:
    """Number in the other units over the number in SI."""
    return float(np.prod([OTHER[quantity] ** power for quantity, power in powers(unit).items()]))


def returned_unit(relation: Relation) -> str:
    match = re.search(r"Returns \([^)]*\)\s+\[([^\]]+)\]", relation.__doc__ or "")
    assert match
    return match[1]


def units(relation: Relation) -> dict[str, str]:
    return {name: unit for name, (_, unit, _) in described_arguments(relation).items()}


def is_plain(relation: Relation) -> bool:
    """Whether it takes and gives single numbers: compositions and polynomials are of several units at once."""
    several = {*ARRAYS, "coefficients"} & set(relation.signature.parameters)
    mixed = {unit for unit in units(relation).values() if unit == "any" or unit.startswith("mg")}
    return not several and not mixed


PLAIN = [
    name
    for name, one in RELATIONS.items()
    if is_plain(one)
    and name != "gas.air.humid_air_mole_fractions"
    and {*units(one).values(), returned_unit(one)} - {"-", "rad"}
]


def telling_arguments(relation: Relation) -> dict[str, float]:
    """Arguments inside the domain for which the relation gives a number that is not 0."""
    rng = np.random.default_rng(5)
    for _ in range(200):
        values = {name: float(value) for name, value in sample_arguments(relation).items()}
        values = {name: value * rng.uniform(0.6, 1.6) for name, value in values.items()}
        inside = all(interval.holds(values[name]) for name, interval in relation.domain.items())
        together = all(
            held(*(values[name] for name in held.__code__.co_varnames[: held.__code__.co_argcount]))
            for held in relation.needs.values()
        )
        if inside and together and np.isfinite(y := float(relation.formula(**values))) and abs(y) > 1e-12:
            return values
    pytest.fail("no arguments found for which it says anything")


def keeps_dimensions(relation: Relation) -> bool:
    values = telling_arguments(relation)
    of = units(relation)
    other = {name: value * factor(of[name]) for name, value in values.items()}
    found = float(relation.formula(**other)) / factor(returned_unit(relation))
    return found == pytest.approx(float(relation.formula(**values)), rel=1e-9)


def test_units_are_read() -> None:
    assert powers("W/(m2 K)") == {"mass": 1.0, "length": 0.0, "time": -3.0, "temperature": -1.0}
    assert powers("kg sqrt(K)/(s Pa)") == {"mass": 0.0, "temperature": 0.5, "time": 1.0, "length": 1.0}
    assert len(PLAIN) > 190


@pytest.mark.parametrize("name", [name for name in PLAIN if name not in WITH_CONSTANTS])
def test_other_units_say_the_same(name: str) -> None:
    assert keeps_dimensions(RELATIONS[name])


@pytest.mark.parametrize("name", sorted(WITH_CONSTANTS & set(PLAIN)))
def test_those_with_constants_of_their_own_do_not(name: str) -> None:
    """A name that needs no exception is not to stand among them."""
    assert not keeps_dimensions(RELATIONS[name])
