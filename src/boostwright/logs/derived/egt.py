"""Exhaust temperatures by cylinder: how far the readings lie apart, and which one stands out."""

from __future__ import annotations

import numpy as np

from boostwright.logs.derived.rows import Missing, Need, Quantity, Rows
from boostwright.logs.derived.temperatures import egt_channels
from boostwright.logs.derived.uncertain import Uncertain, exact, through

__all__ = ["CYLINDERS", "QUANTITIES"]

CYLINDERS = 12
"""Cylinders that have a quantity of their own."""


def _numbered(rows: Rows) -> tuple[str, ...]:
    names = tuple(name for name in egt_channels(rows) if name != "egt_reading")
    if len(names) < 2:
        raise Missing(Need("channels egt_reading_1, egt_reading_2 ...", "a probe in each runner"))
    return names


def _spread(rows: Rows) -> Uncertain:
    readings = [rows.channel(name) for name in _numbered(rows)]
    found = through(lambda *t: np.max(t, axis=0) - np.min(t, axis=0), *readings)
    words = "readings, as late as the probes are: equal readings are no equal mixtures, and unequal ones may be depth"
    return found.with_flag("egt", words)


def _hottest(rows: Rows) -> Uncertain:
    names = _numbered(rows)
    readings = np.stack([rows.channel(name).value for name in names])
    whole = np.isfinite(readings).all(axis=0)
    numbers = np.array([int(name.rpartition("_")[2]) for name in names])
    found = numbers[np.argmax(np.where(np.isfinite(readings), readings, -np.inf), axis=0)].astype(float)
    return exact(np.where(whole, found, np.nan), rows.time)


def _over_mean(cylinder: int):  # type: ignore[no-untyped-def]
    def make(rows: Rows) -> Uncertain:
        if rows.facts.engine is not None and cylinder > rows.facts.engine.cylinders:
            raise Missing()  # no such cylinder: nothing is lacking
        names = _numbered(rows)
        own = f"egt_reading_{cylinder}"
        if own not in names:
            highest = max(int(name.rpartition("_")[2]) for name in names)
            if rows.facts.engine is None and cylinder > highest:
                raise Missing()
            raise Missing(Need(f"channel {own}"))
        others = [rows.channel(name) for name in names]
        return through(lambda t, *all_of_them: t - np.mean(all_of_them, axis=0), rows.channel(own), *others)

    return make


QUANTITIES = (
    Quantity(
        "egt_reading_spread",
        "K",
        "readings of the hottest and the coldest cylinder apart",
        "in their runners",
        "max(EGT_k) - min(EGT_k)",
        _spread,
    ),
    Quantity(
        "egt_hottest_cylinder",
        "1",
        "number of the cylinder with the highest reading",
        "",
        "k of max(EGT_k)",
        _hottest,
        judged=False,
    ),
    *(
        Quantity(
            f"egt_over_mean_{k}",
            "K",
            f"reading of cylinder {k} over the mean of all",
            "in their runners",
            f"EGT_{k} - mean(EGT)",
            _over_mean(k),
        )
        for k in range(1, CYLINDERS + 1)
    ),
)
"""Exhaust temperatures by cylinder."""
