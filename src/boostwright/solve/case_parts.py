"""The parts of many variants' problems, each part worked out once for all variants that do not change it.

The same functions as in ``problem.assemble``, in the same order; which values each of them looks at is found out by
watching it (``build.watched``), never declared, so a part cannot be shared by mistake.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, Section
from boostwright.build.variants import Variant
from boostwright.build.watched import Held, Remembered, WatchedSections
from boostwright.cards.card import Card
from boostwright.components.air import AmbientAir, ambient_air
from boostwright.components.breathing import Filling
from boostwright.components.charge import charge_fields
from boostwright.components.closed_cycle import CycleModel
from boostwright.components.compressor import CompressorSurface
from boostwright.components.compressor_from_build import compressor_of_build
from boostwright.components.cycle_table import CycleBox, CycleTable
from boostwright.components.cylinders import Engine, engine
from boostwright.components.exhaust import exhaust_fields
from boostwright.components.fuel import BurnedMixture
from boostwright.components.knock_fuel import knock_limit_fault
from boostwright.components.turbine import TurbineTable
from boostwright.components.turbine_from_build import turbine_of_build
from boostwright.components.turbine_pulses import PulsingTurbine, deepest_trough, pulsing_turbine
from boostwright.components.wastegate import wastegate_fields
from boostwright.errors import BuildError
from boostwright.solve.cycle_rows import Spark, cycle_fields_of, cycle_rows, spark_of
from boostwright.solve.cycle_store import cycle_table
from boostwright.solve.kernel.layout import POINT
from boostwright.solve.problem import (
    burned_of_build,
    cycle_box,
    cylinders_a_turbine,
    gas_fields,
    target_fields,
    turbine_pulses,
    turbo_fields,
)
from boostwright.solve.residual import residual_course

__all__ = ["Fields", "Parts", "PartsMaker", "PulseTables", "watched_build"]

Array = NDArray[np.float64]
Fields = Mapping[str, float | Array]
_FEW = 64  # kept of what holds a megabyte
_ROUNDING = 1e-13
_KNOCK = -1  # of the check of knock, among the identities of the parts


@dataclass(frozen=True, eq=False)
class PulseTables:
    """Tables of a turbine at the pulses of each speed: turbines (j, m), and the row of each speed (n,).

    flow_scale  [-] by which the flow of those tables is to be taken: housings that differ in size alone share them
    """

    pulsing: PulsingTurbine
    amplitude: Array
    turbines: Array
    index: NDArray[np.int64]
    flow_scale: float = 1.0


@dataclass(frozen=True, eq=False)
class Parts:
    """What the problem of one variant is made of; parts of two variants are the same object where they are alike.

    fields  point fields part by part: gases, engine, charge, exhaust, gate, turbochargers, target, cycle
    """

    ambient: AmbientAir
    mixture: BurnedMixture
    engine: Engine
    cycle: CycleTable
    rows: Array
    spark: Spark
    compressor: CompressorSurface
    turbine: TurbineTable
    pulses: PulseTables
    fields: tuple[Fields, ...]

    @property
    def pieces(self) -> tuple[Any, ...]:
        """Everything in order, the point fields one by one; see ``of_pieces``."""
        return (
            self.ambient,
            self.mixture,
            self.engine,
            self.cycle,
            self.rows,
            self.spark,
            self.compressor,
            self.turbine,
            self.pulses,
            *self.fields,
        )

    @classmethod
    def of_pieces(cls, pieces: Sequence[Any]) -> Parts:
        """Parts from their pieces."""
        ambient, mixture, engine_, cycle, rows, spark, compressor, turbine, pulses, *fields = pieces
        return cls(ambient, mixture, engine_, cycle, rows, spark, compressor, turbine, pulses, tuple(fields))


class _Views(Mapping[str, Section]):
    """Watched values as the sections of a build."""

    def __init__(self, watched: WatchedSections) -> None:
        self._watched = watched

    def __getitem__(self, name: str) -> Section:
        return Section(name, self._watched[name])

    def __iter__(self) -> Iterator[str]:
        return iter(self._watched)

    def __len__(self) -> int:
        return len(self._watched)


def watched_build(base: Build, watched: WatchedSections) -> Build:
    """A build of the base's family whose sections write down what is looked at."""
    return replace(base, sections=_Views(watched))


def _residual_fields(count: int, fields: Sequence[Mapping[str, Any]]) -> dict[str, Array]:
    """Course of the residual gas' temperature at ``count`` points with these fields, turbo and gate apart."""
    points = np.zeros(count, POINT)
    for some in fields:
        for name, value in some.items():
            points[name] = value
    residual_course(points)
    return {name: points[name].copy() for name in ("residual_course", "temperature_residual")}


def _unmeasured(model: CycleModel, box: CycleBox) -> CycleTable:
    return cycle_table(model, box, measured=False)


class PartsMaker:
    """Makes the parts of a build's variants at one set of speeds."""

    def __init__(
        self,
        base: Build,
        speeds: Array,
        mode: str,
        like: PartsMaker | None = None,
        table: Callable[[CycleModel, CycleBox], CycleTable] = _unmeasured,
    ) -> None:
        """From the build, engine speeds (n,) [rad/s], and any mode with a turbo.

        like   maker at other speeds, with which parts that go by no speed are shared
        table  makes tables of closed cycles
        """
        self.speeds, self._base = speeds, base
        self._rows: dict[tuple[int, int, int], tuple[Array, tuple[Any, ...]]] = {}
        self._first: dict[int, tuple[Held[Any], frozenset[str]]] = {}
        self._trace: dict[int, frozenset[str]] | None = None

        def of(function: Callable[..., Any], most: int = 20000) -> Remembered[Any]:
            return Remembered(lambda watched, *given: function(watched_build(base, watched), *given), most)

        self._knock = of(knock_limit_fault)
        self._ambient = of(lambda build: ambient_air(build["ambient"]))
        self._burned = of(lambda build, fuel, air: burned_of_build(build, fuel, air, speeds))
        self._engine = of(
            lambda build, fuel, air, burned, filling: engine(build, fuel, air, burned, speeds, filling)
        )
        self._table = of(
            lambda build, motor: table(motor.cycle, cycle_box(build["engine"].si("speed_limit")))
        )
        self._spark = of(lambda build, motor: spark_of(build["spark"], motor.cycle, speeds))
        self._cycle = Remembered(lambda _watched, rows, spark: cycle_fields_of(rows, spark), _FEW)
        self._residual = Remembered(
            lambda _watched, gases, motor, cycle: _residual_fields(speeds.size, (gases, motor.fields, cycle)),
            _FEW,
        )
        self._compressor = of(lambda build, card: compressor_of_build(build["compressor"], card))
        self._turbine = of(lambda build, card: turbine_of_build(build["turbine"], card))
        self._pulsing = of(
            lambda build, wheel: pulsing_turbine(wheel, deepest_trough(cylinders_a_turbine(build))), _FEW
        )
        self._amplitude = of(lambda build: turbine_pulses(build, speeds, mode))
        self._pulses = Remembered(
            lambda _watched, pulsing, amplitude: self._averaged(pulsing, amplitude), _FEW
        )
        self._averages: list[PulseTables] = []
        self._fields = (
            Remembered(lambda _watched, air, burned: gas_fields(air, burned)),
            of(charge_fields),
            of(exhaust_fields),
            of(wastegate_fields),
            of(turbo_fields),
            of(lambda build, air: target_fields(build, air, speeds)),
        )
        if like is not None:
            self._knock, self._ambient = like._knock, like._ambient
            self._compressor, self._turbine, self._pulsing = like._compressor, like._turbine, like._pulsing
            self._fields = (self._fields[0], *like._fields[1:5], self._fields[5])

    def of(self, variant: Variant, cards: Mapping[str, Card], filling: Filling | None) -> Parts:
        """Parts of a variant.

        cards, filling  as ``assemble`` has them, the same objects for variants that share them
        Raises BuildError as ``assemble`` does.
        """
        fuel, get = cards["fuel"], self._get
        if fault := get(variant, self._knock, fuel):
            raise BuildError([fault])
        air = get(variant, self._ambient)
        burned = get(variant, self._burned, fuel, air)
        motor = get(variant, self._engine, fuel, air, burned, filling)
        table = get(variant, self._table, motor)
        rows = self._rows_of(table, burned, fuel)
        spark = get(variant, self._spark, motor)
        wheel = get(variant, self._turbine, cards.get("turbine"))
        amplitude = get(variant, self._amplitude)
        gases, charge, exhaust, gate, turbo, target = self._fields
        gas = get(variant, gases, air, burned)
        cycle = get(variant, self._cycle, rows, spark)
        return Parts(
            ambient=air,
            mixture=burned,
            engine=motor,
            cycle=table,
            rows=rows,
            spark=spark,
            compressor=get(variant, self._compressor, cards.get("compressor")),
            turbine=wheel,
            pulses=get(variant, self._pulses, get(variant, self._pulsing, wheel), amplitude),
            fields=(
                gas,
                motor.fields,
                get(variant, charge),
                get(variant, exhaust),
                get(variant, gate),
                get(variant, turbo),
                get(variant, target, air),
                cycle,
                get(variant, self._residual, gas, motor, cycle),
            ),
        )

    def traced(
        self, variant: Variant, cards: Mapping[str, Card], filling: Filling | None
    ) -> tuple[Parts, tuple[frozenset[str], ...]]:
        """Parts of a variant, and the sections that stand behind each of them, directly or through another part, in the
        order of ``Parts.pieces``; behind the check of knock last."""
        trace = {id(card): frozenset({kind}) for kind, card in cards.items()}
        self._trace = trace
        try:
            parts = self.of(variant, cards, filling)
        finally:
            self._trace = None
        trace[id(parts.engine.fields)] = trace[id(parts.engine)]
        return parts, (*(trace[id(piece)] for piece in parts.pieces), trace[_KNOCK])

    def _get(self, variant: Variant, part: Remembered[Any], *given: Any) -> Any:
        """A part of a variant: that of the build as it stands where nothing it looks at has changed."""
        first = self._first.get(id(part))
        if (
            first is not None
            and first[0].names.isdisjoint(variant.changed)
            and all(mine is its for mine, its in zip(given, first[0].given, strict=True))
        ):
            held, reach = first
        else:
            held = part.held(variant.sections, *given)
            reach = held.names
            if self._trace is not None:
                reach = reach.union(*(self._trace.get(id(one), frozenset()) for one in given))
            if not variant.changed and self._trace is not None:
                self._first[id(part)] = held, reach
        if self._trace is not None:
            key = _KNOCK if part is self._knock else id(held.answer)
            self._trace[key] = reach.union(self._trace.get(key, ()))
        return held.answer

    def _rows_of(self, table: CycleTable, burned: BurnedMixture, fuel: Card) -> Array:
        """Rows of the table of closed cycles; the same table comes back as another object for another engine."""
        key = id(table.coefficients), id(burned), id(fuel)
        if key not in self._rows:
            if len(self._rows) >= _FEW:
                self._rows.clear()
            self._rows[key] = cycle_rows(table, self.speeds, burned), (table.coefficients, burned, fuel)
        rows = self._rows[key][0]
        if self._trace is not None:
            self._trace[id(rows)] = self._trace[id(table)] | self._trace[id(burned)] | self._trace[id(fuel)]
        return rows

    def _averaged(self, pulsing: PulsingTurbine, amplitude: Array) -> PulseTables:
        """Averages over the pulses; those of a turbine that only differs in flow are the same but for that."""
        for known in self._averages:
            if known.amplitude is amplitude and known.pulsing.trough == pulsing.trough:
                scale = _flow_scale(known.pulsing.turbine.table, pulsing.turbine.table)
                if scale is not None:
                    return replace(known, flow_scale=scale)
        found = PulseTables(pulsing, amplitude, *pulsing.tables(amplitude))
        self._averages = [found, *self._averages[: _FEW // 4]]
        return found


def _flow_scale(one: Array, other: Array) -> float | None:
    """Flow [-] of a turbine's table over that of another one, where they differ in nothing else; else None."""
    nodes = int(one[0] * one[1]) * 4
    if one.size != other.size or not np.array_equal(one[:4], other[:4]):
        return None
    if not np.allclose(one[4 + nodes :], other[4 + nodes :], rtol=_ROUNDING, atol=_ROUNDING):
        return None
    largest = int(np.abs(one[4 : 4 + nodes]).argmax()) + 4
    scale = float(other[largest] / one[largest])
    alike = np.allclose(
        scale * one[4 : 4 + nodes], other[4 : 4 + nodes], rtol=_ROUNDING, atol=_ROUNDING * abs(other[largest])
    )
    return scale if alike and scale > 0.0 else None
