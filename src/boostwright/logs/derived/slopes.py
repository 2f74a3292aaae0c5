"""How fast a channel changes: a straight line through the samples of a window, with what noise costs."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.instants import reach_of
from boostwright.logs.derived.rows import Missing, Need, Rows
from boostwright.logs.derived.samples import FEWEST_IN_A_LINE
from boostwright.logs.derived.uncertain import NOISE, Uncertain

__all__ = ["UNSEEN", "WINDOW", "slope_of"]

Array = NDArray[np.float64]

UNSEEN = "{} between the samples of a slope"
"""Name of the source of error that is what a slope cannot see."""
WINDOW = 0.3
"""[s] of samples through which the line is put; more where they are slow."""


def slope_of(rows: Rows, name: str, largest: float = 0.0, window: float = WINDOW) -> Uncertain:
    """Rate of change of a channel [its unit/s] at the rows' instants.

    name     channel
    largest  share [-] by which the channel's scale can be off
    window   [s] of samples
    Least-squares line through the samples within it, five at the least; its standard error is the noise over the
    root of the sum of squared times. What the slope changes over the window and an old row is not seen, and stands in
    the band (``reach_of``). Half a window at each end and at each gap has none. Raises Missing.
    """
    sampled = rows.samples.find(name)
    if sampled is None:
        raise Missing(Need(f"channel {name}"))
    if not rows.facts.timed:
        raise Missing(
            Need("a time", "boostwright import with --rate or --time-unit, where the file is a log")
        )
    rows.touched.add(name)
    if sampled.time.size < FEWEST_IN_A_LINE or not np.isfinite(sampled.period):
        raise Missing(Need(f"more samples of {name}"))
    near = sampled.around(rows.time, window)
    slope, error = near.slopes(window)
    value = np.interp(rows.time, near.time, slope)
    nearest = np.clip(np.searchsorted(near.time, rows.time), 0, near.time.size - 1)
    value = np.where(np.isfinite(slope[nearest]), value, np.nan)
    unseen = reach_of(slope, error, near.half_window(window))
    found = Uncertain(value).with_error(f"{NOISE}{name} in its slope", error[nearest])
    found = found.with_error(UNSEEN.format(name), unseen[nearest])
    return found.with_error(f"error of {name}", largest / np.sqrt(3.0) * np.abs(np.nan_to_num(value)))
