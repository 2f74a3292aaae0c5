"""How far an axis reaches: by the values, so that a band that is wide somewhere does not flatten them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

__all__ = ["frame_by_values"]

_BEYOND = 0.4  # of the values' own span, shown of a band on either side
_OUTERMOST = 1.0  # per cent of the values at either end
_ALONE = 0.5  # of the others' span, beyond which they stand by themselves


def frame_by_values(
    axes: Axes, values: Sequence[NDArray[np.float64]], bands: Sequence[NDArray[np.float64]] = ()
) -> None:
    """Keep what is drawn within the values' span and a little more; wider bands are cut at the frame.

    bands  widths of the bands, of which the usual one is shown whole: noise must not look like a curve

    The span is that of all but the outermost hundredth at either end, as far as those stand by themselves: a probe that
    still shows the fuel cut must not press all the rest into a line.
    """
    whole = np.concatenate([one[np.isfinite(one)] for one in values]) if values else np.empty(0)
    if whole.size < 2 or not np.ptp(whole) > 0.0:
        return
    low, high = (float(end) for end in np.percentile(whole, (_OUTERMOST, 100.0 - _OUTERMOST)))
    least, most = float(whole.min()), float(whole.max())
    low = low if low - least > _ALONE * (high - low) > 0.0 else least
    high = high if most - high > _ALONE * (high - low) > 0.0 else most
    widths = np.concatenate([one[np.isfinite(one)] for one in bands]) if bands else np.empty(0)
    usual = 0.5 * float(np.median(widths)) if widths.size else 0.0
    room = max(_BEYOND * (high - low), usual)
    bottom, top = axes.get_ylim()
    axes.set_ylim(max(bottom, low - room), min(top, high + room))
