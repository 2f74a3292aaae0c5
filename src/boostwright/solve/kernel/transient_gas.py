"""Gas in volumes and through openings, and the compressor left of its surge line, for the transient kernel."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.solve.kernel.compressor import compressor_state, surge_flow
from boostwright.solve.kernel.gas import air_enthalpy, air_heat, exhaust_temperature

__all__ = [
    "air_in_volume",
    "compressor_anywhere",
    "exhaust_in_volume",
    "held_slope",
    "opening_flow",
    "restriction_flow",
    "throttle_flow",
    "throttle_share",
]

_FROM = 298.15  # K, where enthalpies are zero
_NEWTON_STEP = 1e-4  # K
_GAMMA = 1.4
_CRITICAL = (2.0 / (_GAMMA + 1.0)) ** (_GAMMA / (_GAMMA - 1.0))
_CHOKED = float(np.sqrt(_GAMMA) * (2.0 / (_GAMMA + 1.0)) ** ((_GAMMA + 1.0) / (2.0 * (_GAMMA - 1.0))))
_NEAR = 20.0  # Pa of difference, below which a root becomes a straight line
_OPEN_FROM = 0.8  # of its area, from where a throttle is a pipe's loss and no longer a nozzle
_SLOPE = 1e-3  # of flow, over which the line's slope at surge is taken
_STEEPEST = 3.0  # of the chord, a slope at the surge line that keeps the cubic monotone
_LET_GO = 0.95  # of the surge flow, left of which a rising line is let go
_BACK = 1.0  # of the head on the surge line, that one surge flow backwards asks in excess of no flow: own estimate


@compiled
def air_in_volume(p: Any, mass: float, energy: float, volume: float) -> Any:
    """Pressure [Pa] and temperature [K] of air with an internal energy h - R T [J], h zero at 298.15 K."""
    inner = energy / mass
    constant = p.gas_constant_air
    t = _FROM + (inner + constant * _FROM) / 725.0
    for _ in range(5):
        step = (air_enthalpy(p, t) - constant * t - inner) / (air_heat(p, t) - constant)
        t = min(max(t - step, 150.0), 990.0)
        if abs(step) < _NEWTON_STEP:
            break
    return mass * constant * t / volume, t


@compiled
def exhaust_in_volume(p: Any, mass: float, energy: float, volume: float) -> Any:
    """Pressure [Pa] and temperature [K] of exhaust gas with an internal energy h - R T [J]."""
    inner = energy / mass
    constant = p.gas_constant_exhaust
    t = exhaust_temperature(p, inner, -constant, _FROM + (inner + constant * _FROM) / 910.0)
    return mass * constant * t / volume, t


@compiled
def _root(difference: float) -> float:
    """Root of a pressure difference with its sign, a straight line through zero."""
    return difference / np.sqrt(np.sqrt(difference * difference + _NEAR * _NEAR))


@compiled
def _nozzle(ratio: float, drive: float) -> float:
    """Flow function of a nozzle at a pressure ratio below 1; ``drive`` is 1 - ratio with its root near zero."""
    if ratio <= _CRITICAL:
        return _CHOKED
    power = np.exp(np.log(ratio) / _GAMMA)
    steep = (
        2.0 * _GAMMA / (_GAMMA - 1.0) * power * (power - ratio) / (1.0 - ratio) if ratio < 0.999999 else 2.0
    )
    return np.sqrt(steep) * drive


@compiled
def opening_flow(area: float, p_a: float, t_a: float, p_b: float, t_b: float, constant: float) -> float:
    """Flow [kg/s] from a to b through an effective area [m2], compressible, negative backwards."""
    if p_a >= p_b:
        drive = _root(p_a - p_b) / np.sqrt(p_a)
        return area * p_a / np.sqrt(constant * t_a) * _nozzle(p_b / p_a, drive)
    drive = _root(p_b - p_a) / np.sqrt(p_b)
    return -area * p_b / np.sqrt(constant * t_b) * _nozzle(p_a / p_b, drive)


@compiled
def restriction_flow(loss: float, p_a: float, t_a: float, p_b: float, t_b: float) -> float:
    """Flow [kg/s] from a to b through a loss p_a - p_b = K m^2 T/p upstream, negative backwards."""
    if p_a >= p_b:
        return _root(p_a - p_b) * np.sqrt(p_a / (loss * t_a))
    return _root(p_a - p_b) * np.sqrt(p_b / (loss * t_b))


@compiled
def throttle_share(c: Any, position: float) -> float:
    """Open over whole area [-] of a throttle plate at a position [-]: 1 - cos(angle)/cos(shut angle), and a leak."""
    angle = c.throttle_shut + min(max(position, 0.0), 1.0) * (0.5 * np.pi - c.throttle_shut)
    share = 1.0 - np.cos(angle) / np.cos(c.throttle_shut)
    return c.throttle_leak + (1.0 - c.throttle_leak) * share


@compiled
def throttle_flow(p: Any, share: float, p_bp: float, t_bp: float, p_im: float, t_im: float) -> float:
    """Flow [kg/s] through the throttle: wide open the steady solver's own loss, else a nozzle of the open area."""
    wide = min(max((share - _OPEN_FROM) / (1.0 - _OPEN_FROM), 0.0), 1.0)
    wide *= wide * (3.0 - 2.0 * wide)
    found = 0.0
    if wide > 0.0:
        found = wide * restriction_flow(p.throttle_loss / (share * share), p_bp, t_bp, p_im, t_im)
    if wide < 1.0:
        area = share * np.sqrt(p.gas_constant_air / (2.0 * p.throttle_loss))
        found += (1.0 - wide) * opening_flow(area, p_bp, t_bp, p_im, t_im, p.gas_constant_air)
    return found


@compiled
def _left_of_surge(c: Any, table: Any, speed: float, flow: float, line: float, deep: float) -> Any:
    """Ratio and work left of the surge line: a cubic in flow from no flow to the line, a parabola backwards.

    The head at no flow is a stated share of that on the line (Greitzer 1976 has such a cubic); ``deep`` from 0 to 1
    leads over from the surface's own small sag at speeds below the map.
    """
    top, work = compressor_state(table, speed, line)
    beside, _w = compressor_state(table, speed, line * (1.0 + _SLOPE))
    head = top - 1.0
    least = 1.0 + c.zero_flow_head * head
    u = max(flow, 0.0) / line
    # slope over the whole way, held where the cubic would turn
    slope = min(max((beside - top) / _SLOPE, -_STEEPEST * (top - least)), _STEEPEST * (top - least))
    cubic = least + (top - least) * u * u * (3.0 - 2.0 * u) + slope * u * u * (u - 1.0)
    own, inner = compressor_state(table, speed, max(flow, 0.02 * line))
    ratio = own + deep * (cubic - own)
    if flow < 0.0:
        ratio += _BACK * head * (flow / line) ** 2
    return ratio, max(inner, 0.2 * work)


@compiled
def compressor_anywhere(c: Any, table: Any, speed: float, flow: float) -> Any:
    """Pressure ratio, specific work [J/kg at 288.15 K] and surge flow [kg/s].

    At a corrected speed [rad/s] and flow [kg/s], which may be negative. Right of the surge line it is the steady
    solver's own surface.
    """
    at = flow / c.compressor_flow_scale
    line = surge_flow(table, speed)
    if at >= line:
        ratio, work = compressor_state(table, speed, at)
    else:
        deep = min(max((speed - c.deep_from) / (c.deep_to - c.deep_from), 0.0), 1.0)
        ratio, work = _left_of_surge(c, table, speed, at, line, deep)
    ratio = 1.0 + (ratio - 1.0) * c.compressor_head_scale
    return ratio, work * c.compressor_work_scale, line * c.compressor_flow_scale


@compiled
def held_slope(
    c: Any, table: Any, speed: float, flow: float, ratio: float, through: float, line: float
) -> float:
    """Rise of the pressure ratio with flow [1/(kg/s)] that is kept from acting at once, 0 where the line falls.

    A card's line was measured in steady flow up to its surge line, also where it rises with flow; on a rig with a
    small volume that is stable, in front of a car's boost pipe it would swing. So while the flow that is taken from the
    pipe (``through``, corrected) lies right of the surge line a rise counts for steady flow only. Left of it, within
    5 %, all of it acts and the compressor surges.
    """
    share = min(max((through / line - _LET_GO) / (1.0 - _LET_GO), 0.0), 1.0)
    if share <= 0.0:
        return 0.0
    step = 2e-3 * line
    beside, _w, _l = compressor_anywhere(c, table, speed, flow + step)
    return share * max((beside - ratio) / step, 0.0)
