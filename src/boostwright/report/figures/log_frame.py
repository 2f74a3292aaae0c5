"""How far an axis reaches: by the values, so that a band that is wide somewhere does not flatten them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

__all__ = ["frame_by_values"]

_BEYOND = 0.7  # of the values' own span, shown of a band on either side


def frame_by_values(axes: Axes, values: Sequence[NDArray[np.float64]]) -> None:
    """Keep what is drawn within the values' span and a little more; wider bands are cut at the frame."""
    whole = np.concatenate([one[np.isfinite(one)] for one in values]) if values else np.empty(0)
    if whole.size < 2 or not np.ptp(whole) > 0.0:
        return
    room = _BEYOND * float(np.ptp(whole))
    bottom, top = axes.get_ylim()
    axes.set_ylim(max(bottom, float(whole.min()) - room), min(top, float(whole.max()) + room))
