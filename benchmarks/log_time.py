"""The time of a log, beside what general-purpose tools give, in one run: errors as ratios, and how often a band holds.

Clock offset: ours and the peak of scipy's correlation on an even grid at the slower record's rate, with a parabola
through it, as somebody fluent would write it; error of each over the slower record's period, and how many of our bands
hold. Lag: ours and y + tau dy/dt with smoothing and derivative by scipy's Savitzky-Golay filter, at the one window that
is best over all shapes of gas at that lag and rate: who uses it in earnest does not know the gas and cannot choose so
well. Errors over the rise: of the peak, and of the whole curve. All records are made; nothing here is measured.

    python -m benchmarks.log_time [--pairs 200]
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

import numpy as np
from scipy import signal

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests" / "support"))

from made_logs_a import GAS_SHAPES, gas, two_clocks

from boostwright.logs.timebase.clock_offset import ClockBound, ClockOffset, clock_offset
from boostwright.logs.timebase.lag_inverse import first_order, undo_first_order
from boostwright.logs.timebase.sampling import Sampling, sampling_of


def peer_offset(first: Sampling, second: Sampling) -> float:
    """Peak of the correlation on one even grid, with a parabola through it."""
    step = max(first.period, second.period)
    grids = [np.arange(s.time[0], s.time[-1], step) for s in (first, second)]
    values = [np.interp(g, s.time, s.value) for g, s in zip(grids, (first, second), strict=True)]
    a, b = ((v - v.mean()) / v.std() for v in values)
    made = signal.correlate(a, b)
    lags = signal.correlation_lags(a.size, b.size)
    top = int(np.argmax(made))
    part = 0.0
    if 0 < top < made.size - 1:
        left, mid, right = made[top - 1 : top + 2]
        part = 0.5 * (left - right) / (left - 2 * mid + right)
    return float(grids[0][0] - grids[1][0] + (lags[top] + part) * step)


def clocks(pairs: int) -> None:
    """Errors of both over the slower record's period, and coverage."""
    ours, theirs, score, spent, peer_spent = [], [], [], 0.0, 0.0
    bounds: list[bool] = []
    for seed in range(5000, 5000 + pairs):
        one, two, relation, offset, _, middle = two_clocks(seed, 900.0)
        first, second = sampling_of(one), sampling_of(two)
        begin = time.process_time()
        found = clock_offset(first, second, relation)
        spent += time.process_time() - begin
        begin = time.process_time()
        peer = peer_offset(first, second)
        peer_spent += time.process_time() - begin
        if not isinstance(found, ClockOffset):
            print(f"pair {seed}: {found.words}")
            if isinstance(found, ClockBound):
                bounds.append(found.low <= offset - found.drift * (middle - found.middle) <= found.high)
            continue
        error = found.offset + found.drift * (middle - found.middle) - offset
        ours.append(abs(error) / found.period)
        theirs.append(abs(peer - offset) / found.period)
        score.append(abs(error) / found.standard_error)
    a, b, z = np.array(ours), np.array(theirs), np.array(score)
    told = f"{a.size} of {pairs} pairs answered, {len(bounds)} with a bound, {sum(bounds)} of which hold"
    print(f"clock offset, {told}; errors in periods of the slower record")
    for name, e in (("ours", a), ("correlation and parabola", b)):
        print(
            f"  {name:26s} median {np.median(e):.4f}  95 % {np.quantile(e, 0.95):.3f}  worst {e.max():.2f}  "
            f"within half {np.mean(e < 0.5):.3f}"
        )
    far = np.quantile(b, 0.95) / np.quantile(a, 0.95)
    print(f"  peer over ours: median {np.median(b) / np.median(a):.1f}, 95 % {far:.1f}")
    print(
        f"  one, two, three standard errors hold {np.mean(z < 1):.3f} {np.mean(z < 2):.3f} {np.mean(z < 3):.3f}"
    )
    print(f"  processor time over the peer's: {spent / peer_spent:.0f}, {1e3 * spent / pairs:.0f} ms a pair")


def lags(seeds: int = 10) -> None:
    """Root mean square errors of peak and curve over the rise, by lag and rate over all shapes."""
    print(
        "lag undone, noise 1.5 K and steps of 1 K, five shapes: errors over the rise, of the peak (worst) and the curve"
    )
    for tau in (0.3, 1.0):
        for rate in (10.0, 25.0, 50.0):
            ours, theirs = _errors(tau, 1.0 / rate, seeds)
            best = min(theirs, key=lambda w: float(np.mean(np.square(theirs[w][:, 1]))))
            mine, peer = (np.sqrt(np.mean(np.square(e), axis=0)) for e in (ours, theirs[best]))
            most = np.abs(ours[:, 0]).max(), np.abs(theirs[best][:, 0]).max()
            print(
                f"  tau {tau:.1f} s, {rate:2.0f} Hz  ours {mine[0]:.3f} ({most[0]:.3f}) {mine[1]:.3f}   "
                f"peer {peer[0]:.3f} ({most[1]:.3f}) {peer[1]:.3f}   "
                f"peer over ours {peer[0] / mine[0]:.1f} and {peer[1] / mine[1]:.1f}"
            )


def _errors(tau: float, period: float, seeds: int) -> tuple[np.ndarray, dict[int, np.ndarray]]:
    """Errors of peak and curve over the rise (k, 2), ours and the peer's by window."""
    fine = np.arange(0.0, 14.0, 0.002)
    ours, theirs = [], {w: [] for w in (3, 5, 7, 9, 13, 19, 27, 41, 61)}
    for kind in GAS_SHAPES:
        true = gas(kind, fine)
        rise = true.max() - true[0]
        shown = first_order(fine, true, np.full(fine.size, tau))
        for seed in range(seeds):
            rng = np.random.default_rng(seed)
            at = np.arange(rng.uniform(0.0, period), 14.0, period)
            read = np.round(np.interp(at, fine, shown) + rng.normal(0.0, 1.5, at.size))
            made = undo_first_order(at, read, np.full(at.size, tau), 1.0)
            ours.append(_error(made.time, made.value, fine, true, rise))
            for window, errors in theirs.items():
                smooth = signal.savgol_filter(read, window, 2)
                slope = signal.savgol_filter(read, window, 2, deriv=1, delta=period)
                errors.append(_error(at, smooth + tau * slope, fine, true, rise))
    return np.array(ours), {w: np.array(e) for w, e in theirs.items()}


def _error(
    at: np.ndarray, value: np.ndarray, fine: np.ndarray, true: np.ndarray, rise: float
) -> tuple[float, float]:
    off = value - np.interp(at, fine, true)
    return (float(value.max()) - true.max()) / rise, float(np.sqrt(np.mean(off**2))) / rise


if __name__ == "__main__":
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--pairs", type=int, default=200)
    wanted = parser.parse_args()
    clocks(wanted.pairs)
    lags()
