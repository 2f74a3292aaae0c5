"""Derived quantities of a log as CSV: the pulls over engine speed in one table, and every instant by time base."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from boostwright.report.display import in_shown_unit, shown
from boostwright.report.log_shown import how_shown, values_shown
from boostwright.tasks.derive import Derived, DeriveResult, bases_of, told_rows, within

__all__ = ["derived_csv"]

Array = NDArray[np.float64]

_OVER_SPEED = "pulls-over-speed.csv"
_STEP = 100.0  # rpm between the rows of the pulls
_ENDINGS = ("", "_low", "_high")


def derived_csv(result: DeriveResult) -> Iterator[tuple[str, str]]:
    """File name and text of each file: comma, decimal point, line feeds.

    ``pulls-over-speed.csv``: pull, gear and engine speed in steps of 100 rpm, and of each quantity the mean of its rows
    within half a step; a cell is empty where a slow channel has none there: nothing is interpolated. Then each time
    base, with the time in front. First row: names, and each quantity with the ends of its 90 % band behind it. Second
    row: units as shown to people, with their basis. An empty cell has no value.
    """
    if result.pulls and result.engine_speed is not None:
        yield _OVER_SPEED, _over_speed(result, *result.engine_speed)
    for pace, some in bases_of(result.worked).items():
        yield f"{pace or 'stated'}.csv", _text(some)


def _text(some: tuple[Derived, ...]) -> str:
    names, labels, columns = ["time"], ["s"], [_cells(some[0].time)]
    for derived in some:
        how, found = how_shown(derived), derived.result
        names += _named(derived)
        labels += [how.label] * len(_ENDINGS)
        columns += [_cells(values_shown(values, how)) for values in (found.value, found.low, found.high)]
    rows = map(",".join, zip(*columns, strict=True))
    return "\n".join([",".join(names), ",".join(labels), *rows]) + "\n"


def _named(derived: Derived) -> list[str]:
    return [f"{derived.quantity.name}{ending}" for ending in _ENDINGS]


def _over_speed(result: DeriveResult, time: Array, speed: Array) -> str:
    """The pulls, one below the other."""
    listed = [d for d in result.worked.made.values() if d.pace and d.quantity.name in result.figures]
    names, labels = ["pull", "gear", "engine_speed"], ["", "", "rpm"]
    for derived in listed:
        names += _named(derived)
        labels += [how_shown(derived).label] * len(_ENDINGS)
    lines = [",".join(names), ",".join(labels)]
    rpm = in_shown_unit(speed, shown("engine_speed", "rad/s"))
    for number, pull in enumerate(result.pulls, 1):
        lines += _one_pull(time, rpm, listed, (pull.start, pull.end), f"{number},{pull.gear}")
    return "\n".join(lines) + "\n"


def _one_pull(
    time: Array, rpm: Array, listed: list[Derived], stretch: tuple[float, float], head: str
) -> Iterator[str]:
    """The rows of one pull that hold anything."""
    inside = rpm[(time >= stretch[0]) & (time <= stretch[1])]
    inside = inside[np.isfinite(inside)]
    if not inside.size:
        return
    first, last = round(float(inside.min()) / _STEP), round(float(inside.max()) / _STEP)
    columns: list[list[str]] = []
    for derived in listed:
        rows = within(derived.time, [stretch], derived.period) & told_rows(derived)
        at = np.round(np.interp(derived.time[rows], time, rpm) / _STEP).astype(np.int64) - first
        found, how = derived.result, how_shown(derived)
        for values in (found.value, found.low, found.high):
            columns.append(_cells(_means(values_shown(values[rows], how), at, last - first + 1)))
    for k, cells in enumerate(zip(*columns, strict=True)):
        if any(cells):
            yield ",".join((head, f"{(first + k) * _STEP:.0f}", *cells))


def _means(values: Array, at: NDArray[np.int64], count: int) -> Array:
    """Mean of the values of each step; NaN for a step without any."""
    good = np.isfinite(values) & (at >= 0) & (at < count)
    rows = np.bincount(at[good], minlength=count)
    sums = np.bincount(at[good], weights=values[good], minlength=count)
    return np.where(rows > 0, sums / np.maximum(rows, 1), np.nan)


def _cells(values: Array) -> list[str]:
    """Seven figures, which is more than any band leaves; nothing where there is no value."""
    return ["" if value != value else f"{value:.7g}" for value in values.tolist()]
