"""Derived quantities of a log as CSV: one file a time base, a row of names, a row of units, then one row an instant."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from boostwright.report.log_shown import how_shown, values_shown
from boostwright.tasks.derive import Derived, DeriveResult, bases_of

__all__ = ["derived_csv"]

Array = NDArray[np.float64]


def derived_csv(result: DeriveResult) -> Iterator[tuple[str, str]]:
    """File name and text of each time base: comma, decimal point, line feeds.

    First row: time, and each quantity with the ends of its 90 % band behind it. Second row: units as shown to people,
    with their basis. An empty cell is an instant without a value.
    """
    for pace, some in bases_of(result.worked).items():
        yield f"{pace or 'stated'}.csv", _text(some)


def _text(some: tuple[Derived, ...]) -> str:
    names, labels, columns = ["time"], ["s"], [_cells(some[0].time)]
    for derived in some:
        how, found = how_shown(derived), derived.result
        for ending, values in (("", found.value), ("_low", found.low), ("_high", found.high)):
            names.append(f"{derived.quantity.name}{ending}")
            labels.append(how.label)
            columns.append(_cells(values_shown(values, how)))
    rows = map(",".join, zip(*columns, strict=True))
    return "\n".join([",".join(names), ",".join(labels), *rows]) + "\n"


def _cells(values: Array) -> list[str]:
    """Seven figures, which is more than any band leaves; nothing where there is no value."""
    return ["" if value != value else f"{value:.7g}" for value in values.tolist()]
