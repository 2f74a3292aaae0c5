"""When a logger samples each of its channels, and when it writes a row."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.made.instrument import Logger

__all__ = ["Samples", "sample_times", "shown_time", "true_time"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Samples:
    """When what is sampled and written.

    rows   (r,) [s] true time of the rows of the file
    taken  for each instrument the true times (k,) [s] at which it is sampled
    shown  for each instrument, for each row the index into ``taken`` of the value it shows; -1 for none yet
    fresh  for each instrument, for each row True where the value was sampled since the row before
    """

    rows: Array
    taken: tuple[Array, ...]
    shown: tuple[NDArray[np.int64], ...]
    fresh: tuple[NDArray[np.bool_], ...]


def sample_times(logger: Logger, start: float, stop: float, random: np.random.Generator) -> Samples:
    """Samples of a logger over a stretch of true time [s]."""
    if logger.sampling == "in-turn":
        return _in_turn(logger, start, stop, random)
    rows = _ticks(start, stop, logger.rate, logger.jitter, random)
    taken = []
    for instrument in logger.instruments:
        if 0.0 < instrument.rate < logger.rate:
            # a slower channel is sampled with the row that is next when its time has come
            wanted = np.arange(start, stop, 1.0 / instrument.rate)
            at = np.unique(np.minimum(np.searchsorted(rows, wanted - 1e-9), rows.size - 1))
            taken.append(rows[at])
        else:
            taken.append(rows)
    return _samples(rows, tuple(taken))


def _ticks(start: float, stop: float, rate: float, jitter: float, random: np.random.Generator) -> Array:
    """Even times, each moved a little, never so far that they change places."""
    ticks = np.arange(start, stop, 1.0 / rate)
    if jitter > 0.0:
        moved = np.clip(random.normal(0.0, jitter, ticks.size), -0.45, 0.45) / rate
        ticks = np.maximum(ticks + moved, start)
    return ticks


def _in_turn(logger: Logger, start: float, stop: float, random: np.random.Generator) -> Samples:
    """One answer after the other, in rounds; a row is written before the channel that is asked most is asked again."""
    order = _round(logger)
    answers = _ticks(start, stop, logger.rate, logger.jitter, random)
    answers = answers[: answers.size - answers.size % len(order)]
    asked = np.tile(order, answers.size // len(order))
    most = int(np.argmax([max(one.turns, 1) for one in logger.instruments]))
    ends = np.flatnonzero(np.roll(order, -1) == most)
    rows = answers.reshape(-1, len(order))[:, ends].ravel()
    taken = tuple(answers[asked == k] for k in range(len(logger.instruments)))
    return _samples(rows, taken)


def _round(logger: Logger) -> NDArray[np.int64]:
    """The order in which the channels of one round are asked: those of equal turns spread evenly over it."""
    alike: dict[int, list[int]] = {}
    for index, instrument in enumerate(logger.instruments):
        alike.setdefault(max(instrument.turns, 1), []).append(index)
    places = [
        ((turn + (rank + 0.5) / len(members)) / turns, index)
        for turns, members in alike.items()
        for rank, index in enumerate(members)
        for turn in range(turns)
    ]
    return np.array([index for _, index in sorted(places)], dtype=np.int64)


def _samples(rows: Array, taken: tuple[Array, ...]) -> Samples:
    shown = tuple(np.searchsorted(times, rows, side="right") - 1 for times in taken)
    fresh = tuple(np.diff(index, prepend=-1) > 0 for index in shown)
    return Samples(rows, taken, shown, fresh)


def shown_time(logger: Logger, time: Array) -> Array:
    """What the logger's clock shows at true times [s]."""
    return (time - logger.offset) * (1.0 + logger.drift)


def true_time(logger: Logger, shown: Array) -> Array:
    """The true times [s] of what the logger's clock shows."""
    return shown / (1.0 + logger.drift) + logger.offset
