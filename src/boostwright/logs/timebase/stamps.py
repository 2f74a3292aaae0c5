"""What the stamps of a log are worth: their resolution, rows that share one, and rows that come evenly behind them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Stamps", "judge_stamps"]

Array = NDArray[np.float64]

_SHARED = 0.02  # share of rows with the stamp of the row before, from which stamps are called coarse
_INSIDE = 0.75  # of the resolution: how far an evenly spaced row may lie from the middle of its stamp
_FEWEST = 20  # rows of one stretch that a straight line is put through
_GAP = 4.0  # usual steps (or resolutions) that end a stretch


@dataclass(frozen=True, eq=False)
class Stamps:
    """Stamps judged.

    time        (n,) [s]  the best known times: those of an even line where rows share stamps and the line fits, else
                          the stamps as they came
    error       [s]       standard error of one of them by the stamps alone
    resolution  [s]       of the stamps, NaN where rows do not share them
    shared      [-]       share of rows with the stamp of the row before
    even        rows that share stamps were put on a line
    words       what was found and done, '' where nothing is to be said
    """

    time: Array
    error: float
    resolution: float
    shared: float
    even: bool
    words: str


def judge_stamps(time: Array) -> Stamps:
    """Judge the stamps of a table.

    time  (n,) [s], rising or standing still; NaN counts as no row
    Rows that share stamps are put on a straight line through the middles of the stamps, stretch by stretch, where every
    row of the stretch then lies within its stamp; a line tells nothing about rows that come unevenly, so otherwise they
    stay as they are. Source: a stamp cut off at q says that its row lies in the q behind it; own method.
    """
    steps = np.diff(time)
    moved = steps[steps > 0.0]
    shared = float(np.mean(steps == 0.0)) if steps.size else 0.0
    if shared < _SHARED or moved.size < 3:
        return Stamps(time, 0.0, float("nan"), shared, False, "")
    resolution = float(np.median(moved))
    small = moved[moved < 0.75 * resolution]
    if small.size > 0.2 * moved.size:  # stamps repeat for another reason than being cut off
        error = float(np.std(steps)) / 2.0
        words = f"{shared:.0%} of the rows repeat the stamp of the row before; their times are good to {error:.3g} s"
        return Stamps(time, error, resolution, shared, False, words + ".")
    made, fitted = _on_lines(time, resolution)
    rows = round(1.0 / max(1.0 - shared, 1e-9))
    told = f"stamps have steps of {resolution:.3g} s and about {rows} rows share one"
    if fitted > 0.9:
        words = (
            f"{told}; the rows come evenly, so each was put in its place within its stamp (all together may be off by "
            f"half a step, {resolution / 2:.2g} s)."
        )
        return Stamps(made, resolution / np.sqrt(12.0), resolution, shared, True, words)
    words = f"{told}, and they do not come evenly; a row's time is good to {resolution:.3g} s."
    return Stamps(time, resolution / np.sqrt(12.0), resolution, shared, False, words)


def _on_lines(time: Array, resolution: float) -> tuple[Array, float]:
    """Times on straight lines, and the share of rows that one was found for."""
    out = time.copy()
    fitted = 0
    cuts = np.flatnonzero(np.diff(time) > _GAP * resolution) + 1
    for rows in np.split(np.arange(time.size), cuts):
        if rows.size < _FEWEST:
            continue
        middle = time[rows] + resolution / 2.0
        place = rows - rows.mean()
        slope = float(place @ (middle - middle.mean()) / (place @ place))
        line = middle.mean() + slope * place
        if slope > 0.0 and np.max(np.abs(line - middle)) <= _INSIDE * resolution:
            out[rows] = line
            fitted += rows.size
    return np.maximum.accumulate(out), fitted / max(time.size, 1)
