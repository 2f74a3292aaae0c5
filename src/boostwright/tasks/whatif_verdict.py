"""What the rows of a what-if say together: ranking, levers, cures, and what the reader must be told."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from boostwright.build import Build
from boostwright.tasks.whatif_cases import CaseList
from boostwright.tasks.whatif_result import FIGURES, TORNADO, Cure, Lever, Row
from boostwright.units import format_quantity

__all__ = ["Trouble", "cures_of", "levers_of", "ranked_rows", "told", "troubles_of"]

_ALIKE = 4  # significant figures to which two cases count as equal, and their price decides


def ranked_rows(rows: Sequence[Row], figure: str) -> tuple[int, ...]:
    """Numbers of the rows, best first by a figure, ties by price.

    Cases inside every limit and steady at every speed come first; those without the figure are left out.
    """
    sign = -1.0 if FIGURES[figure].more_is_better else 1.0

    def order(row: Row) -> tuple[bool, float, float, int]:
        value = float(f"{row.figures[figure]:.{_ALIKE}g}")
        price = math.inf if row.case.price is None else row.case.price
        return bool(row.exceeded or row.unsteady), sign * value, price, row.number

    known = [row for row in rows if not row.reason and not math.isnan(row.figures[figure])]
    return tuple(row.number for row in sorted(known, key=order))


def levers_of(cases: CaseList, rows: Sequence[Row]) -> tuple[Lever, ...]:
    """The steps with what they do, the strongest on the threshold or, where that hardly moves, on power first."""
    found = [
        Lever(" and ".join(step.keys), step.low, step.high, step.source, rows[1 + 2 * i], rows[2 + 2 * i])
        for i, step in enumerate(cases.steps)
    ]
    base = rows[0].figures

    def strength(lever: Lever) -> float:
        """Largest relative swing of any of the tornado's figures."""
        swings = [0.0]
        for name in TORNADO:
            ends = [end.figures.get(name, math.nan) for end in (lever.low_row, lever.high_row)]
            middle = base.get(name, math.nan)
            swings += [
                abs(end / middle - 1.0) for end in ends if math.isfinite(end) and math.isfinite(middle)
            ]
        return max(swings)

    return tuple(sorted(found, key=strength, reverse=True))


@dataclass(frozen=True)
class Trouble:
    """Something that is wrong with a case: words, and whether a row has it."""

    words: str
    has: Callable[[Row], bool]


def troubles_of(build: Build, base: Row, creep_target: float | None) -> Iterator[Trouble]:
    """Troubles that the build as it stands has.

    creep_target  [Pa absolute] boost that must be held at every speed; None takes the lowest boost target
    """
    for name in base.exceeded:
        yield Trouble(f"limit {name} exceeded", _exceeds(name))
    lost = [reason for reason in base.unsteady if reason != "gate-open-runs-away"]
    if lost:
        yield Trouble("engine speeds without a steady state", lambda row: bool(row.unsteady))
    target, words = creep_target, "the boost that must be held"
    control = build["boost_control"]
    if target is None and control.has("target"):
        target, words = min(control.curve("target").value_points), "the lowest boost target"
    if target is None or build["wastegate"].text("kind") == "none":
        return
    limit = target

    def creeps(row: Row) -> bool:
        return not row.figures["creep_floor"] <= limit

    if creep_target is not None or creeps(base):
        yield Trouble(
            f"creep floor above {words}, {format_quantity(limit, 'pressure', 'kPa')} absolute", creeps
        )


def _exceeds(name: str) -> Callable[[Row], bool]:
    return lambda row: name in row.exceeded or bool(row.unsteady)


def cures_of(troubles: Sequence[Trouble], rows: Sequence[Row]) -> tuple[Cure, ...]:
    """For each trouble the cheapest case without it; a case with a speed that is not steady is no cure of a limit."""
    found = []
    cases = [row for row in rows if row.number > 0 and not row.reason]
    for trouble in troubles:
        if rows[0].reason or not trouble.has(rows[0]):
            found.append(Cure(trouble.words, rows[0], 0, len(cases)))
            continue
        free = [row for row in cases if not trouble.has(row)]
        priced = [row for row in free if row.case.price is not None]
        best = min(
            priced, key=lambda row: (row.case.price or 0.0, len(row.exceeded), row.number), default=None
        )
        unpriced = tuple(row for row in free if row.case.price is None)
        found.append(Cure(trouble.words, best, len(cases) - len(free), len(cases), unpriced))
    return tuple(found)


def told(build: Build, cases: CaseList) -> Iterator[str]:
    """What the reader of the table must know, each once."""
    keys = {setting.partition("=")[0].strip() for case in cases.cases for setting in case.settings}
    gate = build["wastegate"]
    if "wastegate.valve_diameter" in keys:
        yield (
            "Valve diameters are those of the valve head across its seat. A gate sold by the size of its flange has a "
            "smaller valve: measure it before you compare."
        )
        if "wastegate.branch_bore" not in keys and gate.has("branch_bore"):
            yield (
                f"The branch stays at {gate.as_written('branch_bore')} whatever the valve: to move both write "
                '"wastegate.valve_diameter & wastegate.branch_bore = ...".'
            )
    if any(key.startswith("wastegate.") for key in keys) and gate.has("discharge_coefficient"):
        yield from _discharge(build, keys)
    if "wastegate.spring_rating" in keys and build["wastegate"].text("kind") != "none":
        yield (
            "The threshold is that of each case's own spring: a softer one is reached earlier and gives less boost, so "
            "compare thresholds between cases of one spring."
        )
    for step in cases.steps:
        if len(step.keys) > 1:
            yield (
                f"{' and '.join(step.keys)} move together: what each of them does alone cannot be told from this "
                "tornado."
            )
    if cases.steps:
        yield "One at a time: each bar moves one key and leaves the rest; two changes together need not add up."


def _discharge(build: Build, keys: set[str]) -> Iterator[str]:
    gate = build["wastegate"]
    value = gate.values["discharge_coefficient"]
    if "wastegate.discharge_coefficient" in keys:
        yield (
            "A discharge coefficient of 1 is a hole without losses, which no poppet valve is; 0.6 to 0.8 is usual "
            "(from memory)."
        )
        return
    if gate.si("discharge_coefficient") > 0.95:
        yield f"The gate's discharge coefficient is {value.written}: no poppet valve is a hole without losses."
    elif value.origin == "default":
        yield (
            f"Every gate is taken with a discharge coefficient of {value.written} ({value.parameter.default_status}), "
            "not 1: nobody has measured it."
        )
