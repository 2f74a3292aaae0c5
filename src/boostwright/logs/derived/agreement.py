"""Whether routes to one quantity lie further apart than they can be off together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.air_flow import PAIRS, ROUTE_WORDS
from boostwright.logs.derived.catalogue import Derived
from boostwright.logs.derived.uncertain import BAND
from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation

__all__ = ["Agreement", "agreements", "deviation_of", "within"]

Array = NDArray[np.float64]

_TO_95 = 1.96 / BAND  # from a band that holds 90 % to one that holds 95 %


@dataclass(frozen=True)
class Agreement:
    """Two routes to the air flow, one held against the other.

    name        of the quantity that is their difference
    difference  [-] median of one over the other, less one
    band        [-] by which both can be off together, 90 %, to either side
    rows        how many rows that rests on
    sources     of the band, the largest first, each with its share of the variance
    beyond      True where a wrong route is likelier than two sound ones, by the rule of the sensor checks
    words       a sentence
    """

    name: str
    difference: float
    band: float
    rows: int
    sources: tuple[tuple[str, float], ...]
    beyond: bool
    words: str


def deviation_of(difference: float, band: float) -> tuple[float, float]:
    """Logarithm of one route over the other, and by how much it can be off, 95 %, where both are sound.

    difference [-] of one over the other, less one; band [-] of that, 90 %, which goes with the quotient.
    """
    ratio = max(1.0 + difference, 1e-3)
    return float(np.log(ratio)), _TO_95 * band / ratio


def within(time: Array, stretches: Sequence[tuple[float, float]], period: float = 0.0) -> NDArray[np.bool_]:
    """(n,) True inside one of some stretches (begin, end) [s]; everywhere where there are none.

    period  [s] of the slowest channel: so near an end a value may lean on a sample outside, and is left out; at most a
            tenth of the stretch
    """
    if not stretches:
        return np.ones(time.shape, dtype=bool)
    found = np.zeros(time.shape, dtype=bool)
    for begin, end in stretches:
        edge = min(period, 0.1 * (end - begin)) if np.isfinite(period) else 0.0
        found |= (time >= begin + edge) & (time <= end - edge)
    return found


def agreements(
    made: Mapping[str, Derived], stretches: Sequence[tuple[float, float]] = ()
) -> tuple[Agreement, ...]:
    """Every pair of routes a log has, over some stretches of it, the whole log where none are named.

    What differs from row to row shrinks with the root of the rows; what is the same in all of them does not.
    """
    found = (_pair(made, one, other, stretches) for one, other in PAIRS)
    return tuple(pair for pair in found if pair is not None)


def _pair(
    made: Mapping[str, Derived], one: str, other: str, stretches: Sequence[tuple[float, float]]
) -> Agreement | None:
    name = f"air_flow_{one}_over_{other}"
    derived = made.get(name)
    if derived is None:
        return None
    result = derived.result
    rows = within(derived.time, stretches, derived.period) & np.isfinite(result.value)
    count = int(rows.sum())
    if not count:
        return None
    difference = float(np.median(result.value[rows]))
    common = float(np.median(result.sigma_of_log[rows]))
    single = float(np.median(result.sigma_of_rows[rows])) / np.sqrt(count)
    band = BAND * float(np.hypot(common, single))
    sources = result.only(rows).largest()
    off, allowed = deviation_of(difference, band)
    beyond = certainty_of_deviation(abs(off) / max(allowed, 1e-12)) >= LEAST
    words = _words(one, other, difference, band, sources, beyond=beyond)
    return Agreement(name, difference, band, count, sources, beyond, words)


def _words(
    one: str,
    other: str,
    difference: float,
    band: float,
    sources: Sequence[tuple[str, float]],
    *,
    beyond: bool,
) -> str:
    text = (
        f"{ROUTE_WORDS[one]} gives {100.0 * abs(difference):.1f} % {'more' if difference > 0.0 else 'less'} air than "
        f"{ROUTE_WORDS[other]}"
    )
    share = f"{100.0 * band:.1f} %"
    if beyond:
        return f"{text}: far more than the {share} both can be off together, so one of them is wrong"
    largest = sources[0][0] if sources else "nothing known"
    if abs(difference) > band:
        return f"{text}: at the edge of the {share} both can be off together (most of it: {largest})"
    return f"{text}, within the {share} both can be off together (most of it: {largest})"
