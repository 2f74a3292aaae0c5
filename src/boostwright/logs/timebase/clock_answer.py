"""What is said of two clocks: a figure where the data tell it to half a sample, else a bound, or why not."""

from __future__ import annotations

from dataclasses import dataclass
from math import erf, hypot, sqrt

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.timebase.clock_fit import Fit
from boostwright.logs.timebase.clock_lag import Blur, relative_blur
from boostwright.logs.timebase.sampling import Sampling

__all__ = ["HALF", "ClockBound", "ClockOffset", "NoOffset", "answered", "blur_of", "told_to_half"]

Array = NDArray[np.float64]

HALF = 0.5
"""Of a sample of the slower record: to this a figure is told, else only a bound."""
_TOLD = 0.95  # probability with which it must be
_SURE = 0.4  # of half a sample that a standard error may be: 2.5 of them lie within
_UNSEEN = 0.5  # of a half sample: from there it is said what lag would not have been seen
_HIDDEN = (
    1.0  # of a sample: a lag twice half a sample is seen nearly always where one so long may be there unseen
)
_QUICK = 0.08  # s: as late instruments of engine speed hardly are, own estimate
_NAMED = 0.1  # of a sample: from there a delay that was taken out is named


@dataclass(frozen=True)
class ClockOffset:
    """Two clocks compared, told to half a sample of the slower record.

    time of the first = time of the second + offset + drift * (time of the second - middle)

    offset          [s]  of the clocks; a delay of instruments that shows is taken out
    standard_error  [s]  of the offset, at the middle of what they have in common
    drift           [-]  seconds a second, 0 where it was not looked for; drift_error its standard error
    middle          [s]  on the second's clock
    common          [s]  length in common
    period          [s]  of the slower record
    unexplained     [-]  share of the variance that the match leaves
    relation        key of ``RELATIONS``
    scale           what one unit of the second is in the first's, 1 for "same"
    words           a sentence for the user
    low, high       [s]  between them lies the offset in 19 of 20 cases
    lag             [s]  how much later the second's instrument shows things than the first's, where that shows; the
                    channels lie on each other at offset - lag
    unseen_lag      [s]  a lag below this would not have been seen and is in the offset; NaN where none was looked for
    """

    offset: float
    standard_error: float
    drift: float
    drift_error: float
    middle: float
    common: float
    period: float
    unexplained: float
    relation: str
    scale: float
    words: str
    low: float = float("nan")
    high: float = float("nan")
    lag: float = 0.0
    unseen_lag: float = float("nan")

    def to_first(self, time: Array) -> Array:
        """Times on the second's clock as the first's clock shows them, both [s]."""
        return time + self.offset + self.drift * (time - self.middle)


@dataclass(frozen=True)
class ClockBound:
    """Two clocks compared, but not told to half a sample of the slower record: no figure, only where it lies.

    low, high  [s]  between them lies the offset in 19 of 20 cases
    drift, drift_error [-]; middle, common, period [s]; unexplained [-]; relation, scale: as in ``ClockOffset``
    why        "noise": the records change too little or are too noisy; "lag": one instrument is late behind the other
               by an amount of which only the most is known; "hidden": one may be late without showing it; "turns":
               a logger asks one channel after another; "receiver": a position receiver shows its speed late
    words      a sentence for the user
    """

    low: float
    high: float
    drift: float
    drift_error: float
    middle: float
    common: float
    period: float
    unexplained: float
    relation: str
    scale: float
    why: str
    words: str


@dataclass(frozen=True)
class NoOffset:
    """Why no offset is given, as a code and a sentence.

    reason   "too-short", "nothing-in-common", "several-fit" or "too-vague"
    shifts   [s]  the best ones where several fit
    """

    reason: str
    words: str
    shifts: tuple[float, ...] = ()


def answered(
    first: Sampling,
    second: Sampling,
    relation: str,
    fit: Fit,
    blur: Blur | None,
    delay: float = 0.0,
    own_lag: float = 0.0,
    known: float | None = None,
) -> ClockOffset | ClockBound:
    """A fit as an answer: delays that show taken out, and a figure only where it is told to half a sample.

    blur     of the second beside the first, None where it was not looked for
    delay    [s]  by which either instrument may be late without its showing, whatever they show
    own_lag  [s]  of a quick instrument, as far as it would not have been seen: it widens the answer, but is no ground
             for a bound
    known    [s]  how late the second instrument is behind the first, where the user says so
    """
    centroid, error = fit.offset, fit.standard_error
    turns = 0.5 * (first.late + second.late) + delay
    late, own_lag = _late(fit, blur, own_lag, known, turns)
    if blur is not None and blur.spread != 0.0:
        stamps = hypot(first.stamp_error, second.stamp_error)
        share = 0.5 * (late[0] + late[1]) / blur.spread
        centroid = blur.centroid
        error = hypot(blur.error, share * blur.spread_error, stamps)
    # a sample older than its stamp makes its record late; the least and the most that the second is behind the first
    low, high = late[0] - first.late - delay, late[1] + second.late + delay
    lag, half = 0.5 * (low + high), 0.5 * (high - low)
    offset = centroid + lag
    unseen = float("nan") if blur is None else blur.unseen
    told = told_to_half(half, error, fit.period)
    half += own_lag
    whole = half + 2.0 * error
    total = hypot(error, half / sqrt(3.0))
    ends = (offset - whole, offset + whole)
    if told:
        words = _figure(fit, offset, whole, lag, unseen)
        return ClockOffset(
            offset, total, fit.drift, fit.drift_error, fit.middle, fit.common, fit.period, fit.unexplained,
            relation, fit.scale, words, *ends, lag, unseen,
        )  # fmt: skip
    why = "noise" if half < error else "turns" if first.late + second.late > half else "lag"
    if why == "lag" and blur is not None and blur.spread == 0.0:
        why = "hidden"
    if why == "turns" and "vehicle_speed_gps" in (first.name, second.name):
        why = "receiver"
    return ClockBound(
        *ends, fit.drift, fit.drift_error, fit.middle, fit.common, fit.period, fit.unexplained,
        relation, fit.scale, why, _bound(fit, ends, why),
    )  # fmt: skip


def _late(
    fit: Fit, blur: Blur | None, own_lag: float, known: float | None, turns: float
) -> tuple[tuple[float, float], float]:
    """Least and most [s] that the second instrument is behind the first, and a lag that only widens the answer.

    turns  [s]  by which the answer is uncertain already
    """
    if known is not None:
        return (known, known), 0.0
    if blur is None:
        return (0.0, 0.0), own_lag
    low, high = blur.late
    hidden = max(-blur.least, blur.most)
    likely = HALF * max(_HIDDEN * fit.period - turns, _QUICK)
    if blur.least <= 0.0 <= blur.most and hidden <= 2.0 * likely and abs(blur.likeliest) <= likely:
        return (0.0, 0.0), min(own_lag, hidden)
    return (low, high), 0.0


def told_to_half(half: float, error: float, period: float) -> bool:
    """Whether an offset lies within half a sample [s] of its middle in 19 of 20 cases.

    half   [s]  evenly uncertain within; error [s] standard error on top of that
    """
    if error > _SURE * HALF * period:
        return False
    reach, error = HALF * period, max(error, 1e-9)
    inside = [
        0.5 * (erf((reach - u) / (error * sqrt(2.0))) + erf((reach + u) / (error * sqrt(2.0))))
        for u in np.linspace(-half, half, 81)
    ]
    return bool(np.mean(inside) >= _TOLD)


def blur_of(first: Sampling, second: Sampling, relation: str, fit: Fit) -> Blur | None:
    """How late the second is behind the first, as far as it blurs; its centroid on the first's clock."""
    if second.period >= first.period:
        return relative_blur(second, first, relation, fit.offset, fit.drift, fit.middle)
    found = relative_blur(first, second, relation, -fit.offset, -fit.drift, fit.middle + fit.offset)
    return None if found is None else found.turned()


def _common(fit: Fit) -> str:
    return f"{fit.common:.0f} s in common, of which {1.0 - fit.unexplained:.1%} of the variance agrees"


def _drift(fit: Fit) -> str:
    if fit.drift_error <= 0.0:
        return ""
    return f"; its clock gains {-fit.drift * 1e6:.0f} +- {2e6 * fit.drift_error:.0f} parts in a million"


def _figure(fit: Fit, offset: float, whole: float, lag: float, unseen: float) -> str:
    words = (
        f"add {offset:.3f} s to the second file's time (give or take {whole:.2g} s, 19 of 20); {_common(fit)}"
        f"{_drift(fit)}"
    )
    if abs(lag) > _NAMED * fit.period:
        which = "second" if lag > 0.0 else "first"
        words += (
            f"; the {which} file's instrument shows things about {abs(lag):.2g} s later, which is taken out"
        )
    elif unseen > _UNSEEN * HALF * fit.period:
        words += f"; if one instrument is late by less than {unseen:.1g} s it does not show, and is in it"
    return words + "."


def _bound(fit: Fit, ends: tuple[float, float], why: str) -> str:
    reason = {
        "noise": "they change too little, or are too noisy, for more",
        "lag": "one file's instrument averages, and how much later that makes it does not show",
        "hidden": "they are too noisy, or change too little, to show whether one instrument is late by so much",
        "turns": "one file's logger asks one channel after another, so that a sample may be a row older than its stamp",
        "receiver": "a position receiver shows its speed up to 0.3 s late, and by how much does not show",
    }[why]
    return (
        f"no figure: between {ends[0]:.3f} and {ends[1]:.3f} s are to be added to the second file's time, which is not "
        f"told to half a sample ({HALF * fit.period:.2g} s); {reason}; {_common(fit)}{_drift(fit)}."
    )
