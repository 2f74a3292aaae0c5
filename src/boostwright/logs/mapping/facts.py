"""What is known of a raw column when it is judged: its words, its numbers, and what the others did at the same time."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.mapping.missing import without_codes
from boostwright.logs.mapping.unit_words import UnitWord, find_unit

__all__ = ["Facts", "Raw", "facts_of"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Raw:
    """A raw column with some of its rows.

    part, group  its table; name, unit, comment: the file's words; states: words its numbers stand for
    time [s], values  (n,) rows evenly taken from the whole
    """

    part: int
    group: int
    name: str
    unit: str
    comment: str
    states: tuple[str, ...]
    time: Array
    values: Array


@dataclass
class Facts:
    """A raw column and figures of it; ``values`` are those of its rows that hold a number.

    codes  numbers that stand for no value in it, left out of all figures
    """

    raw: Raw
    word: UnitWord | None
    values: Array
    low: float = np.nan
    high: float = np.nan
    middle: float = np.nan
    channel: str = ""
    codes: tuple[float, ...] = ()
    settled: dict[str, str] = field(default_factory=dict)

    def at(self, time: Array) -> Array:
        """The column at other times, NaN outside its own."""
        good = np.isfinite(self.raw.values)
        if good.sum() < 2:
            return np.full(time.shape, np.nan)
        return np.interp(time, self.raw.time[good], self.raw.values[good], left=np.nan, right=np.nan)

    def share_within(self, low: float, high: float) -> float:
        """Share of the values between two bounds; 0 where there is none."""
        return float(((self.values >= low) & (self.values <= high)).mean()) if self.values.size else 0.0


def facts_of(raw: Raw) -> Facts:
    """Figures of a column: its 2nd and 98th hundredths and its middle."""
    codes: tuple[float, ...] = ()
    if not raw.states:
        cleared, codes = without_codes(raw.values)
        raw = replace(raw, values=cleared) if codes else raw
    values = raw.values[np.isfinite(raw.values)]
    facts = Facts(raw, find_unit(raw.unit) if raw.unit else None, values, codes=codes)
    if values.size:
        facts.low, facts.middle, facts.high = (float(x) for x in np.percentile(values, [2, 50, 98]))
    return facts
