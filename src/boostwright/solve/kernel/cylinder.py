"""One cylinder inside the compiled solver: what is trapped, when it burns, what work and heat it leaves to the exhaust.

The closed cycle is read from the point's own piece of the table (``POINT.cycle``): sixteen numbers of head, then four
polynomials of charge density, temperature, residual fraction and angle of half burned: work and wall heat over the heat
set free, temperature at exhaust opening, and what sets the phasing (the knock integral, or the burn duration where
spark is given by its angle). Residual gas is part of the state: its mass follows from the exhaust pressure and from
what runs through both valves, with the temperature that such cycles leave it at (``solve.residual``).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled, scratch
from boostwright.numerics.weighted_rows import chebyshev_sum, graded_products, graded_sums
from boostwright.physics.cylinder import breathing, residual_gas, trapped_charge
from boostwright.solve.kernel.cycle_table import RESIDUAL_POWER, bent
from boostwright.solve.kernel.layout import COURSE_FLOOR, PHASING, SPARK_ANGLE

__all__ = ["cylinder_cycle"]

_HEAD = 16
_SMOOTHING = 1000.0  # Pa across the valves in overlap, below which the root is rounded off
_CORNER = 0.005  # rad: within it the later of best and knock-limited phasing is rounded
_backflow = compiled(breathing.overlap_backflow_volume.formula)
_with_overlap = compiled(breathing.residual_mass_with_overlap.formula)
_residual_mass = compiled(residual_gas.residual_mass_in_clearance.formula)
_mixed = compiled(trapped_charge.temperature_of_mixed_charge.formula)
_outside = compiled(trapped_charge.work_outside_closed_part.formula)


@compiled
def _falls_to(c: Any, target: float) -> float:
    """Place in [-1, 1] where the falling polynomial of the last 6 of ``c`` (24,) meets ``target``, else the end."""
    p0 = c[18] - c[20] + c[22] - target
    p1 = c[19] - 3.0 * c[21] + 5.0 * c[23]
    p2 = 2.0 * c[20] - 8.0 * c[22]
    p3 = 4.0 * c[21] - 20.0 * c[23]
    p4 = 8.0 * c[22]
    p5 = 16.0 * c[23]
    left = p0 - p1 + p2 - p3 + p4 - p5
    if left <= 0.0:
        return -1.0
    right = p0 + p1 + p2 + p3 + p4 + p5
    if right >= 0.0:
        return 1.0
    # parabola through both ends and the middle, then Halley's step: what is left is below 0.01 deg, and the way is
    # always the same, so that the answer is as smooth as the polynomial
    tilt = 0.5 * (right - left)
    bend = 0.5 * (right + left) - p0
    root = np.sqrt(max(tilt * tilt - 4.0 * bend * p0, 0.0))
    x = min(max(2.0 * p0 / (root - tilt), -1.0), 1.0)
    value = p0 + x * (p1 + x * (p2 + x * (p3 + x * (p4 + x * p5))))
    slope = min(p1 + x * (2.0 * p2 + x * (3.0 * p3 + x * (4.0 * p4 + x * 5.0 * p5))), -1e-3)
    curve = p2 + x * (3.0 * p3 + x * (6.0 * p4 + x * 10.0 * p5))
    return min(max(x - value * slope / max(slope * slope - value * curve, 0.5 * slope * slope), -1.0), 1.0)


@compiled
def _phasing(p: Any, along: Any) -> float:
    """Angle of half burned [rad] by the point's own rule; ``along`` (24,), the last six those of what sets it."""
    if p.spark_form == PHASING:
        return float(p.phasing)
    if p.spark_form == SPARK_ANGLE:
        # the duration does not know the angle: its terms of even degree are taken in the middle of the box
        return float(p.phasing + p.spark_limit * (along[18] - along[20] + along[22]))
    limit = p.cycle[6] + _falls_to(along, p.spark_limit) / p.cycle[7]
    apart = p.phasing - limit
    return float(0.5 * (p.phasing + limit + np.sqrt(apart * apart + _CORNER * _CORNER)))


@compiled
def _residual_temperature(p: Any, flow: float, t_im: float, p_em: float) -> float:
    """Temperature [K] of the residual gas on the point's course."""
    c = p.residual_course
    course = c[0] + c[5] * t_im + c[3] * p_em + flow * (c[1] + c[2] * flow + c[4] * p_em + c[6] * t_im)
    return max(course, COURSE_FLOOR * p.temperature_residual)


@compiled
def _trapped(p: Any, flow: float, p_im: float, t_im: float, p_em: float) -> Any:
    """Fresh air [kg], trapped mass [kg], its temperature [K], residual fraction, heat taken up on the way in [J]."""
    air = flow * 4.0 * np.pi / (p.engine_speed * p.cylinders)
    hot = _residual_temperature(p, flow, t_im, p_em)
    left = _residual_mass(p_em, p.residual_volume, p.gas_constant_exhaust, hot)
    if p.overlap_opening > 0.0:
        share = _backflow(  # of the volume that stays
            p_em,
            p_im,
            hot,
            t_im,
            p.gas_constant_exhaust,
            p.gas_constant_air,
            p.overlap_opening,
            1.0,
            p.overlap_piston * left,
            _SMOOTHING,
        )
        # the relation's exponential is 1 where gas runs back
        left = left + left * share if share >= 0.0 else _with_overlap(left, 1.0, share)
    mass = air * (1.0 + p.fuel_air_ratio) + left
    capacity = air * p.fresh_heat
    capacity_left = left * p.residual_heat
    temperature = _mixed(capacity, t_im, capacity_left, hot, air * p.evaporation_heat, 0.0)
    warmer = p.intake_heat_share * (p.wall_temperature - temperature)
    taken_up = warmer * (capacity + capacity_left)
    return air, mass, temperature + warmer + p.trapped_temperature_shift, left / mass, taken_up


@compiled
def cylinder_cycle(p: Any, flow: float, p_im: float, t_im: float, p_em: float) -> Any:
    """One cylinder's cycle at fresh air flow [kg/s] of the whole engine and manifold states.

    Returns, per cylinder and cycle: fresh air [kg], trapped mass [kg], its temperature [K] and residual fraction, angle
    of half burned [rad], gross work from bottom to bottom dead centre [J], heat to the walls while the valves are shut
    [J], heat taken up on the way in [J], temperature [K] and pressure [Pa] at exhaust opening, pressure at intake
    closing [Pa], logarithm of the trapped mass.
    """
    row = p.cycle
    air, mass, temperature, residual, taken_up = _trapped(p, flow, p_im, t_im, p_em)
    three, along = scratch(36), scratch(24)
    log_mass = np.log(mass)
    a = bent((log_mass - row[8] - row[0]) * row[1])
    b = bent((np.log(temperature) - row[2]) * row[3])
    c = bent((residual**RESIDUAL_POWER - row[4]) * row[5])
    graded_products(a, b, c, three)
    graded_sums(row, _HEAD, three, along)
    angle = _phasing(p, along)
    d = bent((angle - row[6]) * row[7])
    work_share = chebyshev_sum(along, 0, d)
    wall_share = chebyshev_sum(along, 6, d)
    t_open = chebyshev_sum(along, 12, d)
    fresh = air * (1.0 + p.fuel_air_ratio)
    heat = fresh * row[9]
    # what the break-up of hot gas costs stays in the gas
    t_open += (1.0 - row[11]) * heat * work_share / (mass * row[13])
    p_open = mass * p.gas_constant_exhaust * t_open / p.volume_opening
    gas = fresh * p.gas_constant_fresh + (mass - fresh) * p.gas_constant_exhaust
    p_close = gas * temperature / p.volume_closing
    bottom = p.displacement / p.cylinders + p.clearance_volume
    work = heat * row[11] * work_share + _outside(
        p_close, bottom - p.volume_closing, p_open, p_em, bottom - p.volume_opening
    )
    return (
        air,
        mass,
        temperature,
        residual,
        angle,
        work,
        heat * wall_share,
        taken_up,
        t_open,
        p_open,
        p_close,
        log_mass,
    )
