"""Temperature of the residual gas: of a cycle that was found, and as a course that the solver can follow beforehand.

How much gas stays behind hangs on how hot it is, and that on the cycle to come. So the cycle is run at a few states
about those the engine will see, each repeated until what it leaves is what it began with; the solver then takes
the temperature from a polynomial through them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.components.cylinders import STROKE_PRESSURE
from boostwright.components.fuel import BurnedMixture
from boostwright.physics.cylinder import residual_gas
from boostwright.physics.gas import mixture
from boostwright.solve.kernel.layout import COURSE_FLOOR
from boostwright.solve.native import settled_temperatures

__all__ = ["left_by", "residual_course", "temperature_on_course"]

Array = NDArray[np.float64]
_CP_AT = 0.9  # of the temperature at exhaust opening: where cp is taken for the way down


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


# States the course goes through: density of the fresh air over the displacement [kg/m3], p_em/p_im - 1, T_im [K].
_NODES = np.array(
    [
        (1.5, -0.15, 295.0),  # the others are begun from what this one leaves
        (1.0, 0.0, 295.0),
        (1.0, 0.15, 320.0),
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
_FILLING = 0.92  # of the cylinders: the engine's own may still be sought, for a known curve
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


def residual_course(points: NDArray[np.void]) -> None:
    """Fill the course (n, 7) of the residual gas' temperature over air flow [kg/s], exhaust pressure [Pa] and
    temperature in the intake manifold [K], and a first guess (n,) [K] of the temperature of the exhaust.

    points  (n,) of dtype POINT, filled but for these two
    """
    found = settled_temperatures(points, _NODES, _FILLING, STROKE_PRESSURE, _GUESS)
    one, d, dd, e, de, s, ds = _COEFFICIENTS @ found.T
    per_flow = 4.0 * np.pi / (points["engine_speed"] * points["displacement"])
    per_pressure = _FILLING / (points["gas_constant_air"] * _MIDDLE)
    course = [
        one - s * _MIDDLE / _SPAN,
        (d - ds * _MIDDLE / _SPAN) * per_flow,
        dd * per_flow**2,
        e * per_pressure,
        de * per_flow * per_pressure,
        s / _SPAN,
        ds / _SPAN * per_flow,
    ]
    points["residual_course"] = np.stack(course, axis=-1)
    warmer = (found[:, _USUAL] - points["wall_temperature"]) * np.exp(points["exhaust_stroke_units"])
    points["temperature_residual"] = points["wall_temperature"] + warmer


def temperature_on_course(
    points: NDArray[np.void], flow: Array, temperature_im: Array, pressure_em: Array
) -> Array:
    """Temperature [K] (n,) of the residual gas as the solver takes it, at air flows [kg/s] of the engine."""
    one, m, mm, p, mp, t, mt = points["residual_course"].T
    course = one + t * temperature_im + p * pressure_em
    course = course + flow * (m + mm * flow + mp * pressure_em + mt * temperature_im)
    return np.asarray(np.maximum(course, COURSE_FLOOR * points["temperature_residual"]), dtype=float)
