"""What a line's efficiency may be between two contours that it crosses: it meets no other contour on the way.

Where a line crosses one contour and then the same again it passes over a hill or through a dip, and the surface there
rests on slopes at both ends alone. That no further contour was drawn bounds it: a hill stays below the next contour, or
within one step of contours where there is none above.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

__all__ = ["held_between"]

Array = NDArray[np.float64]

_PLAY = 0.002
"""Efficiency by which a point may pass a contour: the clicks of both are not exact."""
_SHARE = 0.8
"""Share of a step of contours that a hill above the last one takes at most; own estimate."""


def held_between(
    share: Array, efficiency: Array, met: Sequence[tuple[float, float]], levels: Sequence[float]
) -> Array:
    """Efficiency (n,) along a line, held to what the contours it crosses leave.

    share       (n,) along the line
    efficiency  (n,) of the surface
    met         share and efficiency of each crossing, in order along the line
    levels      efficiencies of all contours
    """
    out = efficiency.copy()
    known = np.unique(levels)
    for k, ((start, first), (end, last)) in enumerate(pairwise(met)):
        here = np.flatnonzero((share > start) & (share < end))
        if not here.size:
            continue
        if first != last:
            low, high = min(first, last), max(first, last)
            rising = k > 0 and met[k - 1][1] < first
            falling = k + 2 < len(met) and met[k + 2][1] < last
            if (rising and last < first) or (falling and first < last):
                # up over one contour and down over another: the second crossing of the higher one was missed
                high = _neighbours(known, high)[1]
            out[here] = np.clip(out[here], low - _PLAY, high + _PLAY)
            continue
        below, above = _neighbours(known, first)
        if _is_hill(met, k):
            out[here] = _hill(out[here], first, above)
        else:
            out[here] = np.clip(out[here], below - _PLAY, above + _PLAY)
    return out


def _neighbours(levels: Array, value: float) -> tuple[float, float]:
    """The contours below and above one; one step of the nearest two where there is none."""
    i = int(np.argmin(np.abs(levels - value)))
    step = float(np.min(np.diff(levels))) if len(levels) > 1 else 0.02
    last = float(levels[-1] - levels[-2]) if len(levels) > 1 else step
    below = float(levels[i - 1]) if i > 0 else value - 2.0 * step
    above = float(levels[i + 1]) if i + 1 < len(levels) else value + last
    return below, above


def _is_hill(met: Sequence[tuple[float, float]], k: int) -> bool:
    """Whether the line comes from below and goes below, as far as its crossings tell."""
    value = met[k][1]
    around = [met[i][1] for i in (k - 1, k + 2) if 0 <= i < len(met)]
    return bool(around) and all(other < value for other in around)


def _hill(values: Array, foot: float, above: float) -> Array:
    """A hill between its foot and the contour above, made flatter where it is higher."""
    rise = np.maximum(values - foot, 0.0)
    most = _SHARE * (above - foot)
    top = float(rise.max())
    return np.asarray(foot + rise * (min(1.0, most / top) if top > 0.0 else 1.0))
