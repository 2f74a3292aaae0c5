"""A closed cycle to test with: one cylinder of the inline five, on petrol."""

from __future__ import annotations

import numpy as np

from boostwright.components.air import AmbientAir
from boostwright.components.closed_cycle import CycleFuel, CycleGeometry, CycleModel
from boostwright.physics.gas import air, mixture

DEGREE = np.pi / 180.0
RPM = np.pi / 30.0


def dry_air() -> AmbientAir:
    return AmbientAir(
        pressure=101325.0,
        temperature=293.15,
        humidity_ratio=0.0,
        mole_fractions=air.DRY_AIR,
        gas_constant=float(mixture.gas_constant(air.DRY_AIR)),
        coefficients=np.asarray(mixture.mixture_coefficients(air.DRY_AIR)),
    )


def petrol(**changes: float) -> CycleFuel:
    values = {
        "hydrogen_per_carbon": 1.87,
        "oxygen_per_carbon": 0.0,
        "lower_heating_value": 43.0e6,
        "latent_heat": 350e3,
        "molar_mass": 100.0,
        "octane_number": 98.0,
    }
    return CycleFuel(**{**values, **changes})


def model(**changes: object) -> CycleModel:
    geometry = CycleGeometry(bore=0.083, stroke=0.092, rod_length=0.148, compression_ratio=9.0)
    return CycleModel(**{"geometry": geometry, "fuel": petrol(), "air": dry_air(), **changes})


def full_load(**changes: float) -> dict[str, float]:
    """3000 rpm, 180 kPa in the manifold: about 1 g trapped in half a litre."""
    values = {
        "engine_speed": 3000.0 * RPM,
        "mass": 0.95e-3,
        "temperature": 360.0,
        "lambda_value": 0.9,
        "residual_fraction": 0.05,
        "angle_half_burned": 15.0 * DEGREE,
    }
    return {**values, **changes}
