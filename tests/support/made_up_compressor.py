"""Speed lines of compressors that never were: right in kind, with scatter, for tests of laws."""

from __future__ import annotations

import numpy as np

from boostwright.components.compressor import SpeedLine

SOUND = 340.3  # m/s at 288.15 K


def made_up_lines(seed: int, scatter: float = 0.0) -> tuple[SpeedLine, ...]:
    """Two to eight speed lines of an invented machine; ``scatter`` is a share of head and of efficiency."""
    rng = np.random.default_rng(seed)
    diameter = rng.uniform(0.03, 0.4)
    design_flow = rng.uniform(0.03, 0.11)  # flow coefficient
    head_top = rng.uniform(0.45, 0.75)
    efficiency_top = rng.uniform(0.60, 0.90)
    mach = np.sort(rng.uniform(0.35, 1.6, rng.integers(2, 9)))
    mach = mach[np.concatenate([[True], np.diff(mach) > 0.04])]
    if mach.size < 2:
        mach = np.array([0.7, 1.2])
    choked = 1.35 * design_flow * (0.55 + 0.45 * mach**2 / 1.2) / mach ** rng.uniform(0.0, 1.0)
    lines = []
    for m, end in zip(mach, choked, strict=True):
        start = rng.uniform(0.3, 0.75) * end
        phi = np.sort(rng.uniform(start, end * rng.uniform(0.9, 0.999), rng.integers(3, 15)))
        phi[0], phi[-1] = start, max(phi[-1], start * 1.2)
        phi = np.unique(phi)
        x = phi / (0.6 * end)
        head = (
            head_top
            * (1.0 - 0.25 * (x - rng.uniform(0.5, 1.0)) ** 2)
            * np.sqrt(1.0 - (phi / (1.3 * end)) ** 8)
        )
        efficiency = efficiency_top * (1.0 - 0.35 * (x - 1.05) ** 2)
        head = np.maximum(head * (1.0 + scatter * rng.standard_normal(phi.size)), 0.03)
        efficiency = np.clip(efficiency * (1.0 + scatter * rng.standard_normal(phi.size)), 0.15, 0.93)
        ratio = (1.0 + 0.4 * m * m * head) ** 3.5
        speed = m * SOUND / (0.5 * diameter)
        lines.append(SpeedLine(float(speed), phi * 1.225 * diameter**2 * m * SOUND, ratio, efficiency))
    return tuple(lines)
