"""Which rows of a channel are fresh, how often it was really sampled, and how evenly.

A logger writes all channels in every row. Those it did not ask since the row before repeat their last value: the row is
no sample of them. A channel stays as slow as it was sampled; between two samples there is nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.series import Channels, Series
from boostwright.logs.timebase.rows import Polled, changed_rows, polled_rows
from boostwright.logs.timebase.stamps import Stamps, judge_stamps

__all__ = ["KINDS", "Sampling", "sampling_of", "samplings"]

Array = NDArray[np.float64]
Rows = NDArray[np.intp]

KINDS: Mapping[str, str] = {
    "every row": "every row is a sample",
    "polled": "one channel is asked a row, in a fixed cycle; the others repeat their last value",
    "held": "the value is renewed at its own pace and repeated in between",
    "blank between": "rows without a sample are empty",
    "unknown": "it changes too little to tell how often it is sampled",
}
"""How the rows of a channel come about."""

_GAP = 2.5  # periods between samples from which on they are called a gap
_FAST = 3.0  # quanta in one step: a quantity that moves so fast would have moved in the row beside it too
_FAST_STEPS = 8  # such steps from which a channel is called held
_STANDS = 0.95  # of them with nothing moving in the rows beside them
_ADJACENT = 0.01  # of the changes that follow one in the row before, where every row is a sample
_FAR_APART = 0.25  # s between rows, common practice of diagnostic ports
_TELL = 50_000
_APART = 0.1  # of the rows of two channels that may be the same, where they are asked by turns
_PILE = 0.3  # of the runs that are as short as the shortest, where a pace is behind them


@dataclass(frozen=True, eq=False)
class Sampling:
    """How a channel was sampled.

    name    channel
    kind    key of ``KINDS``
    fresh   (n,) bool, rows of the series that are samples
    time    (m,) [s]  of the samples, rising; value (m,) in SI, as read
    period  [s]  mean time between samples, gaps left out; NaN with fewer than two
    jitter  [s]  standard deviation of that time, gaps left out
    cycle   rows from sample to sample; slips: how often the cycle lost its place
    gaps    [s]  stretches without a sample, longer than 2.5 periods: (begin, end) each
    stamp_error [s] standard error of a stamp, 0 where stamps are fine
    late    [s]  how much older than its stamp a sample may be: a row, where the logger asks one channel after another;
            what a position receiver takes
    words   a sentence or two for the user
    """

    name: str
    kind: str
    fresh: NDArray[np.bool_]
    time: Array
    value: Array
    period: float
    jitter: float
    cycle: float
    slips: int
    gaps: tuple[tuple[float, float], ...]
    stamp_error: float
    words: str
    late: float = 0.0

    @property
    def rate(self) -> float:
        """Samples a second; NaN with fewer than two."""
        return 1.0 / self.period


def samplings(channels: Channels, names: Iterable[str] | None = None) -> dict[str, Sampling]:
    """How each channel was sampled; channels on the same time base are looked at together.

    names  channels wanted, all of them by default; the others still help to find the logger's cycle
    Raises LogError where there is none of a name.
    """
    groups = _by_base(channels, (*channels.names, *(n for n in names or () if n not in channels.names)))
    wanted = set(channels.names) if names is None else set(names)
    out: dict[str, Sampling] = {}
    for time, group in groups:
        stamps = judge_stamps(time)
        changes = {name: _changes(one.value) for name, one in group.items() if _without_blanks(one)}
        polled = polled_rows(changes, time.size)
        late = _row_by_turns(time, polled)
        for name in group:
            if name in wanted:
                made = _judged(name, group[name], stamps, polled.get(name), changes.get(name))
                out[name] = replace(made, late=late) if late > 0.0 else made
    return {name: out[name] for name in (channels.names if names is None else names)}


def _row_by_turns(time: Array, polled: Mapping[str, Polled]) -> float:
    """Length of a row [s] where channels that are renewed in different rows show that they are asked by turns, else 0.

    Slow channels of a logger that reads all at once are renewed in the same row.
    """
    known = [one.fresh for one in polled.values() if one.known and one.cycle > 1]
    steps = np.diff(time)
    steps = steps[steps > 0.0]
    if len(known) < 2 or not steps.size:
        return 0.0
    for k, one in enumerate(known):
        for other in known[k + 1 :]:
            both = np.count_nonzero(one & other)
            if both < _APART * min(np.count_nonzero(one), np.count_nonzero(other)):
                return float(np.median(steps))
    return 0.0


def sampling_of(series: Series, name: str = "channel") -> Sampling:
    """How one channel was sampled, from itself alone."""
    changes = {name: changed_rows(series.value)} if _without_blanks(series) else {}
    polled = polled_rows(changes, series.time.size)
    return _judged(name, series, judge_stamps(series.time), polled.get(name), changes.get(name))


def _changes(value: Array) -> Rows:
    """Rows in which a channel changed; of one that changes all the time the first ones tell enough."""
    rows = changed_rows(value)
    return rows[:_TELL].copy() if rows.size > max(0.5 * value.size, _TELL) else rows


def _by_base(channels: Channels, names: Iterable[str]) -> list[tuple[Array, dict[str, Series]]]:
    """Channels in groups of one time base, which is kept once."""
    groups: list[tuple[Array, dict[str, Series]]] = []
    for name in dict.fromkeys(names):
        series = channels.read(name)
        for time, group in groups:
            if time is series.time or np.array_equal(time, series.time):
                group[name] = Series(time, series.value, series.basis)
                break
        else:
            groups.append((series.time, {name: series}))
    return groups


def _without_blanks(series: Series) -> bool:
    """True where the rows after the first value are filled, but for a few."""
    there = np.isfinite(series.value)
    if not there.any():
        return False
    return bool(np.mean(there[int(np.argmax(there)) :]) > 0.8)


def _judged(
    name: str, series: Series, stamps: Stamps, polled: Polled | None, changes: Rows | None
) -> Sampling:
    """The kind of one channel, and its samples."""
    there = np.isfinite(series.value) & np.isfinite(stamps.time)
    cycle, slips, kind = 1.0, 0, "every row"
    fresh = there
    if changes is None:
        kind = "blank between" if there.any() else "unknown"
        steps = np.diff(np.flatnonzero(there))
        cycle = float(np.median(steps)) if steps.size else float("nan")
    elif polled is not None and (polled.members > 1 or _own_pace(series.value, changes) > 1.0):
        kind, cycle, slips, fresh = "polled", float(polled.cycle), polled.slips, polled.fresh & there
    elif changes.size - 1 < _FAST_STEPS:
        kind = "unknown"
    else:
        pace = _own_pace(series.value, changes)
        if pace == 1.0 and np.mean(np.diff(changes[1:]) == 1) < _ADJACENT:
            kind = "unknown"
        elif pace > 1.0:
            kind, cycle = "held", pace
            fresh = _paced(changes, pace, series.value.size) & there
    return _measured(name, kind, series, stamps, fresh, cycle, slips, polled)


def _own_pace(value: Array, changes: Rows) -> float:
    """Rows between renewals of a value held in between; 1 where every row seems fresh.

    The quantity itself tells: one that moves by several of its smallest steps at once would, sampled in every row, have
    moved in the row before or after as well. Where it never does, rows in between are no samples.
    """
    rows = changes[1:]
    jump = np.abs(value[rows] - value[rows - 1])
    there = np.isfinite(jump) & (jump > 0.0)
    rows, jump = rows[there], jump[there]
    if rows.size < _FAST_STEPS:
        return 1.0
    quantum = float(np.quantile(jump, 0.02))
    fast = jump >= _FAST * quantum
    if np.count_nonzero(fast) < _FAST_STEPS:
        return 1.0
    runs = np.diff(rows)
    alone = np.ones(rows.size, dtype=bool)
    alone[1:] &= runs > 1
    alone[:-1] &= runs > 1
    if np.mean(alone[fast]) < _STANDS:
        return 1.0
    shortest = max(float(np.quantile(runs, 0.05)), 2.0)
    if np.mean(runs < 1.5 * shortest) < _PILE:
        return 1.0
    return _pace(rows, shortest)


def _pace(rows: Rows, shortest: float) -> float:
    """Rows from renewal to renewal: the strongest rhythm of the changes near their shortest run.

    Power of the train of changes over stretches of it, so that a clock that drifts against the rows does no harm.
    """
    length = 1 << int(np.ceil(np.log2(max(512.0, 64.0 * shortest))))
    train = np.zeros(length * (int(rows[-1]) // length + 1))
    train[rows] = 1.0
    parts = train.reshape(-1, length)
    parts = (parts - parts.mean(axis=1, keepdims=True)) * np.hanning(length)
    power = np.sum(np.abs(np.fft.rfft(parts, 4 * length, axis=1)) ** 2, axis=0)
    first = int(4 * length / (1.7 * shortest))
    last = min(int(4 * length / (0.9 * shortest)) + 1, power.size - 1)
    peak = first + int(np.argmax(power[first:last]))
    return 4.0 * length / peak


def _paced(changes: Rows, pace: float, count: int) -> NDArray[np.bool_]:
    """Rows in which the value changed, and between them a row each pace while it stands."""
    fresh = np.zeros(count, dtype=bool)
    fresh[changes] = True
    ends = np.append(changes[1:], count)
    for begin, end in zip(changes.tolist(), ends.tolist(), strict=True):
        whole = round((end - begin) / pace)
        if whole > 1:
            fresh[begin + np.round(np.arange(1, whole) * (end - begin) / whole).astype(np.intp)] = True
    return fresh


def _measured(
    name: str,
    kind: str,
    series: Series,
    stamps: Stamps,
    fresh: NDArray[np.bool_],
    cycle: float,
    slips: int,
    polled: Polled | None,
) -> Sampling:
    """Period, jitter, gaps and the words."""
    time, value = stamps.time[fresh], series.value[fresh]
    last = np.append(np.diff(time) > 0.0, True)[
        : time.size
    ]  # of rows that share a stamp, the last one stands
    time, value = time[last], value[last]
    steps = np.diff(time)
    if not steps.size:
        words = f"{name} has {'one sample' if time.size else 'no value at all'}."
        return Sampling(
            name, kind, fresh, time, value, float("nan"), 0.0, cycle, slips, (), stamps.error, words
        )
    wide = steps > _GAP * float(np.median(steps))
    period = float(np.mean(steps[~wide])) if (~wide).any() else float(np.median(steps))
    gaps = tuple((float(time[k]), float(time[k + 1])) for k in np.flatnonzero(wide))
    jitter = float(np.std(steps[~wide])) if (~wide).any() else 0.0
    unplaced = polled is not None and not polled.known and kind == "polled"
    words = _words(name, kind, period, jitter, cycle, slips, gaps, stamps, unplaced)
    return Sampling(name, kind, fresh, time, value, period, jitter, cycle, slips, gaps, stamps.error, words)


def _words(
    name: str,
    kind: str,
    period: float,
    jitter: float,
    cycle: float,
    slips: int,
    gaps: tuple[tuple[float, float], ...],
    stamps: Stamps,
    unplaced: bool,
) -> str:
    """What a user should know about it."""
    every = f"every {period:.2g} s ({1.0 / period:.3g} Hz)"
    repeats = "between is nothing but its last value repeated"
    said = {
        "every row": f"{name} is sampled in every row, {every}",
        "polled": f"{name} is sampled {every}, one row in {cycle:.0f}; {repeats}",
        "held": f"{name} is renewed {every}, about one row in {cycle:.3g}; {repeats}",
        "blank between": f"{name} is sampled {every}; the rows between are empty",
        "unknown": f"{name} changes too little to tell how often it is sampled; its rows come {every}",
    }[kind]
    if kind == "every row" and period > _FAR_APART:
        said += "; loggers that slow often ask one channel after another: those of one row may be up to a row apart"
    if jitter > 0.05 * period:
        said += f"; the time from sample to sample varies by {jitter:.2g} s"
    told = [said + "."]
    if unplaced:
        told.append("It hardly changes, so which row asks it is not known.")
    if slips:
        told.append(f"The cycle loses its place {slips} times; there only changes are taken as samples.")
    if gaps:
        longest = max(end - begin for begin, end in gaps)
        told.append(
            f"{len(gaps)} {'gap' if len(gaps) == 1 else 'gaps'} without a sample, the longest {longest:.3g} s."
        )
    if stamps.words:
        told.append(stamps.words[0].upper() + stamps.words[1:])
    return " ".join(told)
