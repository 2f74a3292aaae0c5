"""How late one instrument is behind the other, told by how much it blurs what both saw."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from boostwright.logs.timebase.clock_blur import (
    Pair,
    Placed,
    Row,
    between,
    noise_of,
    phases_of,
    spread_of,
    step_of,
    tried_row,
)
from boostwright.logs.timebase.clock_search import smoothed
from boostwright.logs.timebase.clock_shapes import Shape, even_mean, lagged
from boostwright.logs.timebase.sampling import Sampling

__all__ = ["Blur", "relative_blur"]

_FINE = 0.3  # of the faster record's period: bell under which it is read
_OWN = 0.04  # s: lag of a quick instrument, which does not show behind a slow one; own estimate
_UNLIKE = 0.04  # s: spread by which two quantities only in proportion may differ themselves (tyre, clutch)
_CARRIED = 0.5  # of a period: from there a lag shows on a record
_BELLS = (0.0, 1.0, 2.5)  # of the slower record's period: bells under which both are looked at
_ENOUGH = 0.75  # of that period: a lag that has no more room need not be looked at again
_LINES = 1.0 / 6.0  # of its period squared: second moment of straight lines between samples, read anywhere
_DOUBTFUL = 0.1  # of its period squared by which that may be off, own estimate
_SURE = 3.0  # standard errors
_TWO = 2.0  # of them: 19 of 20 cases
_RATIO = 1.92  # natural logarithm of a likelihood ratio of one unknown in 19 of 20 cases
_HARDLY = 1.7  # times what chance makes in 19 of 20 cases: 99 of 100
_CLEARLY = 5.0  # natural logarithm of how much likelier one shape of lag must be
_SHAPE = 0.15  # of what is left over that the other shape must leave more: a mean with a lag is neither
_LONGEST = 2.0  # s
_STRETCHES = 15.0  # lags that the common stretch must hold
_NOISE_OFF = 0.15  # share by which the noise that was reckoned may be off, own estimate
_LEAST = 0.03  # of what is left over that a lag must explain
_NOISE_SHARE = 0.95  # of what is left over that is put down to the faster record's noise at the most
_NOISE_MOST = 1.5  # times that noise: most that it may be
_MOST = 8000  # samples that are used
_POINTS = 400_000
_FEWEST = 12
_FEW = 3  # moments of a row
_FLAT = 1e-6  # of the curvature that a straight line by the moment has: none
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
    likeliest [s]  spread that leaves the least over, signed, whether it is seen or not
    least, most  [s]  between them lies the spread in 19 of 20 cases, signed, whether it is seen or not
    """

    centroid: float
    error: float
    spread: float
    spread_error: float
    unseen: float
    first_order: bool
    independent: float
    likeliest: float
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
            none = self.least <= 0.0 <= self.most and abs(self.likeliest) <= _OWN
            shape = 1.0 if self.first_order or none else _SLOWEST
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
            self,
            centroid=-self.centroid,
            spread=-self.spread,
            likeliest=-self.likeliest,
            least=-self.most,
            most=-self.least,
        )


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
    found = _narrowest(slow, fast, relation, shift, drift, middle)
    if found is None or found.spread >= 0.0:
        return found
    # a lag of the faster record is undone above, which noise bends; where the slower one can carry it, it is lagged
    if -found.spread > _CARRIED * slow.period:
        back = _narrowest(fast, slow, relation, -shift, -drift, middle + shift)
        if back is not None and back.spread > 0.0:
            return back.turned()
        if back is not None:
            found = replace(found, least=min(found.least, -back.most))
    return replace(found, first_order=False)


def _narrowest(
    slow: Sampling, fast: Sampling, relation: str, shift: float, drift: float, middle: float
) -> Blur | None:
    """The answer that leaves a lag the least room, of several bells that both records are smoothed by first.

    Smoothed, both lose noise, which blurs like a lag, sooner than what they share.
    """
    length = min(slow.time[-1] - slow.time[0], fast.time[-1] - fast.time[0])
    best = None
    for calm in (share * slow.period for share in _BELLS):
        if calm > 0.0 and _STRETCHES * calm > length:
            break
        found = _seen(slow, fast, relation, shift, drift, middle, calm)
        if found is not None and (best is None or found.most - found.least < best.most - best.least):
            best = found
        if best is not None and max(-best.least, best.most) < _ENOUGH * slow.period:
            break
    return best


def _seen(
    slow: Sampling, fast: Sampling, relation: str, shift: float, drift: float, middle: float, calm: float
) -> Blur | None:
    """As ``relative_blur``, with the second record read between its samples and the first one as it is, both under a
    bell of ``calm`` [s]."""
    step = min(fast.period / 4.0, slow.period / 8.0)
    if (max(fast.time[-1] - fast.time[0], slow.time[-1] - slow.time[0])) / step > _POINTS:
        return None
    every = -(-slow.time.size // _MOST)
    time, value = slow.time[::every], slow.value[::every]
    if calm > 0.0:
        value = smoothed(slow, step, calm).at(time)[0]
    time = time + drift * (time - middle)
    finest = float(np.hypot(max(_FINE * fast.period, step), calm))
    base = smoothed(fast, step, finest)
    there = np.isfinite(base.at(time + shift)[0]) & np.isfinite(value)
    if np.count_nonzero(there) < _FEWEST:
        return None
    time, value = time[there], value[there]
    longest = min(_LONGEST, float(time[-1] - time[0]) / _STRETCHES)
    phases = phases_of(time + shift, fast)
    own = (
        finest**2
        - calm**2
        + between(phases, fast.period, finest)
        - (_LINES * slow.period**2 if calm > 0.0 else 0.0)
    )
    pair = Pair(time, value, slow.period, fast, relation, shift, base, finest, own, noise_of(fast), phases)
    none = pair.placed(0.0, lagged)
    if none is None:
        return None
    most = _NOISE_SHARE * none.left
    if none.noise > most:  # two loggers may share noise, and curves may look like it
        pair = replace(pair, noise=pair.noise * most / none.noise)
        none = replace(none, noise=most)
    found = tried_row(lambda m: pair.placed(m, lagged), longest)
    even = tried_row(lambda m: pair.placed(m, even_mean), longest, 0)
    return None if len(found) < _FEW or len(even) < _FEW else _judged(pair, none, found, even)


def _judged(pair: Pair, none: Placed, late: Row, meant: Row) -> Blur | None:
    """Whether a blur is one: beyond what its standard error, noise and sampling of the faster record may make."""
    own, fine = pair.own, max((_FINE * pair.fast.period) ** 2, abs(pair.own))
    found, even = (min(row, key=lambda one: one[1].score) for row in (late, meant))
    moment, best = found if found[1].score < even[1].score else even
    shape = lagged if best is found[1] else even_mean
    sure = spread_of(best)
    if sure is None:
        return None
    error, moment_error, independent, straight = sure
    curvature = max(_curvature(pair, moment, best, shape, fine), _FLAT * straight)
    moment_error *= straight / curvature
    told = moment + own
    change = abs(pair.gain(moment + fine, shape) - pair.gain(moment - fine, shape)) / (2.0 * fine)
    by_noise = _NOISE_OFF * best.fit.scale**2 * pair.noise * change / curvature
    doubtful = _DOUBTFUL * pair.fast.period**2
    off = float(np.linalg.norm([moment_error, by_noise, doubtful]))
    if pair.relation != "same":
        off = float(np.hypot(off, _UNLIKE**2))
    steps = step_of(pair.fast) ** 2 / 12.0
    if steps < noise_of(pair.fast):  # only errors of coarse steps hang together as nobody knows
        steps = 0.0
    gained = none.left - best.left
    # blurring takes the noise of the faster record out of what is left over, which no lag need explain
    by_chance = best.left * (2.0 * _CLEARLY / max(independent, 1.0) + _LEAST)
    if told > 0.0:
        by_chance += _NOISE_MOST * max(none.noise - best.noise, 0.0)
        by_chance += best.fit.scale**2 * steps
    unseen = float(np.sqrt(_SURE * off + np.sqrt(by_chance / curvature)))
    low, high = _reach(best, (late, meant), independent, own, steps)
    reach = (_root(low + own - doubtful), _root(high + own + doubtful))
    better = even[1].score - found[1].score
    first_order = bool(
        0.5 * independent * better / max(best.left, 1e-300) > _CLEARLY
        and better > _SHAPE * best.left
        and better > _HARDLY * _allowed(found[1], even[1], independent, steps)
    )
    # more noise than there is left over: it was reckoned wrongly
    noisy = best.noise > _NOISE_SHARE * best.left
    if abs(told) < _SURE * off or gained < by_chance or noisy:
        return Blur(best.shift, error, 0.0, 0.0, unseen, first_order, independent, _root(told), *reach)
    spread = _root(told)
    spread_error = max(off / (2.0 * abs(spread)), (reach[1] - reach[0]) / 4.0)
    return Blur(
        best.shift, error, spread, spread_error, unseen, first_order, independent, _root(told), *reach
    )


def _root(moment: float) -> float:
    """Spread [s] of a second moment [s2], both signed."""
    return float(np.copysign(np.sqrt(abs(moment)), moment))


def _reach(
    best: Placed, rows: tuple[Row, ...], independent: float, own: float, steps: float
) -> tuple[float, float]:
    """Least and most second moment [s2] that leave no more over than chance and noise explain, of either shape.

    own    [s2]  by which the faster record is blurred already; none is let go only where 99 of 100 cases are against it
    steps  mean square of coarse steps, whose errors hang together in time as nobody knows
    """
    ends: list[float] = []
    for row in rows:
        moment = np.array([one[0] for one in row])
        more = np.array([one[1].score - best.score for one in row])
        allowed = np.array([_allowed(best, one[1], independent, steps) for one in row])
        if np.interp(-own, moment, more - _HARDLY * allowed) <= 0.0:
            ends.append(-own)
        beyond = more - allowed
        inside = np.flatnonzero(beyond <= 0.0)
        for k, step in ((int(inside[0]), -1), (int(inside[-1]), 1)) if inside.size else ():
            n = k + step
            share = beyond[k] / (beyond[k] - beyond[n]) if 0 <= n < moment.size else 0.0
            ends.append(float(moment[k] + (share * (moment[n] - moment[k]) if share else 0.0)))
    return min(ends), max(ends)


def _allowed(best: Placed, other: Placed, independent: float, steps: float) -> float:
    """How much more than the best another blur may leave over by chance and noise, in 19 of 20 cases.

    As much more as 1.92 in the logarithm of likelihood, twice the noise of what two filters of the faster record's
    noise leave over differently, and the share by which that noise may be off as a whole. Source: Wilks,
    S.S. (1938), Ann. Math. Stat. 9, 60, likelihood ratio of one unknown, from memory.
    """
    noise = abs(other.noise - best.noise)
    by_chance = 2.0 * _TWO * float(np.sqrt(best.left * noise / max(independent, 1.0)))
    off = float(np.hypot(_NOISE_OFF * noise, best.fit.scale**2 * steps))
    return 2.0 * _RATIO * best.left / max(independent, 1.0) + float(np.hypot(by_chance, off))


def _curvature(pair: Pair, moment: float, best: Placed, shape: Shape, step: float) -> float:
    """Half the second derivative of what is left over by the moment [unit2/s4].

    By differences of what noise does not leave: the bends of noise, which a straight line by the moment takes for
    something to hold on to, drop out of it.
    """
    ends = [pair.placed(moment + k * step, shape if moment > step else lagged) for k in (-1.0, 1.0)]
    middle = best if shape is lagged or moment > step else pair.placed(moment, lagged)
    if middle is None or ends[0] is None or ends[1] is None:
        return 0.0
    return 0.5 * (ends[0].score + ends[1].score - 2.0 * middle.score) / step**2
