"""What each fault does: to what reaches a sensor, to what it shows, and to what is stored."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.made.faults import AskedFault
from boostwright.logs.made.instrument import Instrument
from boostwright.logs.made.response import first_order
from boostwright.logs.made.true_run import TrueRun
from boostwright.logs.mapping.names import channel_of

__all__ = ["full_scale", "in_force", "on_data", "on_sensor", "on_signal", "stuck_from"]

Array = NDArray[np.float64]

_SUCTION = 2e3  # [Pa] by which pulses reach below the mean pressure behind a turbine at idle, own estimate


def on_signal(value: Array, instrument: Instrument, run: TrueRun, faults: Sequence[AskedFault]) -> Array:
    """What reaches the sensor (n,), on the run's own time."""
    for fault in faults:
        if fault.code == "air-leak":
            value = value * (1.0 + _air_drawn(fault, run) / np.maximum(run.channels["mass_flow_air"], 1e-6))
        elif fault.code == "leaky-line":
            air = 0.0 if _is_difference(instrument) else run.channels["pressure_amb"]
            value = air + fault.numbers["share"] * (value - air)
            value = first_order(value, run.step, fault.numbers["lag"])
    return value


def _air_drawn(fault: AskedFault, run: TrueRun) -> Array:
    """Air that a leak draws in (n,) [kg/s]: less and less as the mean pressure in the pipe rises over the air's."""
    over = run.channels.get("pressure_4_static", run.channels["pressure_amb"]) - run.channels["pressure_amb"]
    drawn = fault.numbers["flow"] * np.exp(-np.maximum(over, 0.0) / _SUCTION)
    # an engine at rest draws nothing
    return np.where(run.channels["mass_flow_air"] > 1e-5, drawn, 0.0)


def _is_difference(instrument: Instrument) -> bool:
    """True for a channel that is a pressure over the air's by its name."""
    found = channel_of(instrument.channel)
    return found is not None and found[0].basis == "gauge"


def in_force(fault: AskedFault, time: Array) -> NDArray[np.bool_]:
    """Where in true time (k,) [s] a fault is so."""
    return (time >= fault.numbers.get("at", 0.0)) & (time <= fault.numbers.get("until", np.inf))


def on_sensor(
    value: Array,
    instrument: Instrument,
    run: TrueRun,
    taken: Array,
    faults: Sequence[AskedFault],
    random: np.random.Generator,
) -> Array:
    """What the sensor shows (k,), SI on its own basis, at true times (k,) [s]."""
    for fault in faults:
        here = in_force(fault, taken)
        said = fault.numbers
        if fault.code == "offset":
            value = np.where(here, value + said["by"], value)
        elif fault.code == "scale":
            zero = 273.15 if instrument.channel.startswith(("temperature", "egt")) else 0.0
            value = np.where(here, zero + said["by"] * (value - zero), value)
        elif fault.code == "noisy":
            value = np.where(here, value + said["rms"] * random.normal(0.0, 1.0, value.size), value)
        elif fault.code == "clipped":
            value = np.minimum(value, full_scale(fault, value))
        elif fault.code == "blade-count":
            value = value * said["fitted"] / said["counted"]
        elif fault.code == "reversed-probe":
            value = 2.0 * said["junction"] - value
        elif fault.code == "gauge-absolute":
            air = np.interp(taken, run.time, run.channels["pressure_amb"])
            value = value + air if instrument.basis == "gauge" or _is_difference(instrument) else value - air
    return value


def full_scale(fault: AskedFault, value: Array) -> float:
    """Where a clipped sensor ends: as said, else four fifths of the way from its mean to its peak."""
    if "high" in fault.numbers:
        return fault.numbers["high"]
    mean = float(np.nanmean(value))
    return mean + 0.8 * (float(np.nanmax(value)) - mean)


def stuck_from(fault: AskedFault, start: float, stop: float) -> float:
    """True time [s] from which a channel stands still: as said, else 40 % of the way."""
    return fault.numbers.get("at", start + 0.4 * (stop - start))


def on_data(
    numbers: Array, taken: Array, faults: Sequence[AskedFault], random: np.random.Generator
) -> tuple[Array, dict[str, list[tuple[float, float]]]]:
    """Numbers as they are stored (k,), and the stretches of true time [s] of each drop-out."""
    gone: dict[str, list[tuple[float, float]]] = {}
    for fault in faults:
        if fault.code == "stuck":
            at = stuck_from(fault, float(taken[0]), float(taken[-1]))
            held = (taken >= at) & (taken <= fault.numbers["until"])
            if held.any():
                numbers = np.where(held, numbers[int(np.argmax(held))], numbers)
        elif fault.code == "drop-out":
            stretches = _moments(fault, taken, random)
            shows = np.nan if fault.words["shows"] == "empty" else float(fault.words["shows"])
            for start, stop in stretches:
                numbers = np.where((taken >= start) & (taken < stop), shows, numbers)
            gone.setdefault(fault.code, []).extend(stretches)
    return numbers, gone


def _moments(fault: AskedFault, taken: Array, random: np.random.Generator) -> list[tuple[float, float]]:
    """Stretches of time [s] in which a plug is loose: as many and as long as is said, at least one."""
    start = max(float(taken[0]), fault.numbers["at"])
    stop = min(float(taken[-1]), fault.numbers["until"])
    length = fault.numbers["length"]
    count = max(1, round(fault.numbers["share"] * (stop - start) / length))
    starts = np.sort(random.uniform(start, max(start, stop - length), count))
    lengths = random.exponential(length, count).clip(0.2 * length, 4.0 * length)
    return [(float(a), float(a + b)) for a, b in zip(starts, lengths, strict=True)]
