"""Pulses at the turbine: one parameter, from which averaging the turbine's table gives both flow and power.

The pressure ahead of the turbine swings as p_em (1 + a sin), p_em the mean over time, which is what the solver carries
and prints. The wheel keeps its speed within a pulse, the gas follows an isentrope, and the turbine answers each
instant as it would in steady flow. Averages of flow and of power over a pulse, divided by their values at the mean
state, make a new table; the solver reads it like any other. The page docs/explain/turbine.md tells the rest.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.build.build import Section
from boostwright.components.turbine import TurbineTable, pack_turbine
from boostwright.numerics.uniform_grid import finer_grid, node_values, surfaces_at

__all__ = [
    "LARGEST_AMPLITUDE",
    "PulsingTurbine",
    "pulse_amplitude",
    "pulse_amplitude_by_rule",
    "pulse_averaged",
    "pulsing_turbine",
    "turbine_at",
]

Array = NDArray[np.float64]

LARGEST_AMPLITUDE = 0.6
"""Relative amplitude beyond which the form is not meant."""
_EXPONENT = 0.30 / 1.30  # (gamma - 1)/gamma of exhaust gas
_NEAREST = 0.01  # ln(ratio) that stands for a ratio of 1, where flow and ideal drop vanish together
_PHASES = 24
_STEP = 0.025  # of amplitude between worked-out tables
_FINEST = 0.002  # of amplitude between blended ones: a tenth of a per cent of the pulses' own effect
_STRAIGHT = 1e-3  # as in solve.kernel.turbine
# Own estimate. Remembered traces of four cylinders on one entry swing by about 0.3 of the mean at 1500 rpm and by half
# of that at 6000 rpm, by more with three and by less with six, as pulses stand apart or overlap. The rule stands a
# little lower, since a housing that fills and empties takes away part of what the quasi-steady average promises.
_RULE, _RULE_SPEED = 1.2, 4500.0 * np.pi / 30.0


def pulse_amplitude_by_rule(speed: Array, cylinders: float) -> Array:
    """Relative pulse amplitude [-] where nobody has stated one; own estimate, good to half of itself.

    speed      (n,) [rad/s] of the engine
    cylinders  [-] that feed one turbine
    1.2 over the cylinders and over 1 + speed/4500 rpm, at most LARGEST_AMPLITUDE.
    """
    return np.minimum(_RULE / (cylinders * (1.0 + speed / _RULE_SPEED)), LARGEST_AMPLITUDE)


def pulse_amplitude(section: Section, cylinders: float, speeds: Array) -> Array:
    """Relative pulse amplitude (n,) [-] of a build at engine speeds (n,) [rad/s]: as written, else by the rule.

    section    [turbine]
    cylinders  [-] that feed one turbine
    """
    if section.has("pulse_amplitude"):
        curve = section.curve("pulse_amplitude")
        return np.array([curve.at(float(speed)) for speed in speeds])
    return pulse_amplitude_by_rule(speeds, cylinders)


def _layout(table: Array) -> tuple[int, int, float, float, Array, Array]:
    """Nodes and ends of the two axes, and the two packed surfaces, of a turbine's table."""
    nx, ny = int(table[0]), int(table[1])
    size = nx * ny * 4
    return nx, ny, float(table[2]), float(table[3]), table[4 : 4 + size], table[4 + size :]


def turbine_at(table: Array, ratio: Array, blade_speed_ratio: Array) -> tuple[Array, Array]:
    """Swallowing capacity [kg sqrt(K)/(s Pa)] and efficiency [-] of a table at many states, as the solver reads it.

    table              packed, see solve.kernel.turbine
    ratio              (n,) [-] expansion ratio, above 0
    blade_speed_ratio  (n,) [-]
    """
    nx, ny, _, _, flow_surface, efficiency_surface = _layout(table)
    x, inside, y = _coordinates(table, ratio, blade_speed_ratio)
    flow, efficiency = surfaces_at([flow_surface, efficiency_surface], nx, ny, x, inside)
    beyond = np.flatnonzero(y > inside)
    if beyond.size:
        step = 0.05
        (edge,) = surfaces_at([efficiency_surface], nx, ny, x[beyond], inside[beyond] - step)
        efficiency[beyond] += (efficiency[beyond] - edge) / step * (y - inside)[beyond]
    return flow * _root(ratio), efficiency


def _swallowing_at(table: Array, ratio: Array, blade_speed_ratio: Array) -> Array:
    """Swallowing capacity alone, as ``turbine_at`` has it."""
    nx, ny, _, _, flow_surface, _ = _layout(table)
    x, inside, _ = _coordinates(table, ratio, blade_speed_ratio)
    return surfaces_at([flow_surface], nx, ny, x, inside)[0] * _root(ratio)


def _coordinates(table: Array, ratio: Array, blade: Array) -> tuple[Array, Array, Array]:
    """Grid coordinates: along the ratio, along the blade-speed ratio inside the table, and where it really is."""
    nx, ny, x_end, y_end, _, _ = _layout(table)
    x = np.minimum(np.log(np.maximum(ratio, 1.0)) / x_end * (nx - 1), nx - 1.0)
    y = blade / y_end * (ny - 1)
    return x, np.clip(y, 0.0, ny - 1.0), y


def _root(ratio: Array) -> Array:
    """sqrt(1 - 1/ratio), a straight line through zero next to a ratio of 1."""
    drive = 1.0 - 1.0 / ratio
    return np.where(drive < _STRAIGHT, drive / np.sqrt(_STRAIGHT), np.sqrt(np.maximum(drive, _STRAIGHT)))


def _averages(table: Array, ratio: Array, blade: Array, amplitude: float, phases: int) -> tuple[Array, Array]:
    """Flow over that at the mean state [-], and efficiency on the mean state's ideal power [-], at states (n,).

    The lowest pressure of a pulse is not let fall below the outlet's: there the flow stops and nothing draws the
    pressure further down. Gas temperatures stand on the isentrope whose mean, weighted by flow, is the temperature_em
    of the solver: no more enthalpy passes the wheel than the engine delivers.
    """
    held = np.minimum(amplitude, 1.0 - 1.0 / ratio)[:, None]
    swing = np.cos(np.pi * (np.arange(phases) + 0.5) / phases)[None, :]  # sine at phases of equal weight
    pressure = 1.0 + held * swing
    warmth = pressure**_EXPONENT
    drop = -np.expm1(-_EXPONENT * np.log(np.maximum(ratio[:, None] * pressure, 1.0)))
    mean_drop = -np.expm1(-_EXPONENT * np.log(ratio))

    def states(level: Array) -> tuple[Array, Array]:
        faster = np.sqrt(mean_drop[:, None] / np.maximum(drop * warmth * level[:, None], 1e-12))
        return (ratio[:, None] * pressure).ravel(), (blade[:, None] * faster).ravel()

    def gas_of(swallow: Array) -> Array:
        return np.maximum(swallow.reshape(pressure.shape), 0.0) * pressure / np.sqrt(warmth)

    # temperature of the isentrope at the mean pressure, over the mean weighted by flow: begun where flow goes with
    # pressure, and put right once, for only the blade-speed ratio hangs on it
    gas = gas_of(_swallowing_at(table, *states(1.0 - 0.6 * _EXPONENT * held[:, 0] ** 2)))
    level = gas.mean(axis=1) / (gas * warmth).mean(axis=1)
    swallow, efficiency = turbine_at(table, *states(level))
    gas = gas_of(swallow)
    level = gas.mean(axis=1) / (gas * warmth).mean(axis=1)
    flow = gas.mean(axis=1) / np.sqrt(level)
    power = (gas * efficiency.reshape(pressure.shape) * drop * warmth).mean(axis=1) * np.sqrt(level)
    return flow / _swallowing_at(table, ratio, blade), power / (flow * mean_drop)


def pulse_averaged(table: Array, amplitude: float, phases: int = _PHASES) -> Array:
    """A turbine's table averaged over a pulse; with an amplitude of 0 the very same table.

    table      packed, see solve.kernel.turbine
    amplitude  [-] of the pressure over its mean over time, 0 to LARGEST_AMPLITUDE
    phases     [-] of a pulse that are looked at
    Returns a table of the same layout: flow is the mean flow, and efficiency the mean power over the ideal power of the
    mean flow, both at the mean pressure, the enthalpy-mean temperature and their blade-speed ratio. It can exceed the
    steady efficiency, since more gas comes when more can be got out of it.
    """
    if amplitude == 0.0:
        return table
    nx, ny, x_end, y_end, flow_surface, _ = _layout(table)
    half = ny // 2 + 1  # both averages change gently with blade-speed ratio: every second node is worked out
    x, blade = np.meshgrid(np.linspace(0.0, x_end, nx), np.linspace(0.0, y_end, half), indexing="ij")
    ratio = np.exp(np.maximum(x, _NEAREST)).ravel()
    factor, efficiency = _averages(table, ratio, blade.ravel(), amplitude, phases)
    flow = node_values(flow_surface, nx, ny) * finer_grid(factor.reshape(nx, half), nx, ny)
    return pack_turbine(flow, finer_grid(efficiency.reshape(nx, half), nx, ny))


class PulsingTurbine:
    """One turbine at many pulse amplitudes: tables at steps of amplitude, blended between them.

    The effect of pulses goes with the square of their amplitude, so two neighbours are blended by squares, each node by
    the amplitude that holds there. Tables are worked out when they are first asked for and kept.
    """

    def __init__(self, turbine: TurbineTable) -> None:
        """From the steady turbine."""
        self.turbine = turbine
        nx, ny, x_end, _, flow, efficiency = _layout(turbine.table)
        self._most = -np.expm1(-np.maximum(np.linspace(0.0, x_end, nx), _NEAREST))[:, None]
        self._worked_out = {0: (node_values(flow, nx, ny), node_values(efficiency, nx, ny))}

    def _step(self, number: int) -> tuple[Array, Array]:
        if number not in self._worked_out:
            made = pulse_averaged(self.turbine.table, number * _STEP)
            nx, ny, _, _, flow, efficiency = _layout(made)
            self._worked_out[number] = node_values(flow, nx, ny), node_values(efficiency, nx, ny)
        return self._worked_out[number]

    def table(self, amplitude: float) -> Array:
        """The table at one amplitude [-], 0 to LARGEST_AMPLITUDE; at 0 the steady one itself."""
        if amplitude == 0.0:
            return self.turbine.table
        number = int(amplitude / _STEP + 1e-9)
        low = number * _STEP
        high = np.minimum(low + _STEP, self._most)  # a pulse does not reach below the outlet's pressure
        held = np.minimum(amplitude, self._most)
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.where(high > low, (held**2 - low**2) / (high**2 - low**2), 0.0)
        if not share.any():
            return pack_turbine(*self._step(number))
        below, above = self._step(number), self._step(number + 1)
        flow, efficiency = ((1.0 - share) * a + share * b for a, b in zip(below, above, strict=True))
        return pack_turbine(flow, efficiency)

    def tables(self, amplitudes: Array) -> tuple[Array, NDArray[np.int64]]:
        """Tables (j, m), one for each amplitude met, and for each of the amplitudes (n,) [-] the row it reads."""
        rounded = np.round(np.clip(amplitudes, 0.0, LARGEST_AMPLITUDE) / _FINEST).astype(np.int64)
        met, index = np.unique(rounded, return_inverse=True)
        rows = np.stack([self.table(float(number) * _FINEST) for number in met])
        return np.ascontiguousarray(rows), index.astype(np.int64)


_KEPT: dict[bytes, PulsingTurbine] = {}
_KEEP = 8


def pulsing_turbine(turbine: TurbineTable) -> PulsingTurbine:
    """The turbine with its averaged tables; the last few are kept, since a sweep asks for the same one many times."""
    key = turbine.table.tobytes()
    if key not in _KEPT:
        while len(_KEPT) >= _KEEP:
            _KEPT.pop(next(iter(_KEPT)))
        _KEPT[key] = PulsingTurbine(turbine)
    return _KEPT[key]
