"""How a reading follows what it measures: first-order lag, gas moving as a plug, resolution and range."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

from boostwright.logs.made.instrument import Probe, Transport
from boostwright.physics.heat.probe_lag import lag_at_flow
from boostwright.physics.lambda_probe import REFERENCE_PRESSURE, pump_current_pressure_factor

__all__ = ["first_order", "left_at", "probe_time_constant", "quantised", "swayed_lambda"]

Array = NDArray[np.float64]

_BLOCK = 20.0  # time constants handled at once: exp(20) is far from overflow


def first_order(value: Array, step: float, time_constant: float | Array) -> Array:
    """A first-order lag, exact for a value that goes straight from sample to sample.

    value          (n,)
    step           [s] between samples
    time_constant  [s], one or (n,); one of 0 lets the value through
    Returns (n,). At the start the reading has settled.
    Source: solution of tau dy/dt = x - y for a linear x over each step.
    """
    tau = np.asarray(time_constant, dtype=float)
    if tau.ndim == 0 and tau <= 0.0:
        return value.copy()
    ratio = step / tau
    keep = np.exp(-ratio)
    mean = -np.expm1(-ratio) / ratio
    drive = np.empty_like(value)
    drive[0] = value[0]
    if tau.ndim == 0:
        drive[1:] = (mean - keep) * value[:-1] + (1.0 - mean) * value[1:]
        return np.asarray(lfilter([1.0], [1.0, -float(keep)], drive), dtype=float)
    drive[1:] = (mean - keep)[1:] * value[:-1] + (1.0 - mean)[1:] * value[1:]
    return _varying(drive, ratio)


def _varying(drive: Array, ratio: Array) -> Array:
    """y[i] = exp(-ratio[i]) y[i-1] + drive[i], in blocks in which the product of the factors keeps its digits."""
    out = np.empty_like(drive)
    out[0] = drive[0]
    reach = np.cumsum(ratio)
    first = 1
    while first < drive.size:
        stop = int(np.searchsorted(reach, reach[first - 1] + _BLOCK, side="right"))
        stop = max(stop, first + 1)
        growth = np.exp(np.minimum(reach[first:stop] - reach[first - 1], 700.0))
        out[first:stop] = (out[first - 1] + np.cumsum(drive[first:stop] * growth)) / growth
        first = stop
    return out


def probe_time_constant(probe: Probe, flow: Array | None) -> float | Array:
    """Time constant [s] of a probe in a stream of (n,) [kg/s]; one number where it does not go with flow."""
    if probe.flow <= 0.0 or flow is None:
        return probe.time_constant
    least = probe.flow * (probe.time_constant / max(probe.slowest, probe.time_constant)) ** 2
    return np.asarray(lag_at_flow(probe.time_constant, np.maximum(flow, least), probe.flow, 0.5), dtype=float)


def left_at(time: Array, transport: Transport, flow: Array) -> Array:
    """When the gas that is at the probe now left the engine, (n,) [s].

    time  (n,) [s] even; flow (n,) [kg/s] of exhaust
    The gas between engine and probe weighs delay times reference flow, and moves as a plug. Before the first sample
    flow was what it is there.
    """
    if transport.delay <= 0.0 or transport.flow <= 0.0:
        return time - transport.fixed
    held = transport.delay * transport.flow
    safe = np.maximum(flow, 1e-3 * transport.flow)
    passed = np.concatenate([[0.0], np.cumsum(0.5 * (safe[1:] + safe[:-1]) * np.diff(time))])
    before = passed - held
    left = np.interp(before, passed, time)
    left = np.where(before < 0.0, time[0] + before / safe[0], left)
    return np.asarray(left - transport.fixed, dtype=float)


def swayed_lambda(value: Array, pressure: Array, constant: float) -> Array:
    """What a lambda probe shows at a pressure away from that of its calibration.

    value     (n,) true lambda; pressure (n,) [Pa] absolute at the probe
    constant  k [Pa] of Ip(p) / Ip(p0) = p / (k + p) * (k + p0) / p0
    The pump current is taken as in proportion to 1 - 1/lambda on either side, the oxygen that is over or missing, and
    not by the table that a reading is put right with: what undoes it is not to be judged by itself.
    """
    ratio = np.asarray(pump_current_pressure_factor(pressure, REFERENCE_PRESSURE, constant), dtype=float)
    return np.asarray(1.0 / np.maximum(1.0 - ratio * (1.0 - 1.0 / value), 1e-3), dtype=float)


def quantised(value: Array, resolution: float) -> Array:
    """To the nearest step of a resolution; as it is where that is 0."""
    return value if resolution <= 0.0 else np.round(value / resolution) * resolution
