"""How far a hand misses, told from how rough its strokes are."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from boostwright.cards.digitise.lines import roughness
from boostwright.cards.digitise.session import Stroke

__all__ = ["miss_across"]

_STEADIEST, _FOLLOWED, _UNSTEADY = 0.15, 0.4, 0.7
"""Pixels a point is off its stroke: least for a hand, for a line that was followed, and most."""
_ROUGHNESS = 0.6745 * float(np.sqrt(1.0 + 34.0 / 36.0))
"""Median distance from the cubic through four neighbours at equal steps over the standard error of a point: the cubic
weighs them -1/6, 4/6, 4/6, -1/6, and half of a normal distribution lies within 0.6745."""
_ENOUGH = 9
"""From so many points on the median tells."""


def miss_across(strokes: Sequence[Stroke]) -> float:
    """Standard error [pixels] of a point across its stroke.

    strokes  of one kind: all speed lines, or all islands
    Returns 0.15 to 0.7. Strokes that bend sharply between their points look rougher than the hand is, hence the upper
    limit, which is about what one pixel of play to each side gives; it stands too where there are too few points to
    tell. What was followed is smooth even where it is off; it is taken to be off by 0.4 at least.
    """
    off = np.abs(
        np.concatenate([np.empty(0), *(roughness(s.points, s.closed) for s in strokes if not s.traced)])
    )
    off = off[np.isfinite(off)]
    if strokes and all(stroke.traced for stroke in strokes):
        return _FOLLOWED
    if len(off) < _ENOUGH:
        return _UNSTEADY
    least = _FOLLOWED if any(stroke.traced for stroke in strokes) else _STEADIEST
    return float(np.clip(np.median(off) / _ROUGHNESS, least, _UNSTEADY))
