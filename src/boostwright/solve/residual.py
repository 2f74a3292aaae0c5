"""Temperature of the residual gas: of a cycle that was found, and as a course that the solver can follow beforehand.

How much gas stays behind hangs on how hot it is, and that on the cycle to come. So the cycle is run at a few states
about those the engine will see, each repeated until what it leaves is what it began with; the solver then takes
the temperature from a polynomial through them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.components.cylinders import STROKE_PRESSURE
from boostwright.components.fuel import BurnedMixture
from boostwright.physics.cylinder import breathing, residual_gas, trapped_charge
from boostwright.physics.gas import mixture
from boostwright.solve.cycle_rows import Spark
from boostwright.solve.kernel.layout import COURSE_FLOOR, COURSE_TEMPERATURE
from boostwright.solve.native import cycle_outputs, knock_limited_phasings

__all__ = ["CycleEnds", "left_by", "residual_course", "temperature_on_course"]

Array = NDArray[np.float64]
_OPENING, _DURATION = 2, 6  # places in the outputs of a cycle
_CP_AT = 0.9  # of the temperature at exhaust opening: where cp is taken for the way down
_ROUNDS = 4


@dataclass(frozen=True)
class CycleEnds:
    """What the temperature of the residual gas needs to know of an engine, at its points (n,).

    wall_temperature [K]; transfer_units [-] of ``Engine.exhaust_stroke_units``; mixture of the burned gas
    """

    wall_temperature: Array
    transfer_units: Array
    mixture: BurnedMixture


def left_by(
    ends: CycleEnds, temperature_opening: Array, pressure_opening: Array, pressure_em: Array
) -> Array:
    """Temperature [K] of the residual gas (..., n) after a cycle with these temperatures [K] and pressures [Pa]."""
    burned = ends.mixture
    shape = np.broadcast_shapes(temperature_opening.shape, burned.gas_constant.shape)
    coefficients = np.broadcast_to(burned.coefficients, (*shape, *burned.coefficients.shape[1:]))
    heat = np.asarray(mixture.specific_heat(coefficients, _CP_AT * temperature_opening))
    with np.errstate(divide="ignore", invalid="ignore"):
        blown = temperature_opening * (pressure_em / pressure_opening) ** (burned.gas_constant / heat)
        units = ends.transfer_units * (pressure_em / STROKE_PRESSURE) ** -0.2
        return np.asarray(
            residual_gas.temperature_after_exhaust_stroke.formula(blown, ends.wall_temperature, units)
        )


@dataclass(frozen=True)
class _Manifolds:
    """State of the manifolds at points (n,): air [kg] a cycle and cylinder, pressures [Pa], temperature [K]."""

    air: Array
    pressure_im: Array
    temperature_im: Array
    pressure_em: Array


def _trapped(p: NDArray[np.void], at: _Manifolds, hot: Array) -> tuple[Array, Array, Array]:
    """Mass [kg], temperature [K] and residual fraction (n,) of the charge, the residual gas being ``hot`` [K]."""
    left = at.pressure_em * p["residual_volume"] / (p["gas_constant_exhaust"] * hot)
    back = breathing.overlap_backflow_volume.formula(
        at.pressure_em,
        at.pressure_im,
        hot,
        at.temperature_im,
        p["gas_constant_exhaust"],
        p["gas_constant_air"],
        p["overlap_area_angle"],
        p["engine_speed"],
        p["overlap_piston"] * left,
    )
    left = breathing.residual_mass_with_overlap.formula(left, p["residual_volume"], back)
    mass = at.air * (1.0 + p["fuel_air_ratio"]) + left
    temperature = trapped_charge.temperature_of_mixed_charge.formula(
        at.air * p["fresh_heat"],
        at.temperature_im,
        left * p["residual_heat"],
        hot,
        at.air * p["evaporation_heat"],
        0.0,
    )
    temperature = temperature + p["intake_heat_share"] * (p["wall_temperature"] - temperature)
    return mass, temperature + p["trapped_temperature_shift"], left / mass


def _settled(
    p: NDArray[np.void],
    rows: Array,
    spark: Spark,
    ends: CycleEnds,
    at: _Manifolds,
    hot: Array,
    rounds: int,
) -> Array:
    """Temperature [K] (n,) of the residual gas that a cycle leaves which began with it, from a first guess ``hot``."""
    for _ in range(rounds):
        mass, temperature, residual = _trapped(p, at, hot)
        angle = spark.phasing
        if spark.set_by == "knock-limit":
            angle = np.maximum(angle, knock_limited_phasings(rows, mass, temperature, residual, spark.limit))
        elif spark.set_by == "advance":
            guess = cycle_outputs(rows, mass, temperature, residual, np.full(len(rows), 0.2))
            angle = angle + spark.limit * guess[:, _DURATION]
        opening = cycle_outputs(rows, mass, temperature, residual, angle)[:, _OPENING]
        pressure = mass * p["gas_constant_exhaust"] * opening / p["volume_opening"]
        hot = left_by(ends, opening, pressure, at.pressure_em)
    return hot


# States the course goes through: density of the fresh air over the displacement [kg/m3], p_em/p_im - 1, T_im [K].
_NODES = np.array(
    [
        (1.0, 0.0, 295.0),
        (1.0, 0.15, 320.0),
        (1.5, -0.15, 295.0),
        (1.5, 0.3, 320.0),
        (1.5, 0.0, 345.0),
        (2.0, 0.6, 320.0),
        (2.0, -0.15, 320.0),
        (2.0, 0.15, 320.0),
        (2.6, -0.15, 320.0),
        (2.6, 0.15, 345.0),
        (2.6, 0.3, 320.0),
        (3.2, 0.15, 320.0),
    ]
)
_LIKELY = 2  # the node from which the others are begun
_GUESS = 850.0  # K
_USUAL_STATE = 7  # the node whose cycle stands for the exhaust in a first guess


def _terms(density: Array, excess: Array, temperature_im: Array) -> Array:
    """Terms of the course, as ``solve.kernel.cylinder`` sums them (..., 8)."""
    warm = (temperature_im - COURSE_TEMPERATURE[0]) / COURSE_TEMPERATURE[1]
    ones = np.ones(np.shape(density))
    terms = (ones, density, density**2, excess, excess**2, density * excess, warm * ones, density * warm)
    return np.stack(terms, axis=-1)


_THROUGH_NODES = np.linalg.pinv(_terms(*_NODES.T))


def residual_course(p: NDArray[np.void], rows: Array, spark: Spark, ends: CycleEnds) -> dict[str, Array]:
    """Point fields: the course (n, 8) [K] of the temperature of the residual gas, and a first guess (n,) [K] of that of
    the exhaust.

    p  the points (n,), all filled but these two
    """
    volume = p["displacement"] / p["cylinders"]
    hot, found = np.full(volume.shape, _GUESS), []
    order = [_LIKELY, *(k for k in range(len(_NODES)) if k != _LIKELY)]
    for k in order:
        density, excess, warm = _NODES[k]
        pressure = density * p["gas_constant_air"] * warm / p["volumetric_efficiency"]
        at = _Manifolds(density * volume, pressure, np.full(volume.shape, warm), pressure * (1.0 + excess))
        found.append(_settled(p, rows, spark, ends, at, hot, _ROUNDS if k == _LIKELY else 2))
        hot = found[0]
    values = np.stack(found)[np.argsort(order)]
    units = ends.transfer_units
    usual = p["wall_temperature"] + (values[_USUAL_STATE] - p["wall_temperature"]) * np.exp(units)
    return {"residual_course": (_THROUGH_NODES @ values).T, "temperature_residual": usual}


def temperature_on_course(
    points: NDArray[np.void], air: Array, pressure_im: Array, temperature_im: Array, pressure_em: Array
) -> Array:
    """Temperature [K] (n,) of the residual gas as the solver takes it, air [kg] a cycle and cylinder."""
    density = air * points["cylinders"] / points["displacement"]
    terms = _terms(density, pressure_em / pressure_im - 1.0, temperature_im)
    course = np.einsum("nk,nk->n", terms, points["residual_course"])
    return np.asarray(np.maximum(course, COURSE_FLOOR * points["temperature_residual"]), dtype=float)
