"""How late one instrument is behind the other, told by how much it blurs what both saw."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.timebase.clock_least import Linear, covariance, linear_part, matrices, newton_step
from boostwright.logs.timebase.clock_search import Smooth, smoothed
from boostwright.logs.timebase.sampling import Sampling

__all__ = ["Blur", "relative_blur"]

Array = NDArray[np.float64]
_Shape = Callable[[Smooth, float], Smooth]

_FINE = 0.3  # of the faster record's period: bell under which it is read
_OWN = 0.04  # s: lag of a quick instrument, which does not show behind a slow one; own estimate
_UNLIKE = (
    0.04  # s: spread by which two quantities that are only in proportion may differ themselves (tyre, clutch)
)
_CARRIED = 0.5  # of a period: from there a lag shows on a record
_CALM = 0.6  # of a lag that is to be undone: bell that keeps noise down
_DOUBTFUL = 0.1  # of its period squared by which that may be off, own estimate
_SURE = 3.0  # standard errors
_TWO = 2.0  # of them: 19 of 20 cases
_RATIO = 1.92  # natural logarithm of a likelihood ratio of one unknown in 19 of 20 cases
_CLEARLY = 5.0  # natural logarithm of how much likelier one shape of lag must be
_LONGEST = 2.0  # s
_STRETCHES = 15.0  # lags that the common stretch must hold
_NOISE_OFF = 0.15  # share by which the noise that was reckoned may be off, own estimate
_LEAST = 0.03  # of what is left over that a lag must explain
_NOISE_SHARE = 0.95  # of what is left over that is put down to the faster record's noise at the most
_NOISE_MOST = 1.5  # times that noise: most that it may be
_MEDIAN = 0.6745  # of a normal distribution's absolute values, in its standard deviations
_IMPULSE = 160  # samples
_MOST = 8000  # samples that are used
_POINTS = 400_000
_FEWEST = 12
_FEW = 3  # moments of a row
_FLAT = 1e-300  # curvature of what does not change
_SLOWEST = 1.7320508  # a running mean is late by this many standard deviations of its weights


@dataclass(frozen=True)
class Blur:
    """One instrument beside the other; positive where the slower record's is the later one.

    centroid  [s]  shift of the slower record's times onto the faster's, by where things lie in the middle
    error     [s]  its standard error
    spread    [s]  standard deviation of the weights with which the later one averages, signed; 0 where none is seen
    spread_error [s]
    unseen    [s]  the smallest spread that would have been seen
    first_order  it averages as a first-order lag does: later by just the spread
    independent  samples of what is left over that tell something new
    least, most  [s]  between them lies the spread in 19 of 20 cases, signed, whether it is seen or not
    """

    centroid: float
    error: float
    spread: float
    spread_error: float
    unseen: float
    first_order: bool
    independent: float
    least: float
    most: float

    @property
    def late(self) -> tuple[float, float]:
        """Least and most [s] that the slower record's instrument is late behind the faster's.

        Spreads add as squares and delays as they are, so a small lag of the sharper instrument hides behind a large one
        of the other and still counts. Smoothed afterwards, the blurred one is not late at all. Where no spread is seen
        beyond doubt, either may be late by what could be there all the same.
        """
        if self.spread == 0.0:
            ends = (min(self.least, 0.0), max(self.most, 0.0))
            shape = 1.0 if self.first_order or self.least <= 0.0 <= self.most else _SLOWEST
            return shape * ends[0], shape * ends[1]
        size = abs(self.spread)
        if self.first_order:
            ends = (float(np.hypot(size, _OWN)) - _OWN, size)
        else:
            hidden = _OWN * max(1.0 - _OWN / max(size, 1e-9), 0.0)
            ends = (-hidden, _SLOWEST * max(size, -self.least, self.most) + hidden)
        return ends if self.spread > 0.0 else (-ends[1], -ends[0])

    def turned(self) -> Blur:
        """The same with the records exchanged."""
        return replace(
            self, centroid=-self.centroid, spread=-self.spread, least=-self.most, most=-self.least
        )


@dataclass(frozen=True, eq=False)
class _Placed:
    """The slower record on a blurred faster one: shift, weighted mean square left over, of which noise of the faster
    one, and slope and bend of that where they were compared."""

    shift: float
    left: float
    fit: Linear
    slope: Array
    bend: Array
    noise: float = 0.0

    @property
    def score(self) -> float:
        """What is left over without the faster record's noise, which every blur lets through differently."""
        return self.left - self.noise


_Row = list[tuple[float, _Placed]]
"""Second moments [s2] in order, and what each leaves over."""


def relative_blur(
    slow: Sampling, fast: Sampling, relation: str, shift: float, drift: float, middle: float
) -> Blur | None:
    """How much later one of two records is, by how much it blurs; None where that cannot be looked for.

    shift, drift, middle  of the slower record's times onto the faster's, as found [s], [-], [s]
    The second moment of the weights by which one record averages the other is found by least squares together with the
    shift of their middles; a first-order lag is told from an even one by what it leaves over. An instrument cannot show
    what has not happened yet: one that averages evenly over a time T around the moment it stamps was smoothed
    afterwards and is not late, one that averages over the T before it is late by T/2, 1.73 standard deviations.
    """
    found = _seen(slow, fast, relation, shift, drift, middle)
    if found is None or found.spread >= 0.0:
        return found
    # a lag of the faster record is undone above, which noise bends; where the slower one can carry it, it is lagged
    if -found.spread > _CARRIED * slow.period:
        back = _seen(fast, slow, relation, -shift, -drift, middle + shift)
        if back is not None and back.spread > 0.0:
            return back.turned()
        if back is not None:
            found = replace(found, least=min(found.least, -back.most))
    return replace(found, first_order=False)


def _seen(
    slow: Sampling, fast: Sampling, relation: str, shift: float, drift: float, middle: float
) -> Blur | None:
    """As ``relative_blur``, with the second record read between its samples and the first one as it is."""
    every = -(-slow.time.size // _MOST)
    time, value = slow.time[::every], slow.value[::every]
    time = time + drift * (time - middle)
    step = min(fast.period / 4.0, slow.period / 8.0)
    if (fast.time[-1] - fast.time[0]) / step > _POINTS:
        return None
    finest = max(_FINE * fast.period, step)
    base = smoothed(fast, step, finest)
    there = np.isfinite(base.at(time + shift)[0])
    if np.count_nonzero(there) < _FEWEST:
        return None
    time, value = time[there], value[there]
    longest = min(_LONGEST, float(time[-1] - time[0]) / _STRETCHES)
    pair = _Pair(
        time,
        value,
        slow.period,
        fast,
        relation,
        shift,
        base,
        finest,
        _noise(fast),
        _phases(time + shift, fast),
    )
    none = pair.placed(0.0, _first_order)
    if none is None:
        return None
    most = _NOISE_SHARE * none.left
    if none.noise > most:  # two loggers may share noise, and curves may look like it
        pair = replace(pair, noise=pair.noise * most / none.noise)
        none = replace(none, noise=most)
    found = _tried(lambda m: pair.placed(m, _first_order), longest)
    even = _tried(lambda m: pair.placed(m, _even), longest, 0)
    return None if len(found) < _FEW or len(even) < _FEW else _judged(pair, none, found, even)


@dataclass(frozen=True, eq=False)
class _Pair:
    """Samples of the slower record and the faster one under them.

    time [s], value (n,) and period [s] of the slower one; fast the faster one, base the same under the finest bell [s];
    shift [s] they are near to; noise the variance of the faster one's; phases [s] where between its samples it is read
    """

    time: Array
    value: Array
    period: float
    fast: Sampling
    relation: str
    shift: float
    base: Smooth
    finest: float
    noise: float
    phases: Array

    def blurred(self, record: Sampling, plain: Smooth | None, moment: float, shape: _Shape) -> Smooth:
        """A record blurred by a second moment [s2]; freed from one where it is negative."""
        step = self.base.step
        if moment >= 0.0:
            return shape(plain or smoothed(record, step, self.finest), moment)
        # freed from a lag noise grows, so it is smoothed first, and freed from that too
        width = max(self.finest, _CALM * float(np.sqrt(-moment)))
        return shape(smoothed(record, step, width), moment - (width**2 - self.finest**2))

    def gain(self, moment: float, shape: _Shape) -> float:
        """What is let through of the variance of white noise."""
        impulse = _impulse(self.fast)
        made = self.blurred(impulse, None, moment, shape)
        where = impulse.time[: _IMPULSE - 1, None] + self.phases
        return float(np.sum(np.nan_to_num(made.at(where)[0]) ** 2) / self.phases.size)

    def between(self) -> float:
        """Second moment [s2] by which straight lines between samples differ from the curve, where they are read.

        At a share p of the way from one sample to the next the line lies off by half the bend times p (1 - p) squares
        of the period. Source: error of linear interpolation.
        """
        share = self.phases / self.fast.period
        return float(np.mean(share * (1.0 - share))) * self.fast.period**2

    def placed(self, moment: float, shape: _Shape) -> _Placed | None:
        """The slower record on the faster one so blurred."""
        fast = self.blurred(self.fast, self.base, moment, shape)
        made = _place(self.time, self.value, self.relation, fast, self.shift, self.period)
        if made is None:
            return None
        # what blurs a record blurs its noise away too, which is no sign of a lag
        return replace(made, noise=made.fit.scale**2 * self.noise * self.gain(moment, shape))


def _judged(pair: _Pair, none: _Placed, lagged: _Row, meant: _Row) -> Blur | None:
    """Whether a blur is one: beyond what its standard error, noise and sampling of the faster record may make."""
    own = pair.finest**2 + pair.between()
    found, even = (min(row, key=lambda one: one[1].score) for row in (lagged, meant))
    moment, best = found if found[1].score < even[1].score else even
    shape = _first_order if best is found[1] else _even
    sure = _spread(best)
    if sure is None:
        return None
    error, moment_error, independent, straight = sure
    curvature = _curvature(pair, moment, best, shape, own)
    moment_error *= straight / curvature
    told = moment + own
    change = abs(pair.gain(moment + own, shape) - pair.gain(moment - own, shape)) / (2.0 * own)
    by_noise = _NOISE_OFF * best.fit.scale**2 * pair.noise * change / curvature
    doubtful = _DOUBTFUL * pair.fast.period**2
    off = float(np.linalg.norm([moment_error, by_noise, doubtful]))
    if pair.relation != "same":
        off = float(np.hypot(off, _UNLIKE**2))
    gained = none.left - best.left
    # blurring takes the noise of the faster record out of what is left over, which no lag need explain
    by_chance = best.left * (2.0 * _CLEARLY / max(independent, 1.0) + _LEAST)
    if told > 0.0:
        by_chance += _NOISE_MOST * max(none.noise - best.noise, 0.0)
        steps = _step_of(pair.fast) ** 2 / 12.0  # hang together in time as nobody knows
        by_chance += best.fit.scale**2 * steps if steps > 0.5 * pair.noise else 0.0
    unseen = float(np.sqrt(_SURE * off + np.sqrt(by_chance / curvature)))
    low, high = _reach(best, (lagged, meant), independent)
    reach = (_root(low + own - doubtful), _root(high + own + doubtful))
    better = (even[1].score - found[1].score) / max(best.left, 1e-300)
    first_order = bool(0.5 * independent * better > _CLEARLY)
    # more noise than there is left over: it was reckoned wrongly
    noisy = best.noise > _NOISE_SHARE * best.left
    if abs(told) < _SURE * off or gained < by_chance or noisy:
        return Blur(best.shift, error, 0.0, 0.0, unseen, first_order, independent, reach[0], reach[1])
    spread = _root(told)
    spread_error = max(off / (2.0 * abs(spread)), (reach[1] - reach[0]) / 4.0)
    return Blur(best.shift, error, spread, spread_error, unseen, first_order, independent, reach[0], reach[1])


def _root(moment: float) -> float:
    """Spread [s] of a second moment [s2], both signed."""
    return float(np.copysign(np.sqrt(abs(moment)), moment))


def _reach(best: _Placed, rows: tuple[_Row, ...], independent: float) -> tuple[float, float]:
    """Least and most second moment [s2] that leave no more over than chance and noise explain, of either shape.

    As much more as 1.92 in the logarithm of likelihood, twice the noise of what two filters of the faster record's
    noise leave over differently, and what that noise may be off by as a whole. Source: likelihood ratio of one unknown.
    """
    ends: list[float] = []
    for row in rows:
        moment = np.array([one[0] for one in row])
        more = np.array([one[1].score - best.score for one in row])
        noise = np.array([abs(one[1].noise - best.noise) for one in row])
        by_chance = 2.0 * _TWO * np.sqrt(best.left * noise / max(independent, 1.0))
        allowed = 2.0 * _RATIO * best.left / max(independent, 1.0) + np.hypot(by_chance, _NOISE_OFF * noise)
        beyond = more - allowed
        inside = np.flatnonzero(beyond <= 0.0)
        if not inside.size:
            continue
        for k, step in ((int(inside[0]), -1), (int(inside[-1]), 1)):
            n = k + step
            if 0 <= n < moment.size:
                share = beyond[k] / (beyond[k] - beyond[n])
                ends.append(float(moment[k] + share * (moment[n] - moment[k])))
            else:
                ends.append(float(moment[k]))
    return min(ends), max(ends)


def _curvature(pair: _Pair, moment: float, best: _Placed, shape: _Shape, step: float) -> float:
    """Half the second derivative of what is left over by the moment [unit2/s4].

    By differences of what noise does not leave: the bends of noise, which a straight line by the moment takes for
    something to hold on to, drop out of it.
    """
    ends = [pair.placed(moment + k * step, shape if moment > step else _first_order) for k in (-1.0, 1.0)]
    middle = best if shape is _first_order or moment > step else pair.placed(moment, _first_order)
    if middle is None or ends[0] is None or ends[1] is None:
        return _FLAT
    return max(0.5 * (ends[0].score + ends[1].score - 2.0 * middle.score) / step**2, _FLAT)


def _first_order(base: Smooth, moment: float) -> Smooth:
    """Lagged by a first-order lag of second moment [s2], or freed from one where it is negative; middles stay."""
    from scipy.signal import lfilter

    tau = float(np.sqrt(abs(moment)))
    if tau < 1e-9:
        return base
    if moment < 0.0:
        slope = np.gradient(base.value, base.step)
        return replace(base, start=base.start + tau, value=base.value + tau * slope)
    there = np.isfinite(base.value)
    filled = np.interp(np.arange(there.size), np.flatnonzero(there), base.value[there])
    ratio = base.step / tau
    keep, mean = np.exp(-ratio), -np.expm1(-ratio) / ratio
    drive = np.empty_like(filled)
    drive[0] = filled[0]
    drive[1:] = (mean - keep) * filled[:-1] + (1.0 - mean) * filled[1:]
    made = np.asarray(lfilter([1.0], [1.0, -float(keep)], drive))
    return replace(
        base, start=base.start - tau, value=np.where(_clear(there, 5.0 * tau, base.step), made, np.nan)
    )


def _even(base: Smooth, moment: float) -> Smooth:
    """The same for a mean over even weights, and to the second order for the way back."""
    from scipy.ndimage import uniform_filter1d

    if moment < 0.0:
        bend = np.gradient(np.gradient(base.value, base.step), base.step)
        return replace(base, value=base.value + 0.5 * moment * bend)
    there = np.isfinite(base.value)
    filled = np.interp(np.arange(there.size), np.flatnonzero(there), base.value[there])
    whole = float(np.sqrt(12.0 * moment + base.step**2)) / base.step
    odd = (
        2 * int((whole - 1.0) / 2.0) + 1
    )  # between two odd widths the means are mixed by their second moments
    narrow, wide = (uniform_filter1d(filled, w, mode="nearest") for w in (odd, odd + 2))
    share = (whole**2 - odd**2) / ((odd + 2) ** 2 - odd**2)
    made = (1.0 - share) * narrow + share * wide
    clear = _clear(there, whole * base.step, base.step)
    return replace(base, value=np.where(clear, made, np.nan))


def _clear(there: NDArray[np.bool_], reach: float, step: float) -> NDArray[np.bool_]:
    """Points with nothing missing within a reach [s]."""
    from scipy.ndimage import minimum_filter1d

    if there.all():
        return there
    return np.asarray(minimum_filter1d(there.astype(np.uint8), 2 * round(reach / step) + 1)).astype(bool)


def _place(
    time: Array, value: Array, relation: str, fast: Smooth, shift: float, period: float
) -> _Placed | None:
    """The shift that leaves the least over."""
    for _ in range(12):
        x, slope, bend = fast.at(time + shift)
        good = np.isfinite(x)
        if np.count_nonzero(good) < max(_FEWEST, 0.5 * time.size):
            return None
        fit = linear_part(x[good], value[good], fast.doubt_at((time + shift)[good]), relation)
        jacobian, curvature = matrices(fit, [np.ones_like(fit.residual)], slope[good], bend[good], [])
        moved = float(newton_step(fit, jacobian, curvature)[0])
        if abs(moved) < 1e-5 * period:
            break
        shift += float(np.clip(moved, -0.5 * period, 0.5 * period))
    left = float(fit.weight @ fit.residual**2 / fit.weight.sum())
    return _Placed(shift, left, fit, slope[good], bend[good])


def _tried(placed: Callable[[float], _Placed | None], longest: float, undone: int = 6) -> _Row:
    """A row of second moments [s2] in order and what they leave over, finer beside the best; ``undone`` says how many
    of them free the faster record from a blur."""
    sizes = longest * np.geomspace(0.01, 1.0, 9)
    moments = np.concatenate([-(sizes[:undone][::-1] ** 2), [0.0], sizes**2])
    tried = [(float(m), placed(float(m))) for m in moments]
    known = [(m, p) for m, p in tried if p is not None]
    if len(known) < _FEW:
        return known
    at = min(range(len(known)), key=lambda k: known[k][1].score)
    best = known[at]
    low, high = known[max(at - 1, 0)][0], known[min(at + 1, len(known) - 1)][0]
    for _ in range(9):
        for m in (0.5 * (low + best[0]), 0.5 * (best[0] + high)):
            one = placed(m)
            if one is None:
                continue
            known.append((m, one))
            if one.score < best[1].score:
                low, high = (low, best[0]) if m < best[0] else (best[0], high)
                best = (m, one)
                break
        else:
            low, high = 0.5 * (low + best[0]), 0.5 * (best[0] + high)
    return sorted(known, key=lambda one: one[0])


def _spread(best: _Placed) -> tuple[float, float, float, float] | None:
    """Standard errors of shift [s] and second moment [s2], how many samples tell something new, and half the second
    derivative of the mean square by the moment."""
    column = 0.5 * best.fit.scale * best.bend
    times = [np.ones_like(column)]
    jacobian, curvature = matrices(best.fit, times, best.slope, best.bend, [column])
    found, independent = covariance(best.fit, jacobian, curvature)
    if not (found[0, 0] > 0.0 and found[1, 1] > 0.0):
        return None
    weight = best.fit.weight
    return (
        float(np.sqrt(found[0, 0])),
        float(np.sqrt(found[1, 1])),
        independent,
        max(float(weight @ column**2 / weight.sum()), 1e-300),
    )


def _noise(fast: Sampling) -> float:
    """Variance of a record's noise, by its third differences: of white noise 20 times as large, of curves small."""
    third = np.abs(np.diff(fast.value, 3))
    if not third.size:
        return 0.0
    middle = float(np.median(third)) / _MEDIAN
    if middle <= 0.0:  # in coarse steps most differences are none
        middle = float(np.sqrt(np.mean(third[third <= np.quantile(third, 0.98)] ** 2)))
    return middle**2 / 20.0


def _step_of(record: Sampling) -> float:
    """The smallest step of a record's values, as good as."""
    jump = np.abs(np.diff(record.value))
    jump = jump[jump > 0.0]
    return float(np.quantile(jump, 0.02)) if jump.size else 0.0


def _phases(time: Array, fast: Sampling) -> Array:
    """Where times lie between the samples of a record, in its period [s], a few in order for all: noise is let through
    less between two samples than on one."""
    row = np.clip(np.searchsorted(fast.time, time, side="right") - 1, 0, fast.time.size - 1)
    since = np.clip(time - fast.time[row], 0.0, fast.period)
    return np.asarray(np.quantile(since, (np.arange(24) + 0.5) / 24.0), dtype=np.float64)


def _impulse(fast: Sampling) -> Sampling:
    """A record that is 1 once, sampled as evenly as that one is on average."""
    value = np.zeros(_IMPULSE)
    value[_IMPULSE // 2] = 1.0
    time = np.arange(_IMPULSE, dtype=np.float64) * fast.period
    return replace(fast, time=time, value=value, gaps=())
