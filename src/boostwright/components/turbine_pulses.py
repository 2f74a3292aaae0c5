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
from boostwright.components.turbine_lookup import RatioRows, TableLayout
from boostwright.numerics.uniform_grid import finer_grid

__all__ = [
    "AMPLITUDE_STEP",
    "LARGEST_AMPLITUDE",
    "PulsingTurbine",
    "deepest_trough",
    "pulse_amplitude",
    "pulse_amplitude_by_rule",
    "pulse_averaged",
    "pulsing_turbine",
]

Array = NDArray[np.float64]

LARGEST_AMPLITUDE = 0.6
"""Relative amplitude beyond which the form is not meant."""
_EXPONENT = 0.30 / 1.30  # (gamma - 1)/gamma of exhaust gas
_NEAREST = 0.01  # ln(ratio) that stands for a ratio of 1, where flow and ideal drop vanish together
_PHASES = 24
_SHARES = np.array([0.0, 0.3, 0.5, 0.65, 0.8, 0.9, 1.0])
"""Shares of the largest pulse at which averages are worked out: closer where its trough comes near the outlet."""
AMPLITUDE_STEP = 0.002
"""Of amplitude between blended tables: a tenth of a per cent of the pulses' own effect."""
_TABLES_AT_ONCE = 16  # few enough to stay in the caches
# Own estimate. Remembered traces of four cylinders on one entry swing by about 0.3 of the mean at 1500 rpm and by half
# of that at 6000 rpm, by more with three and by less with six, as pulses stand apart or overlap. The rule stands a
# little lower, since a housing that fills and empties takes away part of what the quasi-steady average promises.
_RULE, _RULE_SPEED = 1.2, 4500.0 * np.pi / 30.0
# Exhaust valves stand open for about 240 of 720 degrees: with up to three cylinders the flow stops between two pulses,
# with more it does not, and the pressure keeps off the outlet's. Own estimate of how far.
_APART = 3.5


def pulse_amplitude_by_rule(speed: Array, cylinders: float) -> Array:
    """Relative pulse amplitude [-] where nobody has stated one; own estimate, good to half of itself.

    speed      (n,) [rad/s] of the engine
    cylinders  [-] that feed one turbine
    1.2 over the cylinders and over 1 + speed/4500 rpm, at most LARGEST_AMPLITUDE.
    """
    return np.minimum(_RULE / (cylinders * (1.0 + speed / _RULE_SPEED)), LARGEST_AMPLITUDE)


def deepest_trough(cylinders: float) -> float:
    """Share [-] of the way from the mean pressure down to the outlet's that a pulse can go; 1 down to it.

    cylinders  [-] that feed one turbine
    With up to three the pulses stand apart; more overlap, and 3.5 over their number is left. Own estimate.
    """
    return min(_APART / cylinders, 1.0)


def pulse_amplitude(section: Section, cylinders: float, speeds: Array) -> Array:
    """Relative pulse amplitude (n,) [-] of a build at engine speeds (n,) [rad/s]: as written, else by the rule.

    section    [turbine]
    cylinders  [-] that feed one turbine
    """
    if section.has("pulse_amplitude"):
        return section.curve("pulse_amplitude").along(speeds)
    return pulse_amplitude_by_rule(speeds, cylinders)


def _averages(
    table: Array, ratio: Array, blade: Array, held: Array, phases: int = _PHASES
) -> tuple[Array, Array]:
    """Flow over that at the mean state [-], and efficiency on the mean state's ideal power [-], each (n, m).

    ratio (n,), blade (m,), held (n,) the amplitude at each ratio, at which the lowest pressure of a pulse does not
    fall below the outlet's, where the flow stops and nothing draws it further down. Gas temperatures stand on the
    isentrope whose mean, weighted by flow, is the temperature_em of the solver: no more enthalpy passes than the
    engine delivers.
    """
    swing = np.cos(np.pi * (np.arange(phases) + 0.5) / phases)  # sine at phases of equal weight
    pressure = 1.0 + held[:, None] * swing
    warmth = pressure**_EXPONENT
    drop = -np.expm1(-_EXPONENT * np.log(np.maximum(ratio[:, None] * pressure, 1.0)))
    mean_drop = -np.expm1(-_EXPONENT * np.log(ratio))
    faster = np.sqrt(mean_drop[:, None] / np.maximum(drop * warmth, 1e-12))
    rows = RatioRows(table, (ratio[:, None] * pressure).ravel())
    shape = (*pressure.shape, blade.size)
    pressure, warmth, drop, faster = (v[:, :, None] for v in (pressure, warmth, drop, faster))

    def gas_at(level: Array, with_efficiency: bool) -> tuple[Array, Array]:
        speed_ratio = faster * blade / np.sqrt(level)[:, None, :]
        swallow, efficiency = rows.at(speed_ratio.reshape(-1, blade.size), with_efficiency)
        gas = np.maximum(swallow.reshape(shape), 0.0) * (pressure / np.sqrt(warmth))
        return gas, efficiency.reshape(shape)

    def level_of(gas: Array) -> Array:
        return np.asarray(gas.mean(axis=1) / (gas * warmth).mean(axis=1))

    # temperature of the isentrope at the mean pressure, over the mean weighted by flow: begun where flow goes with
    # pressure, and put right once, for only the blade-speed ratio hangs on it
    first = np.repeat(1.0 - 0.6 * _EXPONENT * held[:, None] ** 2, blade.size, axis=1)
    gas, efficiency = gas_at(level_of(gas_at(first, False)[0]), True)
    level = level_of(gas)
    flow = gas.mean(axis=1) / np.sqrt(level)
    power = (gas * efficiency * (drop * warmth)).mean(axis=1) * np.sqrt(level)
    steady = RatioRows(table, ratio).at(np.tile(blade, (ratio.size, 1)), False)[0]
    return flow / steady, power / (flow * mean_drop[:, None])


def _node_averages(layout: TableLayout, table: Array, amplitude: Array, phases: int) -> tuple[Array, Array]:
    """Averaged flow and efficiency at the nodes (nx, ny) with an amplitude for each ratio (nx,)."""
    half = (
        layout.ny // 2 + 1
    )  # both averages change gently with blade-speed ratio: every second node is worked out
    factor, efficiency = _averages(
        table, _node_ratios(layout), np.linspace(0.0, layout.y_end, half), amplitude, phases
    )
    flow = layout.values()[0] * finer_grid(factor, layout.nx, layout.ny)
    return flow, finer_grid(efficiency, layout.nx, layout.ny)


def _node_ratios(layout: TableLayout) -> Array:
    return np.exp(np.maximum(np.linspace(0.0, layout.x_end, layout.nx), _NEAREST))


def pulse_averaged(table: Array, amplitude: float, phases: int = _PHASES, trough: float = 1.0) -> Array:
    """A turbine's table averaged over a pulse; with an amplitude of 0 the very same table.

    table      packed, see solve.kernel.turbine
    amplitude  [-] of the pressure over its mean over time, 0 to LARGEST_AMPLITUDE
    phases     [-] of a pulse that are looked at
    trough     [-] how far down to the outlet's pressure a pulse can go, see ``deepest_trough``
    Returns a table of the same layout: flow is the mean flow, and efficiency the mean power over the ideal power of the
    mean flow, both at the mean pressure, the enthalpy-mean temperature and their blade-speed ratio. It can exceed the
    steady efficiency, since more gas comes when more can be got out of it.
    """
    if amplitude == 0.0:
        return table
    layout = TableLayout.of(table)
    held = np.minimum(amplitude, trough * (1.0 - 1.0 / _node_ratios(layout)))
    return pack_turbine(*_node_averages(layout, table, held, phases))


class PulsingTurbine:
    """One turbine at many pulse amplitudes, blended from few averages.

    At each ratio the largest pulse is the one that goes as deep as can be. The averages are worked out at a few shares
    of that largest pulse, when they are first asked for, and kept; between two shares each node is blended by the
    square of the share, since that is how the effect of pulses grows.
    """

    def __init__(self, turbine: TurbineTable, trough: float = 1.0) -> None:
        """From the steady turbine and how far down to the outlet's pressure a pulse can go [-]."""
        self.turbine, self.trough = turbine, trough
        self._layout = TableLayout.of(turbine.table)
        self._most = trough * (1.0 - 1.0 / _node_ratios(self._layout))
        flow, efficiency = self._layout.values()
        empty = np.empty((len(_SHARES), *flow.shape))
        self._flow, self._efficiency = empty, empty.copy()
        self._flow[0], self._efficiency[0] = flow, efficiency
        self._worked_out = {0}

    def _work_out(self, numbers: NDArray[np.intp]) -> None:
        for number in set(numbers.tolist()) - self._worked_out:
            held = _SHARES[number] * self._most
            self._flow[number], self._efficiency[number] = _node_averages(
                self._layout, self.turbine.table, held, _PHASES
            )
            self._worked_out.add(number)

    def table(self, amplitude: float) -> Array:
        """The table at one amplitude [-], 0 to LARGEST_AMPLITUDE; at 0 the steady one itself."""
        if amplitude == 0.0:
            return self.turbine.table
        only: Array = self._blended(np.array([amplitude]))[0]
        return only

    def _blended(self, amplitudes: Array) -> Array:
        """Tables (k, m) at some amplitudes (k,) [-] above 0."""
        share = np.minimum(amplitudes[:, None] / self._most, 1.0)
        above = np.clip(np.searchsorted(_SHARES, share), 1, len(_SHARES) - 1)
        below = above - 1
        self._work_out(np.unique([below, above]))
        low, high = _SHARES[below] ** 2, _SHARES[above] ** 2
        weight = ((share**2 - low) / (high - low))[..., None]
        row = np.arange(self._layout.nx)
        flow, efficiency = (
            (1.0 - weight) * worked_out[below, row] + weight * worked_out[above, row]
            for worked_out in (self._flow, self._efficiency)
        )
        return pack_turbine(flow, efficiency)

    def tables(self, amplitudes: Array) -> tuple[Array, NDArray[np.int64]]:
        """Tables (j, m), one for each amplitude met, and for each of the amplitudes (n,) [-] the row it reads."""
        rounded = np.round(np.clip(amplitudes, 0.0, LARGEST_AMPLITUDE) / AMPLITUDE_STEP).astype(np.int64)
        met, index = np.unique(rounded, return_inverse=True)
        steady = int(np.count_nonzero(met == 0))
        rows = np.empty((met.size, self.turbine.table.size))
        rows[:steady] = self.turbine.table
        for first in range(steady, met.size, _TABLES_AT_ONCE):
            piece = slice(first, first + _TABLES_AT_ONCE)
            rows[piece] = self._blended(np.asarray(met[piece] * AMPLITUDE_STEP, dtype=np.float64))
        return rows, index.astype(np.int64)


_KEPT: dict[tuple[bytes, float], PulsingTurbine] = {}
_KEEP = 8


def pulsing_turbine(turbine: TurbineTable, trough: float = 1.0) -> PulsingTurbine:
    """The turbine with its averaged tables; the last few are kept, since a sweep asks for the same one many times.

    turbine  steady
    trough   [-] how far down to the outlet's pressure a pulse can go, see ``deepest_trough``
    """
    key = turbine.table.tobytes(), trough
    if key not in _KEPT:
        while len(_KEPT) >= _KEEP:
            _KEPT.pop(next(iter(_KEPT)))
        _KEPT[key] = PulsingTurbine(turbine, trough)
    return _KEPT[key]
