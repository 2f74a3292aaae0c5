"""A family of speed lines as a net over the picture: along a line, and from line to line.

Between neighbouring lines places of equal share along the line are joined in similarity form (flow over speed, head
over speed squared), so that the net bends as maps do. Any place of the picture gets its two coordinates from it.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.digitise.axes import AxesFit
from boostwright.cards.digitise.lines import along

__all__ = ["ALONG", "BEYOND", "Net"]

Array = NDArray[np.float64]

ALONG = 61
"""Places along each line."""
BEYOND = 0.10
"""How far the net goes on past the lines' ends, and past the lowest and highest line, as a share of each."""
_BETWEEN = 10


class Net:
    """The net.

    share   (a,)   coordinate along the lines: 0 where they begin at surge, 1 at their right end
    level   (b,)   coordinate from line to line: 0 the lowest, 1 the highest, by speed
    pixels  (a, b, 2) where each crossing of the net lies in the picture
    """

    def __init__(
        self, axes: AxesFit, speeds: Sequence[float], curves: Sequence[Array], swapped: bool = False
    ) -> None:
        """The net through lines.

        axes     of the picture
        speeds   (n,) rising, any unit
        curves   n dense polylines [pixels] from the surge end on
        swapped  whether pressure ratio is along the x axis
        """
        self.speeds = np.asarray(speeds, dtype=float)
        self._axes, self._swapped = axes, swapped
        inner = np.linspace(0.0, 1.0, ALONG)
        step = inner[1]
        outside = np.arange(1, round(BEYOND / step) + 1) * step
        self.share = np.concatenate([-outside[::-1], inner, 1.0 + outside])
        low, high = self.speeds[0], self.speeds[-1]
        self.levels = (self.speeds - low) / (high - low)
        self.level = self._levels()
        forms = []
        for speed, curve in zip(self.speeds, curves, strict=True):
            values = self.values(self._equal_steps(curve, inner, outside))
            head = np.maximum(values[:, 1], 1e-3) ** (1.0 / 3.5) - 1.0
            forms.append(np.column_stack([values[:, 0] / speed, head / speed**2]))
        speed = low + self.level * (high - low)
        between = self._joined(np.array(forms))
        flow = between[..., 0] * speed[None, :]
        ratio = np.maximum(1.0 + between[..., 1] * speed[None, :] ** 2, 1e-3) ** 3.5
        both = np.stack([ratio, flow] if swapped else [flow, ratio], axis=-1)
        self.pixels = axes.pixels(both.reshape(-1, 2)).reshape(both.shape)

    def values(self, pixels: Array) -> Array:
        """Flow and pressure ratio (n, 2) in the axes' units of pixels (n, 2)."""
        values = self._axes.values(pixels)
        return values[:, ::-1] if self._swapped else values

    def _levels(self) -> Array:
        pieces = [np.linspace(a, b, _BETWEEN, endpoint=False) for a, b in pairwise(self.levels)]
        outside = np.linspace(0.0, BEYOND, 4)[1:]
        return np.concatenate([-outside[::-1], *pieces, [1.0], 1.0 + outside])

    @staticmethod
    def _equal_steps(curve: Array, inner: Array, outside: Array) -> Array:
        """Places at equal steps of length in the picture, going straight on past both ends."""
        length = along(curve)
        places = np.column_stack([np.interp(inner * length[-1], length, curve[:, i]) for i in (0, 1)])
        before = places[0] + (places[0] - places[1]) / inner[1] * outside[::-1, None]
        after = places[-1] + (places[-1] - places[-2]) / inner[1] * outside[:, None]
        return np.vstack([before, places, after])

    def _joined(self, forms: Array) -> Array:
        """Similarity forms (a, b, 2) at all levels from those (n, a, 2) at the lines; constant past the outermost."""
        known = self.levels
        if len(known) == 2:
            share = np.clip(self.level, 0.0, 1.0)[None, :, None]
            return np.asarray(forms[0][:, None] * (1.0 - share) + forms[1][:, None] * share)
        h = np.diff(known)[:, None, None]
        d = np.diff(forms, axis=0) / h
        slope = np.empty_like(forms)
        slope[1:-1] = (h[1:] * d[:-1] + h[:-1] * d[1:]) / (h[:-1] + h[1:])
        slope[0], slope[-1] = 2.0 * d[0] - slope[1], 2.0 * d[-1] - slope[-2]
        level = np.clip(self.level, 0.0, 1.0)
        i = np.clip(np.searchsorted(known, level, side="right") - 1, 0, len(known) - 2)
        gap = np.diff(known)[i]
        u = ((level - known[i]) / gap)[:, None, None]
        gap = gap[:, None, None]
        out = (
            (1 + 2 * u) * (1 - u) ** 2 * forms[i]
            + u * (1 - u) ** 2 * gap * slope[i]
            + u * u * (3 - 2 * u) * forms[i + 1]
            + u * u * (u - 1) * gap * slope[i + 1]
        )
        return np.asarray(np.moveaxis(out, 0, 1))

    def locate(self, points: Array) -> tuple[Array, Array]:
        """Coordinates (n, 2), share and level, of pixels (n, 2), and how far off the net each stays (n,) [pixels]."""
        points = np.asarray(points, dtype=float).reshape(-1, 2)
        a, b = len(self.share), len(self.level)
        flat = self.pixels.reshape(-1, 2)
        nearest = np.array([int(np.argmin(np.sum((flat - p) ** 2, axis=1))) for p in points], dtype=int)
        place = np.column_stack(np.unravel_index(nearest, (a, b))).astype(float)
        for _ in range(12):
            here, slope = self._at(place)
            gap = points - here
            det = slope[:, 0, 0] * slope[:, 1, 1] - slope[:, 0, 1] * slope[:, 1, 0]
            det = np.where(np.abs(det) < 1e-9, 1e-9, det)
            step = np.column_stack(
                [
                    (gap[:, 0] * slope[:, 1, 1] - gap[:, 1] * slope[:, 0, 1]) / det,
                    (gap[:, 1] * slope[:, 0, 0] - gap[:, 0] * slope[:, 1, 0]) / det,
                ]
            )
            place += np.clip(step, -2.0, 2.0)
            place = np.clip(place, 0.0, [a - 1.0, b - 1.0])
        here, _ = self._at(place)
        share = np.interp(place[:, 0], np.arange(a), self.share)
        level = np.interp(place[:, 1], np.arange(b), self.level)
        return np.column_stack([share, level]), np.hypot(*(points - here).T)

    def _at(self, place: Array) -> tuple[Array, Array]:
        """Pixels (n, 2) at places (n, 2) counted in meshes, and their slopes (n, 2, 2)."""
        a, b = len(self.share), len(self.level)
        i = np.clip(place[:, 0].astype(int), 0, a - 2)
        j = np.clip(place[:, 1].astype(int), 0, b - 2)
        u, v = (place[:, 0] - i)[:, None], (place[:, 1] - j)[:, None]
        p00, p10 = self.pixels[i, j], self.pixels[i + 1, j]
        p01, p11 = self.pixels[i, j + 1], self.pixels[i + 1, j + 1]
        value = (p00 * (1 - u) + p10 * u) * (1 - v) + (p01 * (1 - u) + p11 * u) * v
        along_u = (p10 - p00) * (1 - v) + (p11 - p01) * v
        along_v = (p01 - p00) * (1 - u) + (p11 - p10) * u
        return value, np.stack([along_u, along_v], axis=-1)

    def share_on(self, curve: Array, places: Array) -> Array:
        """Share along a line (k,) of places (k,) counted in points of its dense polyline."""
        length = along(curve)
        return np.asarray(np.interp(places, np.arange(len(curve)), length) / length[-1])

    def meshes(self, coordinates: Array) -> Array:
        """Size (n, 2) [pixels] of one unit of share and of level at coordinates (n, 2)."""
        a, b = len(self.share), len(self.level)
        place = np.column_stack(
            [
                np.interp(coordinates[:, 0], self.share, np.arange(a)),
                np.interp(coordinates[:, 1], self.level, np.arange(b)),
            ]
        )
        _, slope = self._at(place)
        i = np.clip(place.astype(int), 0, [a - 2, b - 2])
        steps = np.column_stack([np.diff(self.share)[i[:, 0]], np.diff(self.level)[i[:, 1]]])
        return np.asarray(np.moveaxis(slope, 1, 2) / steps[:, :, None])
