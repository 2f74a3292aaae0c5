"""One evaluation of the compressor surface beside a general-purpose bicubic spline of the same map.

Run from the top folder: ``python benchmarks/compressor_surface.py``. Both give two quantities at a point (pressure
ratio and work); the spline is ``scipy.interpolate.RectBivariateSpline`` on a net of the surface's own values. The
batch goes through arrays; a single point is a call from Python; inside the solver a point costs what the batch says.
The peer knows nothing of choke, standstill or surge: it is the price of smoothness alone.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from scipy.interpolate import RectBivariateSpline

from boostwright.cards.look_up import find_card
from boostwright.components.compressor import compressor_surface
from boostwright.solve.kernel.compressor import choke_flow, compressor_state, compressor_states, surge_flow

POINTS = 100_000


def seconds(run: Callable[[], object], repeats: int = 15) -> float:
    """Shortest of several runs: the one least disturbed by whatever else the machine does."""
    best = np.inf
    for _ in range(repeats):
        start = time.perf_counter()
        run()
        best = min(best, time.perf_counter() - start)
    return best


def main() -> None:
    """Print nanoseconds a point and the ratios."""
    surface = compressor_surface(find_card("compressor", "cc3-vaneless"))
    table, top = surface.table, surface.speed_highest_measured
    speeds = np.linspace(0.6, 1.0, 24) * top
    flows = np.linspace(0.5, 5.2, 48)
    net = np.meshgrid(speeds, flows, indexing="ij")
    ratio, work = compressor_states(table, net[0].ravel(), net[1].ravel())
    splines = [RectBivariateSpline(speeds, flows, v.reshape(net[0].shape)) for v in (ratio, work)]

    rng = np.random.default_rng(1)
    speed = rng.uniform(0.6, 1.0, POINTS) * top
    low = np.array([surge_flow(table, n) for n in speed])
    high = np.array([choke_flow(table, n) for n in speed])
    flow = low + rng.uniform(0.0, 1.0, POINTS) * (high - low)

    ours = seconds(lambda: compressor_states(table, speed, flow)) / POINTS
    theirs = seconds(lambda: [spline.ev(speed, flow) for spline in splines]) / POINTS
    one_ours = seconds(
        lambda: [compressor_state(table, n, w) for n, w in zip(speed[:500], flow[:500], strict=True)]
    )
    one_theirs = seconds(
        lambda: [spline.ev(n, w) for n, w in zip(speed[:500], flow[:500], strict=True) for spline in splines]
    )
    print(f"{'':34}{'surface':>12}{'spline':>12}{'spline / surface':>18}")
    print(f"{'batch, ns a point':34}{1e9 * ours:12.0f}{1e9 * theirs:12.0f}{theirs / ours:18.1f}")
    single = (1e9 * one_ours / 500.0, 1e9 * one_theirs / 500.0)
    print(f"{'one call from Python, ns':34}{single[0]:12.0f}{single[1]:12.0f}{single[1] / single[0]:18.1f}")


if __name__ == "__main__":
    main()
