"""What a first-order probe was given, from what it showed: the likeliest input that is no rougher than it must be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Inverse", "first_order", "undo_first_order"]

Array = NDArray[np.float64]

_EXACT = 1e6  # weight of the probe's equation beside that of a reading
_GRID = np.logspace(-6.0, 8.0, 15)  # roughness looked through: bends over noise, squared, in time constants
_BETWEEN = np.logspace(-0.75, 0.75, 7)  # and about the best of these
_FINER = np.logspace(-2.0, 0.25, 10)  # roughness looked through again once jumps are free, over that before
_ROUNDS = 4
_AT_ONCE = 8  # jumps tried in a round
_LARGE = 4.0  # typical bends, from which one may be a jump
_LOOSE = 1e4  # how much more the bends at a jump may vary; what makes a jump worth assuming
_PLACES = 25  # at which noise and error of the estimate are worked out
_GAP = 2.5


@dataclass(frozen=True, eq=False)
class Inverse:
    """The input of a probe, estimated: its mean over each interval between two samples.

    time       (m,) [s]  middles of the intervals; m = n - 1
    value      (m,)  unit of the reading; NaN over gaps
    gain       (m,)  noise of the estimate over noise of the reading
    error      (m,)  standard error, after the assumed smoothness
    cut        (m,)  what smoothing the estimate once more would do to it: about what the first time did to the input
    noise      standard deviation of the reading's noise
    width      [s]  over which the estimate is smoothed between jumps, standard deviation
    jumps      (m,) intervals in which the input may jump
    """

    time: Array
    value: Array
    gain: Array
    error: Array
    cut: Array
    noise: float
    width: float
    jumps: NDArray[np.bool_]


def first_order(time: Array, value: Array, time_constant: Array, start: float | None = None) -> Array:
    """What a first-order probe shows of an input that runs in straight lines between samples.

    time  (n,) [s] rising; value (n,) the input; time_constant (n,) [s] > 0
    start first reading; None: settled
    Returns (n,). Source: exact solution of y' = (u - y)/tau over each interval, tau its mean there.
    """
    out = np.empty(value.size)
    if not value.size:
        return out
    x = np.maximum(_exponent(time, time_constant), 1e-12)
    mean = -np.expm1(-x) / x
    a, b, c = np.exp(-x).tolist(), (mean - np.exp(-x)).tolist(), (1.0 - mean).tolist()
    u = value.tolist()
    y = u[0] if start is None else start
    out[0] = y
    for k in range(len(a)):
        y = a[k] * y + b[k] * u[k] + c[k] * u[k + 1]
        out[k + 1] = y
    return out


def undo_first_order(time: Array, value: Array, time_constant: Array, least_noise: float = 0.0) -> Inverse:
    """The input of a first-order probe.

    time  (n,) [s] rising, n >= 8; value (n,) what it showed; time_constant (n,) [s] > 0
    least_noise  what the noise is at least, for readings in coarse steps: their step over the root of 12

    Over an interval h, y1 = y0 exp(-h/tau) + (1 - exp(-h/tau)) u with u a mean of the input that weighs none of it
    negatively: taken by itself it cannot overshoot, but lets through tau/h of the noise and more. So the u are joined:
    the likeliest input whose bends are normally spread, their size and the noise chosen for the greatest likelihood of
    the readings (a smoothing spline seen through the probe). Where that would leave a few bends far larger than the
    rest, as when fuel is cut, the input may jump: those bends are held more loosely if the readings are so much
    likelier for it. Linear algebra on a narrow band, O(n).
    Source: Wahba, Spline Models for Observational Data (1990), chapter 4, from memory; own discretisation.
    """
    middle = float(value.mean())
    band = _Band(time, value - middle, time_constant)
    scale = float(np.mean(time_constant)) ** 3
    best, _ = _most_likely(band, _GRID / scale, least_noise)
    best, noise = _most_likely(band, best * _BETWEEN, least_noise)
    for _ in range(_ROUNDS):
        jumps = band.likely_jumps(best)
        before = band.likelihood(best, noise)
        while jumps.size:
            freed = band.with_free(_placed(band, jumps, best, noise))
            found, left = _most_likely(freed, best * _FINER, least_noise)
            if freed.likelihood(found, noise) < before:
                band, best, noise = freed, found, left
                break
            jumps = jumps[: jumps.size // 2]
        if not jumps.size:
            break
    solved, factor = band.solve(best)
    estimate = band.between_neighbours(middle + solved[1::2])
    places = np.unique(np.linspace(0, estimate.size - 1, _PLACES).astype(int))
    places = np.unique(np.append(places, int(np.argmax(estimate))))
    gains, errors, widths = zip(*(band.spread(factor, int(p)) for p in places), strict=True)
    at = 0.5 * (time[1:] + time[:-1])
    steps = np.diff(time)
    gap = steps > _GAP * float(np.median(steps))
    return Inverse(
        at,
        np.where(gap, np.nan, estimate),
        np.interp(at, at[places], np.array(gains)),
        noise * np.interp(at, at[places], np.array(errors)),
        np.where(gap | band.jumps, np.nan, band.again(factor, solved) - solved[1::2]),
        noise,
        float(np.median(widths)),
        band.jumps,
    )


def _placed(band: _Band, jumps: NDArray[np.intp], roughness: float, noise: float) -> NDArray[np.intp]:
    """Each jump in the likeliest of three neighbouring intervals."""
    out = jumps.copy()
    best = band.with_free(out).likelihood(roughness * _FINER[2], noise)
    for k in range(out.size):
        for step in (-1, 1):
            moved = out.copy()
            moved[k] = min(max(jumps[k] + step, 1), band.intervals - 2)
            value = band.with_free(moved).likelihood(roughness * _FINER[2], noise)
            if value < best:
                best, out = value, moved
    return out


def _most_likely(band: _Band, roughness: Array, least_noise: float) -> tuple[float, float]:
    """Roughness and noise of the greatest likelihood."""
    best = min((band.likelihood(float(r), None), float(r)) for r in roughness)[1]
    noise = band.noise(best)
    if noise < least_noise:
        noise = least_noise
        best = min((band.likelihood(float(r), noise), float(r)) for r in roughness)[1]
    return best, noise


def _exponent(time: Array, time_constant: Array) -> Array:
    return np.diff(time) / (0.5 * (time_constant[1:] + time_constant[:-1]))


class _Band:
    """Normal equations of the unknowns y0, u0, y1, u1 ... y(n-1), lower band; noise counts as 1."""

    def __init__(self, time: Array, value: Array, time_constant: Array) -> None:
        self._size = 2 * time.size - 1
        self._value = value
        a = np.exp(-_exponent(time, time_constant))
        self._decay = a
        self._fixed = np.zeros((5, self._size))
        self._fixed[0, 0::2] += 1.0
        row = 2 * np.arange(time.size - 1)
        _add(self._fixed, (row, row + 1, row + 2), (-a, a - 1.0, np.ones(a.size)), np.full(a.size, _EXACT))
        at = 0.5 * (time[1:] + time[:-1])
        steps, inner = np.diff(time), np.diff(at)
        before, after = inner[:-1], inner[1:]
        gap = steps > _GAP * float(np.median(steps))
        whole = ~(gap[:-2] | gap[1:-1] | gap[2:])
        row = 2 * np.arange(before.size) + 1
        self._weight = np.where(whole, 2.0 / (before + after), 0.0)
        self._rows = (row, row + 2, row + 4)
        self._parts = (1.0 / before, -(1.0 / before + 1.0 / after), 1.0 / after)
        self._count = int(np.count_nonzero(whole))
        self._middle = at
        self.intervals = at.size
        self._free: NDArray[np.bool_] = np.zeros(at.size, dtype=bool)
        self._freed = 0
        self._bend()

    @property
    def jumps(self) -> NDArray[np.bool_]:
        """Intervals (m,) in which the input may jump."""
        return self._free

    def _bend(self) -> None:
        """The part of the equations that holds the bends small."""
        self._bends = np.zeros((5, self._size))
        _add(self._bends, self._rows, self._parts, self._weight)

    def likely_jumps(self, roughness: float) -> NDArray[np.intp]:
        """Intervals whose bends are far larger than the others', the largest first, none beside another."""
        u = self.solve(roughness)[0][1::2]
        bend = self._parts[0] * u[:-2] + self._parts[1] * u[1:-1] + self._parts[2] * u[2:]
        size = np.abs(bend) * np.sqrt(self._weight)
        typical = float(np.sqrt(np.mean(size**2)))
        out: list[int] = []
        for k in np.argsort(-size)[: 8 * _AT_ONCE].tolist():
            if size[k] < _LARGE * typical or len(out) == _AT_ONCE:
                break
            near = np.arange(max(k - 2, 1), min(k + 5, u.size - 1))  # where it is steepest between two bends
            at = int(near[np.argmax(np.abs(u[near + 1] - u[near - 1]))])
            if all(abs(at - other) > 3 for other in out) and not self._free[max(at - 2, 0) : at + 3].any():
                out.append(at)
        return np.array(out, dtype=np.intp)

    def with_free(self, jumps: NDArray[np.intp]) -> _Band:
        """The same equations with bends at some intervals held far more loosely."""
        import copy

        made = copy.copy(self)
        made._free, made._weight = self._free.copy(), self._weight.copy()
        made._free[jumps] = True
        touched = np.unique((jumps[:, None] + np.array([-2, -1, 0])[None, :]).ravel())
        touched = touched[(touched >= 0) & (touched < made._weight.size)]
        made._weight[touched] = self._weight[touched] / _LOOSE
        made._freed = self._freed + int(np.count_nonzero(self._weight[touched]))
        made._bend()
        return made

    def between_neighbours(self, estimate: Array) -> Array:
        """The estimate with what lies in the interval of a jump between what is before and behind it."""
        made = estimate.copy()
        for k in np.flatnonzero(self._free).tolist():
            around = [estimate[j] for j in (k - 1, k + 1) if 0 <= j < estimate.size and not self._free[j]]
            if around:
                made[k] = min(max(made[k], min(around)), max(around))
        return made

    def _factor(self, roughness: float) -> Array:
        from scipy.linalg import cholesky_banded

        made: Array = cholesky_banded(self._fixed + self._bends / roughness, lower=True, check_finite=False)
        return made

    def solve(self, roughness: float) -> tuple[Array, Array]:
        """The unknowns, and the factor of the equations."""
        from scipy.linalg import cho_solve_banded

        factor = self._factor(roughness)
        right = np.zeros(self._size)
        right[::2] = self._value
        solved: Array = cho_solve_banded((factor, True), right, check_finite=False)
        return solved, factor

    def again(self, factor: Array, solved: Array) -> Array:
        """What would come out if the estimate itself had been the input."""
        from scipy.linalg import cho_solve_banded

        y = np.empty(self._value.size)
        y[0] = solved[0]
        for k, (a, u) in enumerate(zip(self._decay.tolist(), solved[1::2].tolist(), strict=True)):
            y[k + 1] = a * y[k] + (1.0 - a) * u
        right = np.zeros(self._size)
        right[::2] = y
        return np.asarray(cho_solve_banded((factor, True), right, check_finite=False)[1::2])

    def _left(self, solved: Array) -> float:
        """Weighted squares left over."""
        return max(float(np.sum(self._value * (self._value - solved[::2]))), 1e-12)

    def noise(self, roughness: float) -> float:
        """The likeliest noise."""
        solved, _ = self.solve(roughness)
        return float(np.sqrt(self._left(solved) / self._value.size))

    def likelihood(self, roughness: float, noise: float | None) -> float:
        """-2 log likelihood of the readings less a constant; the noise free, or as stated."""
        solved, factor = self.solve(roughness)
        n, left = self._value.size, self._left(solved)
        fit = n * np.log(left / n) if noise is None else left / noise**2
        return float(
            fit
            + 2.0 * np.log(factor[0]).sum()
            + self._count * np.log(roughness)
            + self._freed * np.log(_LOOSE)
        )

    def spread(self, factor: Array, place: int) -> tuple[float, float, float]:
        """Gain of the noise, standard error over noise, and width of the blur [s], of one mean of the input."""
        from scipy.linalg import cho_solve_banded

        unit = np.zeros(self._size)
        unit[2 * place + 1] = 1.0
        solved = cho_solve_banded((factor, True), unit, check_finite=False)
        weight = np.abs(solved[1::2])
        centre = float(weight @ self._middle) / float(weight.sum())
        width = float(np.sqrt(weight @ (self._middle - centre) ** 2 / weight.sum()))
        return float(np.linalg.norm(solved[::2])), float(np.sqrt(max(solved[2 * place + 1], 0.0))), width


def _add(band: Array, rows: tuple[NDArray[np.intp], ...], parts: tuple[Array, ...], weight: Array) -> None:
    """Add weight * part part^T to a lower band."""
    if not weight.size:
        return
    for i, part in enumerate(parts):
        for j in range(i + 1):
            band[rows[i][0] - rows[j][0], rows[j]] += weight * part * parts[j]  # rows keep their distance
