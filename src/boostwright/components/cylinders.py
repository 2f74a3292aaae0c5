"""Engine geometry, breathing, and what one cylinder traps, loses and leaves: the fields the solver's cylinder needs."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, Section
from boostwright.cards.card import Card
from boostwright.components.air import AmbientAir
from boostwright.components.breathing import (
    BREATHING_FORMS,
    BREATHING_GAMMA,
    Filling,
    breathing_fields,
    valve_events,
    valve_loss_share,
)
from boostwright.components.closed_cycle import CycleGeometry, CycleModel, cycle_model
from boostwright.components.friction import friction_pressure
from boostwright.components.fuel import BurnedMixture
from boostwright.components.overlap import overlap_of_build
from boostwright.physics.cylinder import breathing, definitions, trapped_charge, wall_heat
from boostwright.physics.gas import fuel_vapour, mixture
from boostwright.physics.gas.species import UNIVERSAL_GAS_CONSTANT
from boostwright.physics.heat import convection

__all__ = [
    "BREATHING_FORMS",
    "BREATHING_GAMMA",
    "STROKE_PRESSURE",
    "Engine",
    "engine",
    "engine_by_itself",
    "friction_pressure",
    "mixed_charge_fields",
]

Array = NDArray[np.float64]

_CHARGE = 350.0  # K, where the specific heats of the fresh charge are taken
_RESIDUAL = (380.0, 1200.0)  # K, between which the residual gas cools while it mixes
# Exhaust gas at some 1150 K, from memory; the conductance goes with their powers 0.2 to 0.8 only.
_VISCOSITY, _CONDUCTIVITY, _PRANDTL = 4.5e-5, 0.078, 0.72
_PULSATING = 4.5  # over a long steady pipe, own estimate: entry, bend, valve and pulses
_PORT_BORE, _PORT_LENGTH = 0.40, 1.0  # of the bore, own estimate
STROKE_PRESSURE = 150e3
"""Pascal in the cylinder on the exhaust stroke, where the coefficient of its heat is taken."""
_STROKE_STATE = (
    STROKE_PRESSURE,
    1150.0,
)  # Pa, K in the cylinder on the exhaust stroke, where its coefficient is taken
_EXCHANGE_FACTOR = 6.18  # of Woschni's gas velocity while valves are open
_INTAKE_HEAT_AT = 3000.0 * math.pi / 30.0  # rad/s, where the build's share of heat on the way in holds
_STROKE_HEAT = 1230.0  # J/(kg K) of burned gas there
_STROKE_ANGLES = 181
_HEAD_AREA = 1.15  # of head and piston over that of the bore
_EXHAUST_SHARE = 0.25  # of the cycle


@dataclass(frozen=True)
class Engine:
    """Point fields of the engine by name (scalars or (n,)), and what the shaft balance of the crank needs.

    cycle  the closed cycle of this engine, in air of one standard composition: the day does not change its table
    """

    fields: Mapping[str, float | Array]
    displacement: float
    mean_piston_speed: Array
    cycle: CycleModel


def engine(
    build: Build,
    card: Card,
    ambient: AmbientAir,
    burned: BurnedMixture,
    speeds: Array,
    filling: Filling | None = None,
) -> Engine:
    """Engine, breathing and cylinder fields at the engine speeds (n,) [rad/s].

    card     of the fuel
    filling  as in ``breathing_fields``
    """
    motor = engine_by_itself(build, card, speeds, filling)
    charge = mixed_charge_fields(build["cylinder"], motor.cycle, ambient, burned, speeds)
    return replace(motor, fields={**motor.fields, **charge})


def engine_by_itself(build: Build, card: Card, speeds: Array, filling: Filling | None = None) -> Engine:
    """``engine`` without the fields that hang on the day's air and the mixture, which ``mixed_charge_fields`` gives."""
    geometry = build["engine"]
    volume = float(
        definitions.displacement(geometry.si("bore"), geometry.si("stroke"), geometry.si("cylinders"))
    )
    piston = np.asarray(definitions.mean_piston_speed(geometry.si("stroke"), speeds), dtype=float)
    events = valve_events(build)
    model = cycle_model(geometry, card, section=build["cylinder"])
    timed = replace(
        model.geometry, intake_closing=events.intake_closing, exhaust_opening=events.exhaust_opening
    )
    model = replace(model, geometry=timed)
    overlap = overlap_of_build(build, events)
    kept = model.geometry.clearance_volume + overlap.volume
    fields: dict[str, float | Array] = {
        "engine_speed": speeds,
        "displacement": volume,
        "compression_ratio": geometry.si("compression_ratio"),
        **breathing_fields(build, speeds, filling),
        "cylinders": geometry.si("cylinders"),
        "clearance_volume": model.geometry.clearance_volume,
        "residual_volume": kept,
        "overlap_opening": overlap.area_angle / (kept * speeds),
        "overlap_piston": breathing.overlap_piston_pressure(1.0 / kept, speeds, overlap.resistance),
        "volume_closing": float(model.geometry.volume(model.geometry.intake_closing)),
        "volume_opening": float(model.geometry.volume(model.geometry.exhaust_opening)),
        "valve_loss": valve_loss_share(build, piston),
        "exhaust_stroke_units": _exhaust_stroke_units(build, model.geometry, piston, speeds),
        "port_conductance": _port_conductance(build, volume, piston),
    }
    return Engine(fields=fields, displacement=volume, mean_piston_speed=piston, cycle=model)


def mixed_charge_fields(
    section: Section, model: CycleModel, ambient: AmbientAir, burned: BurnedMixture, speeds: Array
) -> dict[str, float | Array]:
    """Point fields of what mixes with what when the charge is trapped, for the mixture and speed [rad/s] of each point
    (n,).

    The air may be one for all points, or by point as ``burned`` is; so may the numbers of the section.
    """
    fuel = model.fuel
    strength = burned.fuel_air_ratio
    vapour = fuel_vapour.fuel_vapour_coefficients(fuel.hydrogen_per_carbon, fuel.oxygen_per_carbon)
    charge = np.full(ambient.coefficients.shape[:-2], _CHARGE)
    air_heat = np.asarray(mixture.specific_heat(ambient.coefficients, charge))
    fuel_heat = float(mixture.specific_heat(vapour, _CHARGE))
    r_fuel = UNIVERSAL_GAS_CONSTANT / fuel.molar_mass
    cold, hot = (
        np.asarray(mixture.sensible_enthalpy(burned.coefficients, np.full(strength.shape, t)))
        for t in _RESIDUAL
    )
    return {
        "gas_constant_fresh": (ambient.gas_constant + strength * r_fuel) / (1.0 + strength),
        "fresh_heat": air_heat + strength * fuel_heat,
        "residual_heat": (hot - cold) / (_RESIDUAL[1] - _RESIDUAL[0]),
        "evaporation_heat": strength * fuel.latent_heat * section.si("evaporation_share"),
        "intake_heat_share": np.asarray(
            trapped_charge.intake_heat_share_at_speed(
                section.si("intake_heat_share"), speeds / _INTAKE_HEAT_AT
            )
        ),
        "wall_temperature": section.si("wall_temperature"),
        "trapped_temperature_shift": 0.0,
    }


def _stroke_coefficient(bore: float, piston: Array) -> Array:
    """Heat transfer coefficient (n,) [W/(m2 K)] while the exhaust is pushed out: Woschni's for gas exchange."""
    return np.asarray(wall_heat.wall_heat_woschni(bore, *_STROKE_STATE, _EXCHANGE_FACTOR * piston))


def _exhaust_stroke_units(build: Build, geometry: CycleGeometry, piston: Array, speeds: Array) -> Array:
    """Transfer units (n,) [-] of the gas that stays, from exhaust opening to top dead centre, at ``STROKE_PRESSURE``.

    They go with the pressure to the power -0.2. The coefficient is that of ``_port_conductance``.
    """
    angle = np.linspace(geometry.exhaust_opening, 2.0 * math.pi, _STROKE_ANGLES)
    volume = np.asarray(geometry.volume(angle))
    area = 0.5 * math.pi * geometry.bore**2 * _HEAD_AREA + 4.0 * volume / geometry.bore
    seen = float(np.trapezoid(area / volume, angle))
    coefficient = build["cylinder"].si("port_heat_factor") * _stroke_coefficient(geometry.bore, piston)
    capacity = _STROKE_STATE[0] / (287.0 * _STROKE_STATE[1]) * _STROKE_HEAT
    return np.asarray(coefficient * seen / (speeds * capacity), dtype=float)


def _port_conductance(build: Build, displacement: float, piston: Array) -> Array:
    """Conductance of exhaust stroke and ports per exhaust flow [J/(kg K)] with 1 kg in a cylinder; it goes with the
    charge's mass to the power -0.2.

    Ports: a turbulent pipe's, times what pulses and bends add. Exhaust stroke: Woschni's coefficient with his
    gas-exchange constant over the mean wall area, a quarter of the time.
    """
    geometry = build["engine"]
    bore, cylinders = geometry.si("bore"), geometry.si("cylinders")
    cycles = np.maximum(piston / (2.0 * geometry.si("stroke")) / 2.0, 1e-3)
    reynolds = 4.0 * cycles / (math.pi * _PORT_BORE * bore * _VISCOSITY)  # of a port, at 1 kg a cycle
    nusselt = _PULSATING * convection.nusselt_dittus_boelter(reynolds, _PRANDTL)
    ports = convection.conductance_of_passage(nusselt, _CONDUCTIVITY, _PORT_LENGTH * bore)
    coefficient = _stroke_coefficient(bore, piston)
    area = wall_heat.cylinder_wall_area(bore, 0.5 * geometry.si("stroke"), _HEAD_AREA)
    mass = _STROKE_STATE[0] / (287.0 * 330.0) * displacement / cylinders
    stroke = coefficient * area * _EXHAUST_SHARE * mass**-0.8
    return np.asarray(build["cylinder"].si("port_heat_factor") * (ports + stroke) / cycles, dtype=float)
