"""A log as one logger would have it: rows, readings, what was put wrong and when."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.made.fault_acts import full_scale, on_data, stuck_from
from boostwright.logs.made.faults import AskedFault, SimulationError
from boostwright.logs.made.instrument import Instrument, Logger
from boostwright.logs.made.readings import Reading, numbers_of, read_instrument, stream, value_of
from boostwright.logs.made.sampling import Samples, sample_times, shown_time, true_time
from boostwright.logs.made.true_run import TrueRun
from boostwright.logs.mapping.names import CHANNELS, channel_of
from boostwright.logs.mapping.units_by_value import in_si
from boostwright.logs.series import ChannelsInMemory, Series
from boostwright.units.quantity import unit_names

__all__ = ["Recorded", "RecordedFault", "record"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class RecordedFault:
    """A fault as it was put into a log.

    code, words  what it is; channel our name, '' for the file; name as the logger calls it
    numbers      what it came to in SI; texts what of it is no number
    stretches    true times [s] between which it is so; () where it is so throughout
    """

    code: str
    words: str
    channel: str
    name: str
    numbers: Mapping[str, float] = field(default_factory=dict)
    texts: Mapping[str, str] = field(default_factory=dict)
    stretches: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, eq=False)
class Recorded:
    """What one logger wrote.

    logger    with its instruments as they were in the end
    samples   when what was sampled and written
    readings  one for each instrument
    faults    what was put wrong
    file_faults  those that are a matter of the file, for its writer
    """

    logger: Logger
    samples: Samples
    readings: tuple[Reading, ...]
    faults: tuple[RecordedFault, ...]
    file_faults: tuple[AskedFault, ...]

    @cached_property
    def stamps(self) -> Array:
        """(r,) [s] what the logger's clock shows at each row, on its own step, from the start of its count."""
        shown = shown_time(self.logger, self.samples.rows)
        if self.logger.step > 0.0:
            # a clock shows the last step that has passed
            shown = np.floor(shown / self.logger.step + 1e-9) * self.logger.step
        return shown

    def log_time(self, time: Array | float) -> Array:
        """True times [s] as seconds from the first row of the log."""
        return np.asarray(shown_time(self.logger, np.asarray(time, dtype=float)) - self.stamps[0])

    def true_time(self, time: Array | float) -> Array:
        """Seconds from the first row of the log as true time [s]."""
        return np.asarray(true_time(self.logger, np.asarray(time, dtype=float) + self.stamps[0]))

    def reading(self, channel: str) -> Reading:
        """The reading of a channel by our name; raises SimulationError where no instrument has it."""
        for one in self.readings:
            if one.instrument.channel == channel:
                return one
        names = ", ".join(one.instrument.channel for one in self.readings)
        raise SimulationError.of(self.logger.name, f"does not log {channel}.", "", allowed=names)

    def rows_of(self, index: int) -> Array:
        """SI values (r,) of an instrument as the rows of the file show them; NaN where a cell is empty."""
        shown, fresh = self.samples.shown[index], self.samples.fresh[index]
        value = np.where(shown >= 0, self.readings[index].value[np.maximum(shown, 0)], np.nan)
        return value if self.logger.between == "held" else np.where(fresh, value, np.nan)

    def channels(self) -> ChannelsInMemory:
        """The channels as an import with every column mapped rightly has them; time from the first row on."""
        time = self.stamps - self.stamps[0]
        series = {}
        for index, reading in enumerate(self.readings):
            instrument = reading.instrument
            value = self.rows_of(index)
            keep = np.isfinite(value) if self.logger.between == "empty" else slice(None)
            found = channel_of(instrument.channel)
            basis = instrument.basis or (found[0].basis if found and found[0].basis != "either" else "")
            series[instrument.channel] = Series(time[keep], value[keep], basis)
        return ChannelsInMemory(series, f"invented log of the {self.logger.name}")


def record(
    logger: Logger, run: TrueRun, faults: Sequence[AskedFault], seed: int, start: float, stop: float
) -> Recorded:
    """What a logger writes of a run between two true times [s]. Raises SimulationError.

    Faults of channels that it does not log are left to the other loggers.
    """
    logged = tuple(one for one in logger.instruments if one.channel in run.channels)
    gone = [fault for fault in faults if fault.code == "no-barometer"]
    if gone:
        logged = tuple(one for one in logged if one.channel != "pressure_amb")
    if not logged:
        raise SimulationError.of(logger.name, "logs nothing that this run has.", "give it other instruments")
    logger = replace(logger, instruments=logged)
    samples = sample_times(logger, start, stop, stream(seed, logger.name, "rows"))
    readings, told = [], []
    for instrument, taken in zip(logged, samples.taken, strict=True):
        if taken.size == 0:
            raise SimulationError.of(logger.name, f"never gets to {instrument.name}.", "make the run longer")
        reading, kept = _one(instrument, logger, run, taken, faults, seed)
        readings.append(reading)
        told += kept
    told += [RecordedFault("no-barometer", one.kind.words, "pressure_amb", "") for one in gone]
    by_file = tuple(fault for fault in faults if fault.kind.place == "file")
    return Recorded(logger, samples, tuple(readings), tuple(told), by_file)


def _one(
    instrument: Instrument,
    logger: Logger,
    run: TrueRun,
    taken: Array,
    faults: Sequence[AskedFault],
    seed: int,
) -> tuple[Reading, list[RecordedFault]]:
    """The reading of an instrument with the faults of data on it, and what of faults it carries."""
    own = [f for f in faults if f.channel == instrument.channel]
    reading = read_instrument(instrument, logger, run, taken, faults, seed)
    numbers = numbers_of(instrument, reading.value)
    random = stream(seed, logger.name, instrument.channel, "gone")
    numbers, gone = on_data(numbers, taken, own, random)
    told = []
    for fault in own:
        said, texts, stretches = dict(fault.numbers), dict(fault.words), _stretches(fault, taken)
        if fault.code == "unit":
            texts["to"], numbers = _in_another_unit(instrument, numbers, fault)
        elif fault.code == "clipped":
            said["high"] = full_scale(fault, reading.clean)
        elif fault.code == "stuck":
            said["at"] = stuck_from(fault, float(taken[0]), float(taken[-1]))
        elif fault.code == "drop-out":
            stretches = tuple(gone["drop-out"])
        said = {name: value for name, value in said.items() if np.isfinite(value)}
        told.append(
            RecordedFault(
                fault.code, fault.kind.words, fault.channel, instrument.name, said, texts, stretches
            )
        )
    return replace(reading, value=value_of(instrument, numbers)), told


def _stretches(fault: AskedFault, taken: Array) -> tuple[tuple[float, float], ...]:
    """Where it is so, cut to the log; () where it is so throughout."""
    first, last = float(taken[0]), float(taken[-1])
    start = stuck_from(fault, first, last) if fault.code == "stuck" else fault.numbers.get("at", 0.0)
    stop = fault.numbers.get("until", np.inf)
    if start <= first and stop >= last:
        return ()
    return ((max(start, first), min(stop, last)),)


_OTHERS = {
    "kPa": "psi", "bar": "psi", "psi": "kPa", "mbar": "kPa", "Pa": "kPa", "degC": "degF", "degF": "degC", "K": "degC",
    "km/h": "mph", "mph": "km/h", "m/s": "km/h", "g/s": "kg/h", "kg/h": "g/s", "lb/min": "g/s", "Nm": "lbf*ft",
    "lbf*ft": "Nm", "kW": "PS", "%": "", "": "%", "krpm": "rpm", "rpm": "rad/s", "deg": "rad", "ms": "us", "V": "mV",
}  # fmt: skip


def _in_another_unit(instrument: Instrument, numbers: Array, fault: AskedFault) -> tuple[str, Array]:
    """The numbers in another unit than the header says, and which; raises SimulationError where there is none."""
    kind = CHANNELS[channel_of(instrument.channel)[0].name].kind  # type: ignore[index]
    to = fault.words["to"] or _OTHERS.get(instrument.measured_in, "")
    if not kind or kind == "air_fuel_ratio" or to == instrument.measured_in or to not in unit_names(kind):
        allowed = ", ".join(unit_names(kind)) if kind and kind != "air_fuel_ratio" else "no other unit"
        raise SimulationError.of(
            "--fault", f"{instrument.channel} has no unit {to or 'but its own'}.", "", "unit", allowed
        )
    zero = in_si(0.0, kind, to)
    return to, (value_of(instrument, numbers) - zero) / (in_si(1.0, kind, to) - zero)
