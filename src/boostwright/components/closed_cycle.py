"""Inputs of the closed cycle: the piston's way, burn, walls, fuel and gases, as fields of the kernel's records.

Everything the cycle needs to know of an engine stands in a ``CycleModel``; what differs from call to call (speed,
trapped mass and temperature, lambda, residual fraction, phasing) comes as arrays. Every default is our own estimate
unless it says otherwise, and is meant to be replaced by the build's.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from boostwright.build import Section
from boostwright.cards.card import Card
from boostwright.components.air import AmbientAir, kernel_coefficients, standard_air
from boostwright.physics.cylinder import burn, definitions, dissociation, knock, slider_crank, wall_heat
from boostwright.physics.gas import exhaust, fuel, fuel_vapour, mixture
from boostwright.physics.gas.species import UNIVERSAL_GAS_CONSTANT

__all__ = [
    "WALL_AUTHORS",
    "BurnLaw",
    "CycleFuel",
    "CycleGeometry",
    "CycleModel",
    "CycleWalls",
    "burn_duration",
    "cycle_fields",
    "cycle_fuel",
    "cycle_model",
    "knock_octane",
    "piston_way",
]

Array = NDArray[np.float64]

WALL_AUTHORS = ("none", "woschni", "hohenberg")
_DEGREE = math.pi / 180.0
_RPM = math.pi / 30.0
_COMPRESSION_EXPONENT = (
    1.32  # of a charge that loses a little heat: own estimate, in pressure and temperature at the top
)


@dataclass(frozen=True)
class CycleGeometry:
    """Crank train and valve timing. Lengths [m]; angles [rad] after firing top dead centre."""

    bore: float
    stroke: float
    rod_length: float
    compression_ratio: float
    intake_closing: float = -140.0 * _DEGREE
    exhaust_opening: float = 135.0 * _DEGREE

    @property
    def displacement(self) -> float:
        """Of one cylinder [m3]."""
        return float(definitions.displacement(self.bore, self.stroke, 1.0))

    @property
    def clearance_volume(self) -> float:
        """Volume at top dead centre [m3]."""
        return self.displacement / (self.compression_ratio - 1.0)

    def volume(self, angle: ArrayLike) -> Array:
        """Volume [m3] at crank angles [rad]."""
        travel = slider_crank.piston_travel(np.asarray(angle, dtype=float), self.stroke, self.rod_length)
        return np.asarray(self.clearance_volume + 0.25 * math.pi * self.bore**2 * travel, dtype=float)


@dataclass(frozen=True)
class BurnLaw:
    """Wiebe parameters and the burn duration at a reference charge.

    duration [rad] at speed [rad/s] with a charge of pressure [Pa] and temperature [K] at intake closing, of that lambda
    and residual fraction. 50 deg with the usual a = 5 and m = 2 is 25 deg from 10 to 90 % burned. 340 K is what a
    charge of that pressure has with some 35 degC in the manifold.
    """

    duration: float = 50.0 * _DEGREE
    speed: float = 3000.0 * _RPM
    pressure: float = 150e3
    temperature: float = 340.0
    lambda_value: float = 0.9
    residual_fraction: float = 0.05
    wiebe_factor: float = 5.0
    wiebe_exponent: float = 2.0


@dataclass(frozen=True)
class CycleWalls:
    """Heat to the walls: author, a factor on it, mean wall temperature [K], area of the head over that of the bore.

    The factor of 2 puts the best phasing of a boosted petrol engine at 5 to 11 deg (engines: 8 to 10), and the heat
    to coolant and oil at full load where published splits have it; with 1 the best phasing comes too early. Both
    authors fitted theirs to diesels.
    """

    author: str = "woschni"
    factor: float = 2.0
    temperature: float = 450.0
    head_area_factor: float = 1.15


@dataclass(frozen=True)
class CycleFuel:
    """What the cycle knows of the fuel. Energies [J/kg], molar mass [kg/kmol]; octane nan = knock not predicted.

    combustion_efficiency  share of the fuel that burns; of the rest nothing more is said
    """

    hydrogen_per_carbon: float
    oxygen_per_carbon: float
    lower_heating_value: float
    latent_heat: float
    molar_mass: float
    octane_number: float
    combustion_efficiency: float = 0.98

    @property
    def stoichiometric_ratio(self) -> float:
        """Dry air per fuel [kg/kg]."""
        return float(fuel.stoichiometric_air_fuel_ratio(self.hydrogen_per_carbon, self.oxygen_per_carbon))


@dataclass(frozen=True)
class CycleModel:
    """An engine's closed cycle.

    air             what it breathes
    watch_knock_to  burned share up to which the end gas is followed
    dissociation    whether work, pressures and temperature are corrected for the break-up of hot gas
    """

    geometry: CycleGeometry
    fuel: CycleFuel
    air: AmbientAir
    burn: BurnLaw = field(default_factory=BurnLaw)
    walls: CycleWalls = field(default_factory=CycleWalls)
    watch_knock_to: float = 0.9
    dissociation: bool = True


def knock_octane(octane_number: float, ethanol_volume_share: float) -> float:
    """Octane number [-] for the knock correlation, nan where it must not be used.

    Outside the octane numbers of the correlation's fuels, and for blends of more than a tenth of alcohol, whose
    chemistry it does not know, knock is not predicted.
    """
    low, high = knock.OCTANE_RANGE.low, knock.OCTANE_RANGE.high
    usable = low <= octane_number <= high and ethanol_volume_share <= 0.1
    return octane_number if usable else math.nan


def cycle_fuel(card: Card) -> CycleFuel:
    """Fuel of the cycle from its card; a card without a research octane number leaves knock unpredicted."""
    octane = card.si("research_octane_number") if card.has("research_octane_number") else math.nan
    share = card.si("ethanol_volume_share") if card.has("ethanol_volume_share") else 0.0
    return CycleFuel(
        hydrogen_per_carbon=card.si("hydrogen_per_carbon"),
        oxygen_per_carbon=card.si("oxygen_per_carbon"),
        lower_heating_value=card.si("lower_heating_value"),
        latent_heat=card.si("latent_heat"),
        molar_mass=1e3 * card.si("molar_mass"),
        octane_number=knock_octane(octane, share),
    )


def cycle_model(
    engine: Section, card: Card, air: AmbientAir | None = None, section: Section | None = None
) -> CycleModel:
    """Closed cycle of the [engine] section with a fuel card.

    air      what is breathed; without it air of one standard composition, so that weather does not change the cycle
    section  [cylinder]: burn, walls, combustion efficiency; without it all is at its default
    A connecting rod that is not given is taken as 1.65 strokes long (own estimate): work changes by less than 0.2 %
    from 1.5 to 1.8.
    """
    stroke = engine.si("stroke")
    rod = engine.si("connecting_rod_length") if engine.has("connecting_rod_length") else 1.65 * stroke
    geometry = CycleGeometry(engine.si("bore"), stroke, rod, engine.si("compression_ratio"))
    fuel_ = cycle_fuel(card)
    breathed = air or standard_air()
    if section is None:
        return CycleModel(geometry=geometry, fuel=fuel_, air=breathed)
    law = BurnLaw()
    first, last = (
        float(burn.burn_progress_wiebe(share, law.wiebe_factor, law.wiebe_exponent)) for share in (0.1, 0.9)
    )
    return CycleModel(
        geometry=geometry,
        fuel=replace(fuel_, combustion_efficiency=section.si("combustion_efficiency")),
        air=breathed,
        burn=replace(law, duration=section.si("burn_duration") / (last - first)),
        walls=CycleWalls(
            author=section.text("wall_heat_relation"),
            factor=section.si("wall_heat_factor"),
            temperature=section.si("wall_temperature"),
        ),
    )


def piston_way(model: CycleModel, step: float = 0.5 * _DEGREE) -> tuple[Array, float]:
    """The piston's way from intake closing to exhaust opening, and the step [rad] that divides it evenly.

    Returns (n + 1, 6) in the columns that the kernel's layout names, and the step nearest to the one wanted.
    """
    geometry = model.geometry
    first, last = geometry.intake_closing, geometry.exhaust_opening
    steps = max(round((last - first) / step), 4)
    angle = np.linspace(first, last, steps + 1)
    volume = geometry.volume(angle)
    # Speed of the piston at one radian a second is its travel a radian.
    slope = slider_crank.piston_speed(angle, geometry.stroke, geometry.rod_length, 1.0)
    height = volume / (0.25 * math.pi * geometry.bore**2)
    area = wall_heat.cylinder_wall_area(geometry.bore, height, model.walls.head_area_factor)
    columns = (
        np.log(volume),
        volume,
        area,
        (volume[0] / volume) ** _COMPRESSION_EXPONENT,
        130.0 * volume**-0.06,
        0.25 * math.pi * geometry.bore**2 * slope / volume * (last - first) / steps,
    )
    return np.ascontiguousarray(np.stack(np.broadcast_arrays(*columns), axis=1)), (last - first) / steps


def _top_state(model: CycleModel, pressure: Array, temperature: Array) -> tuple[Array, Array]:
    """Pressure [Pa] and temperature [K] that compression alone brings at top dead centre."""
    geometry = model.geometry
    ratio = float(geometry.volume(geometry.intake_closing)) / geometry.clearance_volume
    return pressure * ratio**_COMPRESSION_EXPONENT, temperature * ratio ** (_COMPRESSION_EXPONENT - 1.0)


def burn_duration(
    model: CycleModel,
    speed: Array,
    pressure: Array,
    temperature: Array,
    lambda_value: Array,
    residual_fraction: Array,
) -> Array:
    """Burn duration [rad] of charges at intake closing: speed [rad/s], pressure [Pa], temperature [K], all (n,)."""
    law = model.burn
    p, t = _top_state(model, pressure, temperature)
    p_ref, t_ref = _top_state(model, np.asarray(law.pressure), np.asarray(law.temperature))
    velocity = burn.laminar_burning_velocity_rhodes_keck(t, p, 1.0 / lambda_value, residual_fraction)
    reference = burn.laminar_burning_velocity_rhodes_keck(
        t_ref, p_ref, 1.0 / law.lambda_value, law.residual_fraction
    )
    faster = burn.burn_speed_factor(speed) / burn.burn_speed_factor(law.speed)
    viscosity = burn.viscosity_ratio_in_cylinder(t / t_ref, p / t / (p_ref / t_ref))
    return np.asarray(
        burn.burn_duration_hires(law.duration * faster, 1.0, viscosity, velocity / reference), dtype=float
    )


def _gases(model: CycleModel, lam: Array, residual: Array) -> dict[str, Array]:
    """Gas fields of the records, and the heat set free per kilogram of charge."""
    fuel_, air = model.fuel, model.air
    breathed = np.broadcast_to(air.mole_fractions, (*lam.shape, 7))
    fractions = np.asarray(
        exhaust.exhaust_mole_fractions(lam, fuel_.hydrogen_per_carbon, fuel_.oxygen_per_carbon, breathed)
    )
    burned = np.asarray(mixture.mixture_coefficients(fractions))
    r_burned = np.asarray(mixture.gas_constant(fractions), dtype=float)
    per_fuel = np.asarray(
        exhaust.exhaust_per_fuel_mass(lam, fuel_.stoichiometric_ratio, air.humidity_ratio), dtype=float
    )
    # The heating value is of the liquid; what evaporates outside the closed part is got back when it burns.
    released = exhaust.released_heat_per_fuel_mass(
        fuel_.lower_heating_value + fuel_.latent_heat, per_fuel, exhaust.chemical_energy(fractions)
    )
    share_fuel = (1.0 - residual) / per_fuel
    share_air = 1.0 - residual - share_fuel
    vapour = fuel_vapour.fuel_vapour_coefficients(fuel_.hydrogen_per_carbon, fuel_.oxygen_per_carbon)
    unburned = (
        share_fuel[:, None, None] * vapour
        + share_air[:, None, None] * air.coefficients
        + residual[:, None, None] * burned
    )
    r_fuel = UNIVERSAL_GAS_CONSTANT / fuel_.molar_mass
    low, high = kernel_coefficients(unburned, 0), kernel_coefficients(unburned, 1)
    return {
        "heat": share_fuel * fuel_.combustion_efficiency * released,
        "gas_constant_unburned": share_fuel * r_fuel + share_air * air.gas_constant + residual * r_burned,
        "gas_constant_burned": r_burned,
        "unburned_low": low,
        "unburned_high": high,
        "difference_low": low - kernel_coefficients(burned, 0),
        "difference_high": high - kernel_coefficients(burned, 1),
    }


def cycle_fields(
    model: CycleModel,
    *,
    engine_speed: ArrayLike,
    mass: ArrayLike,
    temperature: ArrayLike,
    lambda_value: ArrayLike,
    residual_fraction: ArrayLike,
    angle_half_burned: ArrayLike,
    angle_step: float,
) -> Mapping[str, float | Array]:
    """Fields of the kernel's CYCLE records for n cycles; the arguments broadcast to (n,).

    engine_speed [rad/s]; mass [kg] trapped in one cylinder, air + fuel vapour + residual; temperature [K] at intake
    closing, fuel evaporated; lambda_value, residual_fraction [-]; angle_half_burned (CA50) [rad] after top dead centre;
    angle_step [rad] of the piston's way.
    """
    given = (engine_speed, mass, temperature, lambda_value, residual_fraction, angle_half_burned)
    speed, m, t, lam, residual, ca50 = np.broadcast_arrays(
        *(np.atleast_1d(np.asarray(g, float)) for g in given)
    )
    geometry, law, walls = model.geometry, model.burn, model.walls
    gases = _gases(model, lam, residual)
    pressure = m * gases["gas_constant_unburned"] * t / float(geometry.volume(geometry.intake_closing))
    duration = burn_duration(model, speed, pressure, t, lam, residual)
    start = np.asarray(
        burn.burn_start_wiebe(ca50, duration, law.wiebe_factor, law.wiebe_exponent), dtype=float
    )
    kept = dissociation.dissociation_work_factor(lam) if model.dissociation else 1.0
    end = burn.burn_progress_wiebe(model.watch_knock_to, law.wiebe_factor, law.wiebe_exponent)
    return {
        **gases,
        "angle_start": geometry.intake_closing,
        "angle_step": angle_step,
        "engine_speed": speed,
        "mass": m,
        "temperature": t,
        "burn_start": start,
        "burn_duration": duration,
        "wiebe_factor": law.wiebe_factor,
        "wiebe_exponent": law.wiebe_exponent,
        "angle_half_burned": ca50,
        "angle_knock_end": start + duration * float(end),
        "work_kept": kept,
        "wall_form": float(WALL_AUTHORS.index(walls.author)),
        "wall_factor": walls.factor,
        "wall_temperature": walls.temperature,
        "bore": geometry.bore,
        "displacement": geometry.displacement,
        "clearance_volume": geometry.clearance_volume,
        "mean_piston_speed": np.asarray(definitions.mean_piston_speed(geometry.stroke, speed), dtype=float),
        "octane_number": model.fuel.octane_number,
    }
