"""Compressor: from the measured speed lines of a card to the C1 surface that the solver reads.

What is done, and why, is told in docs/explain/compressor.md. In short: lines in similarity form
(``compressor_rows``)
are normalised from their surge end (0) to their right end (1); at equal coordinate they are joined by
straight chords over speed squared, with rounded corners. Below the lowest line nothing but similarity is used.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.card import Card
from boostwright.components.compressor_lines import SpeedLine, speed_lines
from boostwright.components.compressor_rows import STEPS, Similarity, rows_of_lines, similarity_of_lines
from boostwright.components.how_known import EXACT, HowKnown, known_compressor_card
from boostwright.numerics.surfaces import pack_strip_surface, rounded_chords
from boostwright.physics.turbo.corrected import REFERENCE_TEMPERATURE

__all__ = ["CompressorSurface", "SpeedLine", "compressor_surface", "speed_lines", "surface_of_lines"]

Array = NDArray[np.float64]

OUTER_SPEED = 1.3
"""Speed, over the highest line, at which extrapolation upwards has come to rest."""
LARGEST_CHANGE = 0.5
"""Largest relative change of what a line is made of, from the highest line up to OUTER_SPEED times it."""
SCALARS = 5
"""Numbers before the samples in a packed line: surge, width, fall, choke, flow ceiling over its shape."""
_ENTHALPY = 1004.675 * REFERENCE_TEMPERATURE


@dataclass(frozen=True)
class CompressorSurface:
    """A compressor for the solver; all corrected to 288.15 K, 101 325 Pa.

    table                   (n,) contiguous; read by ``solve.kernel.compressor`` only
    speed_lowest_measured   [rad/s] lowest speed line
    speed_highest_measured  [rad/s] highest speed line
    speed_limit             [rad/s] limiting speed; the highest line where the card states none
    speed_limit_status      words: where the limiting speed comes from
    wheel_diameter          [m] exit diameter, NaN when not known
    lines                   the measured lines themselves
    known                   how well it is known
    """

    table: Array
    speed_lowest_measured: float
    speed_highest_measured: float
    speed_limit: float
    speed_limit_status: str
    wheel_diameter: float
    lines: tuple[SpeedLine, ...]
    known: HowKnown = EXACT


def compressor_surface(card: Card) -> CompressorSurface:
    """The surface of a compressor card.

    card  a card of kind 'compressor', read and checked
    Returns a CompressorSurface. Raises OutOfDomain for lines that cannot be a compressor's; the card's own check
    refuses those first.
    """
    lines = speed_lines(card)
    limit, status = lines[-1].speed, "highest speed line of the card"
    diameter = card.si("wheel_diameter") if card.has("wheel_diameter") else float("nan")
    if card.has("speed_limit"):
        limit, status = card.si("speed_limit"), card.values["speed_limit"].status
        limit *= float(np.sqrt(REFERENCE_TEMPERATURE / card.si("reference_temperature")))
    elif card.has("tip_speed_limit") and diameter > 0.0:
        limit, status = 2.0 * card.si("tip_speed_limit") / diameter, card.values["tip_speed_limit"].status
    surface = surface_of_lines(lines, limit, status, diameter)
    return replace(surface, known=known_compressor_card(card.header.status))


def surface_of_lines(
    lines: Sequence[SpeedLine], speed_limit: float, speed_limit_status: str, wheel_diameter: float
) -> CompressorSurface:
    """The surface through measured lines (at least two, rising speed).

    lines               at 288.15 K and 101 325 Pa
    speed_limit         [rad/s] corrected
    speed_limit_status  words
    wheel_diameter      [m], NaN when not known
    Returns a CompressorSurface.
    """
    shared = similarity_of_lines(lines)
    packed = np.array(
        [
            np.concatenate(
                [[r.surge, r.width, r.fall, r.choke, c], r.head, r.head_slope, r.loss, r.loss_slope]
            )
            for r, c in zip(rows_of_lines(lines, shared), shared.ceilings, strict=True)
        ]
    )
    q = np.array([line.speed**2 for line in lines])
    outer = float(q[-1]) * OUTER_SPEED**2
    above = _trend_above(packed[-1], (packed[-1] - packed[-2]) / (q[-1] - q[-2]), outer - float(q[-1]))
    positions, values, slopes = rounded_chords(q, packed, above, outer=outer)
    table = _pack(positions, values, slopes, shared)
    return CompressorSurface(
        table,
        lines[0].speed,
        lines[-1].speed,
        speed_limit,
        speed_limit_status,
        wheel_diameter,
        tuple(lines),
    )


def _trend_above(top: Array, chord: Array, rise: float) -> Array:
    """Slopes with which the packed top line goes on above itself.

    The line keeps its shape; its two ends, its head and its loss each go on with the trend of the last two lines, so
    far that none changes by more than LARGEST_CHANGE until the trend has died away (half of ``rise`` counts).
    """
    n = STEPS
    limit = LARGEST_CHANGE / (0.5 * rise)
    above = np.empty_like(top)
    above[:2] = np.clip(chord[:2] / top[:2], -limit, limit) * top[:2]
    above[2:SCALARS] = 0.0  # fall and choke stay, the flow ceiling goes on with its shape
    middle = slice(n // 10, 7 * n // 10)
    for start in (SCALARS, SCALARS + 2 * n):
        both = slice(start, start + 2 * n)
        trend = float(np.median(chord[start : start + n][middle] / top[start : start + n][middle]))
        above[both] = float(np.clip(trend, -limit, limit)) * top[both]
    return above


def _pack(positions: Array, values: Array, slopes: Array, shared: Similarity) -> Array:
    """Table of the kernel: scalars surge, width, density, ceiling, fall, choke, gap; fields head and work."""
    n = STEPS
    highest = positions[-3]
    step = 1e-4 * positions[-1]
    above, below = positions + step, np.maximum(positions - step, 0.0)
    shape, density = shared.ceiling_shape(positions), shared.density(positions)
    shape_slope = (shared.ceiling_shape(above) - shared.ceiling_shape(below)) / (above - below)
    density_slope = (shared.density(above) - shared.density(below)) / (above - below)
    ceiling = values[:, 4] * shape
    ceiling_slope = slopes[:, 4] * shape + values[:, 4] * shape_slope
    if not np.any(shared.felt):
        # A ceiling that no line has felt is not let bind above the highest line: it grows with speed, as lines do.
        ceiling[-1] = max(ceiling[-1], ceiling[-3] * np.sqrt(positions[-1] / highest))
    scalars = np.column_stack([values[:, :2], density, ceiling, values[:, 2:4]])
    scalar_slopes = np.column_stack([slopes[:, :2], density_slope, ceiling_slope, slopes[:, 2:4]])
    gap = np.append(np.diff(positions), np.inf)
    scalars = np.column_stack([scalars, 1.0 / gap])
    scalar_slopes = np.column_stack([scalar_slopes, gap])
    fields = np.empty((len(positions), n, 2, 4))
    for source, at in ((values, 0), (slopes, 2)):
        head, head_z, loss, loss_z = (source[:, SCALARS + i * n : SCALARS + (i + 1) * n] for i in range(4))
        fields[:, :, 0, at] = head
        fields[:, :, 0, at + 1] = head_z
        fields[:, :, 1, at] = head + loss
        fields[:, :, 1, at + 1] = head_z + loss_z
    scalar_slopes[-1] = 0.0  # nothing changes any more above the outermost row
    table = pack_strip_surface(positions, scalars, scalar_slopes, fields)
    table[8:11] = _ENTHALPY, positions[-1], 1.0 / (n - 1)
    return table
