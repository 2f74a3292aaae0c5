"""What an instrument shows: from the true channel through line, sensor and sampling to the number that is stored."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.made.fault_acts import on_sensor, on_signal
from boostwright.logs.made.faults import AskedFault, SimulationError
from boostwright.logs.made.instrument import Instrument, Logger, Probe
from boostwright.logs.made.response import (
    first_order,
    left_at,
    probe_time_constant,
    quantised,
    swayed_lambda,
)
from boostwright.logs.made.true_run import TrueRun
from boostwright.logs.mapping.names import channel_of
from boostwright.logs.mapping.units_by_value import in_si

__all__ = ["DISPLAYED_RATIO", "Reading", "numbers_of", "read_instrument", "stream", "value_of"]

Array = NDArray[np.float64]

DISPLAYED_RATIO = 14.7
"""Stoichiometric ratio that an instrument showing an air-fuel ratio multiplies lambda with; common practice."""


@dataclass(frozen=True, eq=False)
class Reading:
    """What one instrument shows over a log.

    taken   (k,) [s] true time of each sample
    value   (k,) SI, on the instrument's basis, as its numbers say it; NaN where nothing stands
    clean   (k,) the same without the faults that were asked for
    at      (k,) the true channel at the moment of the sample, SI, on the instrument's basis
    """

    instrument: Instrument
    taken: Array
    value: Array
    clean: Array
    at: Array


def stream(seed: int, *words: str) -> np.random.Generator:
    """Random numbers of their own for one use, so that another channel more or less changes none of them."""
    return np.random.default_rng([seed, *(zlib.crc32(word.encode()) for word in words)])


def read_instrument(
    instrument: Instrument,
    logger: Logger,
    run: TrueRun,
    taken: Array,
    faults: Sequence[AskedFault],
    seed: int,
) -> Reading:
    """The reading at the true times (k,) [s]. Raises SimulationError where the run lacks the channel."""
    if instrument.channel not in run.channels:
        raise SimulationError.of(
            instrument.name,
            f"measures {instrument.channel}, which this run does not have.",
            "leave it out of the list of instruments",
            allowed=", ".join(sorted(run.channels)),
        )
    own = [fault for fault in faults if fault.channel == instrument.channel]
    source = _source(instrument, run, faults)
    at = _sampled(_on_basis(instrument, run, run.channels[instrument.channel]), run, taken)
    clean = _chain(instrument, instrument.channel, logger, run, taken, [], seed)
    if not own and source == instrument.channel:
        return Reading(instrument, taken, clean, clean, at)
    return Reading(instrument, taken, _chain(instrument, source, logger, run, taken, own, seed), clean, at)


def _source(instrument: Instrument, run: TrueRun, faults: Sequence[AskedFault]) -> str:
    """The channel that is on this instrument's plug. Raises SimulationError where the run lacks it."""
    for fault in faults:
        if fault.code == "swapped" and instrument.channel in (fault.channel, fault.words["with"]):
            other = fault.words["with"] if instrument.channel == fault.channel else fault.channel
            if other not in run.channels:
                raise SimulationError.of("--fault", f"{other} is no channel of this run.", "", fault.code)
            return other
    return instrument.channel


def _chain(
    instrument: Instrument,
    source: str,
    logger: Logger,
    run: TrueRun,
    taken: Array,
    faults: Sequence[AskedFault],
    seed: int,
) -> Array:
    instrument = _slower(instrument, faults)
    value = on_signal(run.channels[source], instrument, run, faults)
    value = _as_sensed(instrument, run, value)
    value = _sampled(_on_basis(instrument, run, value), run, taken)
    value = value + _pulses(instrument, run, value, taken)
    random = stream(seed, logger.name, instrument.channel, "noise")
    noise = random.normal(0.0, 1.0, taken.size)
    value = value + instrument.noise * noise
    value = on_sensor(
        value, instrument, run, taken, faults, stream(seed, logger.name, instrument.channel, "faults")
    )
    value = np.clip(value, instrument.low, instrument.high)
    return _stored(instrument, value)


def _slower(instrument: Instrument, faults: Sequence[AskedFault]) -> Instrument:
    for fault in faults:
        if fault.code == "slow-probe":
            by = fault.numbers["by"]
            probe = instrument.probe
            if probe is not None:
                probe = Probe(probe.time_constant * by, probe.flow, probe.slowest * by)
            instrument = replace(instrument, probe=probe, lag=instrument.lag * by)
    return instrument


def _as_sensed(instrument: Instrument, run: TrueRun, value: Array) -> Array:
    """Gas on its way, pressure at a lambda probe, lag of line, sensor and probe."""
    flow = run.channels.get("mass_flow_exhaust")
    if instrument.pressure_effect > 0.0 and "pressure_4_static" in run.channels:
        ratio = DISPLAYED_RATIO if instrument.channel.startswith("air_fuel") else 1.0
        pressure = run.channels["pressure_4_static"]
        value = ratio * swayed_lambda(value / ratio, pressure, instrument.pressure_effect)
    if instrument.transport is not None and flow is not None:
        value = np.interp(left_at(run.time, instrument.transport, flow), run.time, value)
    if instrument.probe is not None:
        value = first_order(value, run.step, probe_time_constant(instrument.probe, flow))
    return first_order(value, run.step, instrument.lag)


def _pulses(instrument: Instrument, run: TrueRun, value: Array, taken: Array) -> Array:
    """The cylinders' pulses (k,) at the moments of sampling, as line and sensor let them through."""
    if instrument.pulsation <= 0.0:
        return np.zeros_like(value)
    pace = run.channels["engine_speed"] * instrument.pulses  # rad/s
    phase = np.concatenate([[0.0], np.cumsum(0.5 * (pace[1:] + pace[:-1]) * run.step)])
    over = (
        value if instrument.basis == "gauge" else value - _sampled(run.channels["pressure_amb"], run, taken)
    )
    damped = np.hypot(1.0, _sampled(pace, run, taken) * instrument.lag)
    return np.asarray(instrument.pulsation * over / damped * np.sin(_sampled(phase, run, taken)))


def _on_basis(instrument: Instrument, run: TrueRun, value: Array) -> Array:
    """Gauge where the instrument measures against the air; a difference by name is one already."""
    found = channel_of(instrument.channel)
    if instrument.basis != "gauge" or (found is not None and found[0].basis == "gauge"):
        return value
    return value - run.channels["pressure_amb"]


def _sampled(value: Array, run: TrueRun, taken: Array) -> Array:
    return np.asarray(np.interp(taken, run.time, value), dtype=float)


def _stored(instrument: Instrument, value: Array) -> Array:
    """To the resolution of the logger, or of the digits of the file."""
    scale, zero = _scale(instrument)
    number = (value - zero) / scale
    step = max(instrument.resolution, 10.0**-instrument.digits)
    return np.asarray(quantised(number, step) * scale + zero, dtype=float)


def _scale(instrument: Instrument) -> tuple[float, float]:
    """SI value = number * scale + zero."""
    found = channel_of(instrument.channel)
    kind = found[0].kind if found else ""
    zero = in_si(0.0, kind, instrument.measured_in)
    return in_si(1.0, kind, instrument.measured_in) - zero, zero


def numbers_of(instrument: Instrument, value: Array) -> Array:
    """The numbers (k,) as the file has them, in its unit, of values in SI."""
    scale, zero = _scale(instrument)
    return np.asarray((value - zero) / scale, dtype=float)


def value_of(instrument: Instrument, numbers: Array) -> Array:
    """Values (k,) in SI of numbers in the file's unit."""
    scale, zero = _scale(instrument)
    return np.asarray(numbers * scale + zero, dtype=float)
