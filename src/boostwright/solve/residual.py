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
from boostwright.solve.kernel.layout import COURSE_FLOOR
from boostwright.solve.native import cycle_outputs, knock_limited_phasings

__all__ = ["left_by", "residual_course", "temperature_on_course"]

Array = NDArray[np.float64]
_OPENING, _DURATION = 2, 6  # places in the outputs of a cycle
_CP_AT = 0.9  # of the temperature at exhaust opening: where cp is taken for the way down
_ROUNDS = 4


def left_by(
    p: NDArray[np.void],
    burned: BurnedMixture,
    temperature_opening: Array,
    pressure_opening: Array,
    pressure_em: Array,
) -> Array:
    """Temperature [K] (n,) of the residual gas after a cycle with these temperatures [K] and pressures [Pa].

    p, burned  the points and their exhaust (n,)
    """
    heat = np.asarray(mixture.specific_heat(burned.coefficients, _CP_AT * temperature_opening))
    with np.errstate(divide="ignore", invalid="ignore"):
        blown = temperature_opening * (pressure_em / pressure_opening) ** (burned.gas_constant / heat)
        units = p["exhaust_stroke_units"] * (pressure_em / STROKE_PRESSURE) ** -0.2
        after = residual_gas.temperature_after_exhaust_stroke.formula(blown, p["wall_temperature"], units)
    return np.asarray(after)


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
    share = breathing.overlap_backflow_volume.formula(
        at.pressure_em,
        at.pressure_im,
        hot,
        at.temperature_im,
        p["gas_constant_exhaust"],
        p["gas_constant_air"],
        p["overlap_opening"],
        1.0,
        p["overlap_piston"] * left,
    )
    left = breathing.residual_mass_with_overlap.formula(left, 1.0, share)
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
    burned: BurnedMixture,
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
        hot = left_by(p, burned, opening, pressure, at.pressure_em)
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
_FILLING = (
    0.92  # of the cylinders: the course does not follow the engine's own, which is sought for a known curve
)
_LIKELY = 2  # the node from which the others are begun
_GUESS = 850.0  # K
_USUAL = 7  # the node whose cycle stands for the exhaust in a first guess
_MIDDLE, _SPAN = 315.0, 25.0  # K, of the charge in the intake manifold


def _through_nodes() -> Array:
    """From temperatures at the nodes (k,) to coefficients (7,) of 1, d, d^2, e, d e, s, d s: least squares.

    d is the density of the fresh air, e that of the air an engine would hold at the exhaust's pressure, s the scaled
    temperature in the intake manifold.
    """
    d, excess, warm = _NODES.T
    e, s = d * warm / _MIDDLE * (1.0 + excess), (warm - _MIDDLE) / _SPAN
    return np.asarray(np.linalg.pinv(np.stack([np.ones_like(d), d, d * d, e, d * e, s, d * s], axis=-1)))


_COEFFICIENTS = _through_nodes()


def residual_course(
    p: NDArray[np.void], rows: Array, spark: Spark, burned: BurnedMixture
) -> dict[str, Array]:
    """Point fields: course (n, 7) of the temperature of the residual gas over air flow [kg/s], exhaust pressure [Pa]
    and temperature in the intake manifold [K], and a first guess (n,) [K] of the temperature of the exhaust.

    p  the points (n,), all filled but these two
    """
    volume = p["displacement"] / p["cylinders"]
    hot, found = np.full(volume.shape, _GUESS), {}
    for k in (_LIKELY, *(k for k in range(len(_NODES)) if k != _LIKELY)):
        density, excess, warm = _NODES[k]
        pressure = density * p["gas_constant_air"] * warm / _FILLING
        at = _Manifolds(density * volume, pressure, np.full(volume.shape, warm), pressure * (1.0 + excess))
        found[k] = _settled(p, rows, spark, burned, at, hot, _ROUNDS if k == _LIKELY else 2)
        hot = found[_LIKELY]
    one, d, dd, e, de, s, ds = _COEFFICIENTS @ np.stack([found[k] for k in range(len(_NODES))])
    per_flow = 4.0 * np.pi / (p["engine_speed"] * p["displacement"])
    per_pressure = _FILLING / (p["gas_constant_air"] * _MIDDLE)
    course = [
        one - s * _MIDDLE / _SPAN,
        (d - ds * _MIDDLE / _SPAN) * per_flow,
        dd * per_flow**2,
        e * per_pressure,
        de * per_flow * per_pressure,
        s / _SPAN,
        ds / _SPAN * per_flow,
    ]
    warmer = (found[_USUAL] - p["wall_temperature"]) * np.exp(p["exhaust_stroke_units"])
    return {
        "residual_course": np.stack(course, axis=-1),
        "temperature_residual": p["wall_temperature"] + warmer,
    }


def temperature_on_course(
    points: NDArray[np.void], flow: Array, temperature_im: Array, pressure_em: Array
) -> Array:
    """Temperature [K] (n,) of the residual gas as the solver takes it, at air flows [kg/s] of the engine."""
    one, m, mm, p, mp, t, mt = points["residual_course"].T
    course = one + t * temperature_im + p * pressure_em
    course = course + flow * (m + mm * flow + mp * pressure_em + mt * temperature_im)
    return np.asarray(np.maximum(course, COURSE_FLOOR * points["temperature_residual"]), dtype=float)
