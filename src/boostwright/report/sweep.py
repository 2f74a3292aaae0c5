"""Small questions every report asks of a sweep: which points, at which speeds, in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.report.display import in_shown_unit, shown, shown_number
from boostwright.solve.operating_point import Flag, NoSteadyState, Prediction

__all__ = [
    "NO_STEADY_STATE",
    "FlagGroup",
    "UnsolvedGroup",
    "flag_groups",
    "limit_labels",
    "shown_values",
    "speed_ranges",
    "speed_text",
    "unsolved_groups",
]

NO_STEADY_STATE = "no steady state"
"""What the limit strip and the table print where there is no steady state."""


@dataclass(frozen=True)
class FlagGroup:
    """One flag code: its severity, the points that carry it, and the first and last message."""

    code: str
    severity: str
    points: tuple[int, ...]
    first: str
    last: str


@dataclass(frozen=True)
class UnsolvedGroup:
    """Points without a steady state for one reason, with the first and the last outcome."""

    reason: str
    points: tuple[int, ...]
    first: NoSteadyState
    last: NoSteadyState


def shown_values(prediction: Prediction, name: str) -> NDArray[np.float64]:
    """One quantity along the sweep in the unit it is shown in; all nan where it is not carried."""
    if name == "engine_speed":  # the axis itself, known at every point
        return in_shown_unit(prediction.speeds, shown(name, "rad/s"))
    if name not in prediction.quantities:
        return np.full(len(prediction.speeds), np.nan)
    values = prediction.quantities[name]
    return in_shown_unit(values.values, shown(name, values.unit))


def speed_text(prediction: Prediction, point: int) -> str:
    """Engine speed of one point, without its unit."""
    how = shown("engine_speed", "rad/s")
    return shown_number(float(in_shown_unit(prediction.speeds[point : point + 1], how)[0]), how)


def speed_ranges(prediction: Prediction, points: Sequence[int]) -> str:
    """Points as words: neighbours in the sweep are joined, ``1500 to 2250, 6500 rpm``."""
    runs: list[list[int]] = []
    for point in points:
        if runs and point == runs[-1][-1] + 1:
            runs[-1].append(point)
        else:
            runs.append([point])
    parts = [
        speed_text(prediction, run[0])
        if len(run) == 1
        else f"{speed_text(prediction, run[0])} to {speed_text(prediction, run[-1])}"
        for run in runs
    ]
    return f"{', '.join(parts)} {shown('engine_speed', 'rad/s').unit}"


def _by_key(pairs: Iterable[tuple[str, int]]) -> dict[str, list[int]]:
    """Points by key, keys in the order in which they first appear."""
    groups: dict[str, list[int]] = {}
    for key, point in pairs:
        groups.setdefault(key, []).append(point)
    return groups


def flag_groups(prediction: Prediction) -> list[FlagGroup]:
    """The flags of all points, gathered by code: limits first, then warnings, then notes."""
    found: dict[tuple[str, int], Flag] = {
        (flag.code, point): flag for point, flags in enumerate(prediction.flags) for flag in flags
    }
    groups = []
    for code, points in _by_key(found).items():
        first, last = found[code, points[0]], found[code, points[-1]]
        groups.append(FlagGroup(code, first.severity, tuple(points), first.message, last.message))
    order = {"limit": 0, "warning": 1, "note": 2}
    return sorted(groups, key=lambda group: order.get(group.severity, 1))


def unsolved_groups(prediction: Prediction) -> list[UnsolvedGroup]:
    """The points without a steady state, gathered by reason."""
    found = {
        point: outcome
        for point, outcome in enumerate(prediction.outcomes)
        if isinstance(outcome, NoSteadyState)
    }
    groups = []
    for reason, points in _by_key((outcome.reason, point) for point, outcome in found.items()).items():
        groups.append(UnsolvedGroup(reason, tuple(points), found[points[0]], found[points[-1]]))
    return groups


def limit_labels(prediction: Prediction) -> tuple[str, ...]:
    """What binds at each point as words, from its code; for a point without steady state just that."""
    return tuple(
        code.replace("-", " ") if is_solved else NO_STEADY_STATE
        for code, is_solved in zip(prediction.binding_limit, prediction.solved, strict=True)
    )
