"""Running many cases of a build: read, put in place, solved and judged in batches, one batch ahead of the other."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.build.variants import Variant, Variants
from boostwright.build.watched import Remembered
from boostwright.cards.card import Card
from boostwright.cards.look_up import find_card
from boostwright.components.compressor import CompressorSurface
from boostwright.components.fuel_blend import fuel_card
from boostwright.components.turbine import TurbineTable
from boostwright.errors import BoostwrightError, FaultyInput
from boostwright.solve.case_made import CaseMaker
from boostwright.solve.case_parts import Parts, watched_build
from boostwright.solve.cases import CaseSolver, SolvedCases
from boostwright.solve.problem import Problem
from boostwright.solve.run import cores
from boostwright.tasks.known_filling import KnownFillings
from boostwright.tasks.ready import speed_limit_of
from boostwright.tasks.whatif_figures import FigureMaker, Placed
from boostwright.tasks.whatif_result import Case, Row

if TYPE_CHECKING:
    from concurrent.futures import Future

__all__ = ["BATCH", "CaseRunner", "refused_row"]

Array = NDArray[np.float64]

BATCH = 64
"""Cases solved together; a killed run loses at most these and those that are being written."""

_MOST_SETS = 20000
_KINDS = ("compressor", "turbine", "wastegate")


class CaseRunner:
    """Runs cases of one build at the same engine speeds (n,) [rad/s]."""

    def __init__(self, build: Build, speeds: Array, between: tuple[float, float], batch: int = BATCH) -> None:
        """From the build as it stands, the speeds, and those the torque is summed between."""
        self._build, self._speeds, self._batch = build, speeds, batch
        mode = build["prediction"].text("mode")
        self._variants = Variants(build)
        self._maker = CaseMaker(build, speeds, mode if mode != "no-turbo" else "spring")
        first = CaseSolver(self._maker, batch)
        self._solvers = (first, CaseSolver(self._maker, batch, first))
        self._figures = FigureMaker(build, speeds, between)
        self._cards = {"fuel": self._of(fuel_card)} | {kind: self._of(_card_of(kind)) for kind in _KINDS}
        self._sets: dict[tuple[int, ...], tuple[Mapping[str, Card], tuple[Any, ...]]] = {}
        self._limit = Remembered(
            lambda watched, surface, wheel, *cards: speed_limit_of(
                watched_build(build, watched),
                _named(cards),
                _Wheels(surface, wheel),  # type: ignore[arg-type]  # all that it asks of a problem
            )
        )
        self._fillings = KnownFillings(speeds)
        self._begin_with_the_build()

    def _begin_with_the_build(self) -> None:
        """Parts of the build as it stands first, whatever case a run goes on with: others are told from them."""
        with contextlib.suppress(BoostwrightError):
            self._placed(self._solvers[0], 0, Case("", ()))

    def _of(self, function: Any) -> Remembered[Any]:
        return Remembered(lambda watched: function(watched_build(self._build, watched)))

    def run(self, cases: Sequence[tuple[int, Case]], workers: int | None = None) -> Iterator[list[Row]]:
        """Rows of the cases (number, case), a batch at a time and in their order.

        While one batch is solved the next one is put together, in two blocks that take turns.
        """
        from concurrent.futures import ThreadPoolExecutor

        batches = [cases[first : first + self._batch] for first in range(0, len(cases), self._batch)]
        with ThreadPoolExecutor(1) as ahead, ThreadPoolExecutor(max(cores(workers) - 1, 1)) as pool:
            waiting: _Waiting | None = None
            for turn, batch in enumerate(batches):
                here = self._put_together(batch, self._solvers[turn % 2])
                if here.placed:
                    here.solver.close()
                    here.solved = ahead.submit(here.solver.solve, workers, pool)
                if waiting is not None:
                    yield self._judged(waiting)
                waiting = here
            if waiting is not None:
                yield self._judged(waiting)

    def as_it_stands(self, speeds: Array) -> Problem | None:
        """The build as it stands with the gate shut, where it is at hand at these engine speeds (n,) [rad/s]."""
        return self._maker.as_it_stands(speeds)

    def _put_together(self, cases: Sequence[tuple[int, Case]], solver: CaseSolver) -> _Waiting:
        """A batch read and put into the block; those that cannot be are rows already."""
        solver.clear()
        refused: dict[int, Row] = {}
        placed: list[Placed] = []
        for number, case in cases:
            try:
                placed.append(self._placed(solver, number, case))
            except BoostwrightError as error:
                refused[number] = refused_row(number, case, error)
        return _Waiting(solver, placed, refused)

    def _judged(self, batch: _Waiting) -> list[Row]:
        rows = dict(batch.refused)
        if batch.solved is not None:
            rows |= {row.number: row for row in self._figures.rows(batch.placed, batch.solved.result())}
        return [rows[number] for number in sorted(rows)]

    def _placed(self, solver: CaseSolver, number: int, case: Case) -> Placed:
        """A case read and put into its place in the block; raises BoostwrightError where it cannot be."""
        variant = self._variants.of(case.settings)
        values = variant.sections
        mode = values["prediction"]["mode"].text or ""
        if mode == "no-turbo":
            raise _no_turbo(case)
        cards = self._cards_of(variant)
        parts = solver.put(variant, mode, cards, self._fillings.of(variant, cards))
        limit, source = self._speed_limit(variant, parts, cards)
        return Placed(number, case, variant, parts, cards, mode, limit, source)

    def _cards_of(self, variant: Variant) -> Mapping[str, Card]:
        """The cards of a case, by kind; the very same ones for cases whose sections that name them are the same."""
        own = tuple([variant.sections[kind] for kind in self._cards])
        key = tuple(map(id, own))
        if key not in self._sets:
            found = {kind: of.of(variant.sections, variant.changed) for kind, of in self._cards.items()}
            if len(self._sets) > _MOST_SETS:
                self._sets.clear()
            self._sets[key] = {kind: card for kind, card in found.items() if card is not None}, own
        return self._sets[key][0]

    def _speed_limit(self, variant: Variant, parts: Parts, cards: Mapping[str, Card]) -> tuple[float, str]:
        given = (parts.compressor, parts.turbine, *map(cards.get, _KINDS))
        found: tuple[float, str] = self._limit.of(variant.sections, variant.changed, *given)
        return found


@dataclass
class _Waiting:
    """A batch that is being solved."""

    solver: CaseSolver
    placed: list[Placed]
    refused: dict[int, Row]
    solved: Future[SolvedCases] | None = None


@dataclass(frozen=True)
class _Wheels:
    """What the limit of the shaft's speed asks of a problem."""

    compressor: CompressorSurface
    turbine: TurbineTable


def _named(cards: Sequence[Card | None]) -> dict[str, Card]:
    return {kind: card for kind, card in zip(_KINDS, cards, strict=True) if card is not None}


def _card_of(kind: str) -> Any:
    def card(build: Build) -> Card | None:
        section = build[kind]
        return find_card(kind, section.text("card"), build.folder) if section.has("card") else None

    return card


def refused_row(number: int, case: Case, error: BoostwrightError) -> Row:
    """The row of a case that cannot be."""
    if isinstance(error, FaultyInput) and error.faults:
        fault = error.faults[0]
        value = f" = {fault.value}" if fault.value else ""
        more = f" (and {len(error.faults) - 1} more)" if len(error.faults) > 1 else ""
        reason = f"{fault.key}{value} {fault.message}{more}"
    else:
        reason = str(error)
    return Row(number, case, {}, {}, {}, (), " ".join(reason.split()))


def _no_turbo(case: Case) -> BoostwrightError:
    return BoostwrightError(f"{case.name}: mode no-turbo has no turbo whose parts could be compared.")
