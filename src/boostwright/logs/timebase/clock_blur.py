"""The slower of two records on the other one, blurred more or less: what each blur leaves over, and how much of it is
noise."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.timebase.clock_least import Linear, covariance, linear_part, matrices, newton_step
from boostwright.logs.timebase.clock_search import Smooth, smoothed
from boostwright.logs.timebase.clock_shapes import Shape
from boostwright.logs.timebase.sampling import Sampling

__all__ = ["Pair", "Placed", "Row", "between", "noise_of", "phases_of", "spread_of", "step_of", "tried_row"]

Array = NDArray[np.float64]

_CALM = 0.6  # of a lag that is to be undone: bell that keeps noise down
_MEDIAN = 0.6745  # of a normal distribution's absolute values, in its standard deviations
_IMPULSE = 160  # samples
_BESIDE = 20.0  # bells that lie beside an impulse together
_FEWEST = 12
_FEW = 3  # moments of a row


@dataclass(frozen=True, eq=False)
class Placed:
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


Row = list[tuple[float, Placed]]
"""Second moments [s2] in order, and what each leaves over."""


@dataclass(frozen=True, eq=False)
class Pair:
    """Samples of the slower record and the faster one under them.

    time [s], value (n,) and period [s] of the slower one; fast the faster one, base the same under the finest bell [s];
    shift [s] they are near to; own second moment [s2] by which the faster one is blurred already, more than the slower
    one; noise the variance of the faster one's; phases [s] where between its samples it is read
    """

    time: Array
    value: Array
    period: float
    fast: Sampling
    relation: str
    shift: float
    base: Smooth
    finest: float
    own: float
    noise: float
    phases: Array

    def blurred(self, record: Sampling, plain: Smooth | None, moment: float, shape: Shape) -> Smooth:
        """A record blurred by a second moment [s2]; freed from one where it is negative."""
        step = self.base.step
        if moment >= 0.0:
            return shape(plain or smoothed(record, step, self.finest), moment)
        # freed from a lag noise grows, so it is smoothed first, and freed from that too
        width = max(self.finest, _CALM * float(np.sqrt(-moment)))
        return shape(smoothed(record, step, width), moment - (width**2 - self.finest**2))

    def gain(self, moment: float, shape: Shape) -> float:
        """What is let through of the variance of white noise."""
        impulse = _impulse(self.fast, max(self.finest, _CALM * float(np.sqrt(max(-moment, 0.0)))))
        made = self.blurred(impulse, None, moment, shape)
        where = impulse.time[:-1, None] + self.phases
        return float(np.sum(np.nan_to_num(made.at(where)[0]) ** 2) / self.phases.size)

    def placed(self, moment: float, shape: Shape) -> Placed | None:
        """The slower record on the faster one so blurred."""
        fast = self.blurred(self.fast, self.base, moment, shape)
        made = _placed_at(self.time, self.value, self.relation, fast, self.shift, self.period)
        if made is None:
            return None
        # what blurs a record blurs its noise away too, which is no sign of a lag
        return replace(made, noise=made.fit.scale**2 * self.noise * self.gain(moment, shape))


def _placed_at(
    time: Array, value: Array, relation: str, fast: Smooth, shift: float, period: float
) -> Placed | None:
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
    return Placed(shift, left, fit, slope[good], bend[good])


def tried_row(placed: Callable[[float], Placed | None], longest: float, undone: int = 6) -> Row:
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


def spread_of(best: Placed) -> tuple[float, float, float, float] | None:
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


def noise_of(fast: Sampling) -> float:
    """Variance of a record's noise, by its third differences: of white noise 20 times as large, of curves small."""
    third = np.abs(np.diff(fast.value, 3))
    if not third.size:
        return 0.0
    middle = float(np.median(third)) / _MEDIAN
    if middle <= 0.0:  # in coarse steps most differences are none
        middle = float(np.sqrt(np.mean(third[third <= np.quantile(third, 0.98)] ** 2)))
    return max(middle**2 / 20.0, step_of(fast) ** 2 / 12.0)


def step_of(record: Sampling) -> float:
    """The smallest step of a record's values, as good as."""
    jump = np.abs(np.diff(record.value))
    jump = jump[jump > 0.0]
    return float(np.quantile(jump, 0.02)) if jump.size else 0.0


def phases_of(time: Array, fast: Sampling) -> Array:
    """Where times lie between the samples of a record, in its period [s], a few in order for all: noise is let through
    less between two samples than on one."""
    row = np.clip(np.searchsorted(fast.time, time, side="right") - 1, 0, fast.time.size - 1)
    since = np.clip(time - fast.time[row], 0.0, fast.period)
    return np.asarray(np.quantile(since, (np.arange(24) + 0.5) / 24.0), dtype=np.float64)


def between(phases: Array, period: float, bell: float) -> float:
    """Second moment [s2] by which straight lines between samples, read under a bell [s], differ from the curve.

    At a share p of the way from one sample to the next the line lies off by half the bend times p (1 - p) squares of
    the period; the bell takes the mean of that over shares beside it. Source: error of linear interpolation, the
    Fourier series of p (1 - p).
    """
    share = phases / period
    turns = 2.0 * np.pi * np.arange(1.0, 4.0)[:, None]
    kept = np.exp(-0.5 * (turns * bell / period) ** 2) / (turns / 2.0) ** 2
    return float(np.mean(1.0 / 6.0 - np.sum(kept * np.cos(turns * share), axis=0))) * period**2


def _impulse(fast: Sampling, bell: float) -> Sampling:
    """A record that is 1 once, sampled as evenly as that one is on average, long enough for a bell [s]."""
    count = max(_IMPULSE, round(_BESIDE * bell / fast.period))
    value = np.zeros(count)
    value[count // 2] = 1.0
    time = np.arange(count, dtype=np.float64) * fast.period
    return replace(fast, time=time, value=value, gaps=())
