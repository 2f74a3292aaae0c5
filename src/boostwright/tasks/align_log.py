"""A log in time: how each channel was sampled and what was put right; and the clock of a second file beside it."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from boostwright.build.build import Build, Section
from boostwright.logs.records import LogError
from boostwright.logs.series import Channels, ChannelsInMemory, Series
from boostwright.logs.timebase.aligned import TREATMENTS, Aligned, Treatment, put_in_time
from boostwright.logs.timebase.clock_offset import ClockBound, ClockOffset, NoOffset
from boostwright.logs.timebase.common_quantity import Tried, clocks_by_common_quantity
from boostwright.logs.timebase.facts import TimeFacts
from boostwright.logs.timebase.lag import LagBound, LagUndone, ProbeLag
from boostwright.logs.timebase.sampling import KINDS, Sampling, samplings
from boostwright.physics.cylinder.definitions import displacement
from boostwright.saving import save_atomically
from boostwright.tasks.log_place import LogPlace

__all__ = [
    "ALIGNMENT",
    "KINDS",
    "TREATMENTS",
    "AlignedLog",
    "ClockBound",
    "ClockOffset",
    "Clocks",
    "LagBound",
    "LagUndone",
    "NoOffset",
    "Sampling",
    "StoredClock",
    "Treatment",
    "Tried",
    "align_clocks",
    "align_log",
    "keep_clock",
    "on_one_clock",
    "read_clocks",
    "time_facts",
]

ALIGNMENT = "alignment.json"
"""File in a log's folder that says how the clocks of other files stand to its own."""
_FORMAT = 1
_ENOUGH = 50  # rows
_FINE_STAMPS = 0.02  # s between samples, up to which steps of the stamps matter to nobody
_OWN_BAND = 0.4  # of a time constant stated without a band, own estimate


@dataclass(frozen=True)
class AlignedLog:
    """A log in time.

    log      name of the file it came from; folder: where it is stored, '' where it was read for this answer only
    build    name of the build whose facts were used, '' for none
    part     of the log
    aligned  its channels, samplings and treatments
    notes    what to know of the log itself
    """

    log: str
    folder: str
    build: str
    part: int
    aligned: Aligned
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Clocks:
    """The clocks of two files.

    log, other  names of the files; ``best`` has their channels and the offset, None where no figure was found
    bound       the narrowest bound and its channels where no figure was found, None where there is none either
    tried       every pair that was compared, the best first
    stored      where it was written, '' where it was not
    notes       what to know of it
    """

    log: str
    other: str
    best: Tried | None
    tried: tuple[Tried, ...]
    stored: str
    notes: tuple[str, ...]
    bound: Tried | None = None


@dataclass(frozen=True)
class StoredClock:
    """An offset that was found before: of which file, its hash and part, by which channels, and the offset."""

    other: str
    sha256: str
    part: int
    first: str
    second: str
    offset: ClockOffset


def align_log(place: LogPlace) -> AlignedLog:
    """A log's channels in time, with what its build says of the probes. Raises LogError."""
    facts = TimeFacts() if place.build is None else time_facts(place.build)
    return AlignedLog(
        place.name,
        str(place.folder) if place.kept else "",
        "" if place.build is None else place.build.name,
        place.part,
        put_in_time(place.channels, facts),
        place.notes,
    )


def time_facts(build: Build) -> TimeFacts:
    """What a build says about the lags of its probes."""
    engine = build["engine"]
    volume = displacement(engine.si("bore"), engine.si("stroke"), engine.si("cylinders"))
    sensors = build["sensors"]
    place = sensors.text("lambda_place") if sensors.has("lambda_place") else ""
    return TimeFacts(_probe(build["probe"]), None, place, float(volume))


def _probe(section: Section) -> ProbeLag | None:
    """The lag of [probe], where the user or a card states it; an assumed one is left to the log."""
    if not section.has("time_constant") or section.si("time_constant") <= 0.0:
        return None
    value = section.values["time_constant"]
    middle = section.si("time_constant")
    below = above = _OWN_BAND * middle
    if value.band is not None:
        below, above = float(np.max(value.band.below)), float(np.max(value.band.above))
    how = f"[probe] time_constant of the build, {section.as_written('time_constant')}"
    return ProbeLag(middle, max(middle - below, 0.2 * middle), middle + above, how)


def align_clocks(
    place: LogPlace,
    other: LogPlace,
    *,
    near: tuple[float, float] | None = None,
    quantity: tuple[str, str] | None = None,
    lag: float | None = None,
    keep: bool = True,
) -> Clocks:
    """How far another file's clock stands from a log's, by a quantity both have.

    near      [s]  about how large the offset is, and how far it may be off; None: any
    quantity  channel of the log and of the other file, to compare these only
    lag       [s]  how much later the other file's instrument shows things than the log's, where that is known; None:
              it is looked for
    keep      write the answer beside the log, where the log is kept; a bound is no answer to be kept
    Raises LogError where a channel named is not there, or they have none in common.
    """
    first, second = samplings(place.channels), samplings(other.channels)
    limits = None if near is None else (near[0] - near[1], near[0] + near[1])
    if quantity is not None:
        _known(place, quantity[0])
        _known(other, quantity[1])
    tried = clocks_by_common_quantity(first, second, limits=limits, quantity=quantity, lag=lag)
    if not tried:
        has = f"it has {', '.join(second) or 'none'}; the log has {', '.join(first) or 'none'}"
        raise LogError.of(other.name, f"has no quantity in common with {place.name}.", has)
    best = tried[0] if isinstance(tried[0].result, ClockOffset) else None
    stored = ""
    if best is not None and keep and place.kept:
        stored = str(keep_clock(place, other, best))
    bound = tried[0] if isinstance(tried[0].result, ClockBound) else None
    notes = (*_doubts(tried), *_whole_steps(place, first), *_whole_steps(other, second), *other.notes)
    return Clocks(place.name, other.name, best, tried, stored, notes, bound)


def _known(place: LogPlace, channel: str) -> None:
    place.channels.read(channel)


def _doubts(tried: tuple[Tried, ...]) -> list[str]:
    """Other pairs that say something else."""
    if not isinstance(tried[0].result, ClockOffset):
        return []
    best, out = tried[0].result, []
    late = "more than both allow: one of the instruments is late behind the other."
    for one in tried[1:]:
        if isinstance(one.result, ClockOffset):
            apart = one.result.offset - best.offset
            sure = 3.0 * math.hypot(one.result.standard_error, best.standard_error)
            if abs(apart) > sure:
                out.append(
                    f"{one.first} with {one.second} says {one.result.offset:.3f} s, {abs(apart):.2g} s apart, {late}"
                )
        elif isinstance(one.result, ClockBound):
            low, high = one.result.low, one.result.high
            if max(low - best.high, best.low - high) > 0.0:
                out.append(f"{one.first} with {one.second} says between {low:.3f} and {high:.3f} s, {late}")
    return out


def _whole_steps(place: LogPlace, sampled: Mapping[str, Sampling]) -> list[str]:
    """That stamps in whole steps as long as a row may have been cut off."""
    for one in sampled.values():
        step = one.period
        if one.time.size < _ENOUGH or one.stamp_error > 0.0 or not step > _FINE_STAMPS:
            continue
        digit = 10.0 ** math.floor(math.log10(step) + 0.5)
        off = one.time / digit
        if digit > 0.5 * step and float(np.max(np.abs(off - np.round(off)))) < 1e-6:
            return [
                f"The times of {place.name} are whole steps of {digit:g} s. If its logger cuts them off, all its rows "
                f"are up to that much later than they say, and so are its clock and the offset."
            ]
    return []


def keep_clock(place: LogPlace, other: LogPlace, found: Tried) -> Path:
    """Write an offset into the log's folder, in place of an earlier one of the same file; returns the path."""
    if not isinstance(found.result, ClockOffset):
        raise LogError.of(place.name, "has no offset to be kept.", "")
    path = place.folder / ALIGNMENT
    mine = StoredClock(other.name, other.entry.sha256, other.part, found.first, found.second, found.result)
    kept = [one for one in read_clocks(place.folder) if (one.sha256, one.part) != (mine.sha256, mine.part)]
    document = {"format": _FORMAT, "clocks": [_clock_document(one) for one in (*kept, mine)]}
    text = json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    save_atomically(path, text.encode())
    return path


def _clock_document(one: StoredClock) -> dict[str, object]:
    known = {key: getattr(one.offset, key) for key in ClockOffset.__dataclass_fields__}
    numbers = {key: None if value != value else value for key, value in known.items()}  # NaN is no JSON
    return {
        "file": one.other,
        "sha256": one.sha256,
        "part": one.part,
        "channel": one.first,
        "channel_of_file": one.second,
        "offset": numbers,
    }


def _clock_of(known: dict[str, Any]) -> ClockOffset:
    told: dict[str, Any] = {key: math.nan if value is None else value for key, value in known.items()}
    return ClockOffset(**told)


def read_clocks(folder: Path) -> tuple[StoredClock, ...]:
    """Offsets kept with a log; none where none were. Raises LogError where the file is damaged."""
    path = folder / ALIGNMENT
    if not path.is_file():
        return ()
    try:
        document = json.loads(path.read_text(encoding="utf-8"))
        return tuple(
            StoredClock(
                one["file"],
                one["sha256"],
                int(one["part"]),
                one["channel"],
                one["channel_of_file"],
                _clock_of(one["offset"]),
            )
            for one in document["clocks"]
        )
    except (OSError, ValueError, KeyError, TypeError) as reason:
        raise LogError.of(
            str(path), f"cannot be read: {reason}.", "take the file away and run boostwright align again"
        ) from reason


def on_one_clock(
    log: Channels, other: Channels, clock: ClockOffset | ClockBound | NoOffset
) -> ChannelsInMemory:
    """The log's channels, and those of the other file that it lacks, on the log's clock.

    Where both have a channel the log's stands. Samples stay as they are; only their times move. Raises LogError for a
    bound or no offset: times that are not known are not moved.
    """
    if not isinstance(clock, ClockOffset):
        raise LogError.of(
            "second file",
            f"cannot be put on the log's clock: {clock.words}",
            "put it there by hand, knowing that",
        )
    made = {name: log.read(name) for name in log.names}
    for name in other.names:
        if name not in made:
            series = other.read(name)
            made[name] = Series(clock.to_first(series.time), series.value, series.basis, series.raw)
    return ChannelsInMemory(made, "log and second file")
