"""Many samples of one build assembled side by side: what a single assembly would give, with its slow parts shared."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.cards.card import Card
from boostwright.components.air import AmbientAir, ambient_air
from boostwright.components.breathing import Filling
from boostwright.components.closed_cycle import CycleModel
from boostwright.components.compressor_from_build import compressor_at_edge, compressor_of_build
from boostwright.components.cylinders import Engine, engine_by_itself, mixed_charge_fields
from boostwright.components.fuel import BurnedMixture, mixture_of_lambda
from boostwright.components.fuel_blend import fuel_card
from boostwright.components.turbine_from_build import turbine_of_build
from boostwright.components.turbine_pulses import (
    AMPLITUDE_STEP,
    LARGEST_AMPLITUDE,
    deepest_trough,
    pulsing_turbine,
)
from boostwright.solve.cycle_rows import Spark, cycle_fields_of, heat_of_the_day, spark_of
from boostwright.solve.cycle_store import cycle_table
from boostwright.solve.kernel.layout import MODES
from boostwright.solve.problem import (
    Problem,
    assemble,
    burned_of_build,
    cycle_box,
    gas_fields,
    part_fields,
    partly_burned,
    shaft_speed_ceiling,
    turbine_pulses,
)
from boostwright.solve.residual import residual_course
from boostwright.solve.uncertainty.blended import Blend
from boostwright.solve.uncertainty.doubts import Doubt
from boostwright.solve.uncertainty.model_acts import ModelActs
from boostwright.solve.uncertainty.room import Room
from boostwright.solve.uncertainty.shifted import Shifter, flat_build

__all__ = ["Assembler"]

Array = NDArray[np.float64]
_TABLES_AT_ONCE = 4  # summed over speed together: what comes of them stays in the processor's cache
_CYCLE_SECTIONS = ("engine", "cylinder", "breathing", "fuel")
# Of a turbine known by one number: flow and efficiency go with these, and the wheel's tip speed with its diameter.
_SCALES = {"choked_flow": "turbine_flow_scale", "efficiency_peak": "turbine_efficiency_scale"}


@dataclass(frozen=True)
class _Parts:
    """What one sample brings with it; its mixture is worked out with those of the others."""

    build: Build
    card: Card
    ambient: AmbientAir
    motor: Engine
    spark: Spark
    fields: Mapping[str, float | Array]


class Assembler:
    """Samples of a build to problems, at fixed engine speeds and in one mode.

    Every relation is called as for a single build. Shared are the table of closed cycles and the compressor's surface,
    which follow parabolas between their ends (see ``blended``), and the turbine's tables for pulses.
    """

    def __init__(
        self,
        build: Build,
        cards: Mapping[str, Card],
        speeds: Array,
        mode: str,
        filling: Filling | None,
        doubts: Sequence[Doubt],
    ) -> None:
        """Assemble the nominal build and make the tables at the ends of the bands. Raises BuildError as that does."""
        self.build, self.cards, self.speeds, self.mode = build, cards, speeds, mode
        self.doubts = tuple(doubts)
        self._shifter = Shifter(build, self.doubts)
        self.nominal: Problem = assemble(build, cards, speeds, mode, filling)
        self._filling = filling
        self._keys = {doubt.key: column for column, doubt in enumerate(self.doubts) if doubt.key}
        self._acts = ModelActs(self.doubts)
        self._blended_fuel = ("fuel", "blend_share") in self._keys
        self._other_lambda = ("fuel", "lambda_target") in self._keys or self._blended_fuel
        self._own_turbine = self._needs_own_turbines()
        self._pulses: Array | None = None
        self.cycles = self._cycle_tables()
        self.maps = self._compressor_maps()
        self._heads = self.nominal.cycle.heads(self.nominal.mixture.lambda_value)

    def problem(
        self, shifts: Array, fillings: Sequence[Filling | None] | None = None, room: Room | None = None
    ) -> Problem:
        """The samples with shifts (k, doubts) [-] as one problem of (k n) points, sample by sample.

        fillings  of each sample, where a known curve is turned back; None takes the nominal one
        room      to put the problem into; None takes new memory
        """
        own = fillings if fillings is not None else [self._filling] * len(shifts)
        k, n = len(shifts), self.speeds.size
        air = self._air(shifts)
        parts = [
            self._parts(row, filling, own_air)
            for row, filling, own_air in zip(shifts, own, _airs(air, k), strict=True)
        ]
        air = _repeated(air, n) if np.ndim(air.pressure) else air
        burned = self._burned(parts, air)
        room = room if room is not None else Room(k, self.nominal)
        rows = self._rows(parts, burned, shifts, room.rows(k))
        spark = _joined_part([p.spark for p in parts])
        points = room.points(k)
        for name in parts[0].fields:
            column = points[name]
            for i, part in enumerate(parts):
                column[i] = part.fields[name]
        for i, part in enumerate(parts):
            points["shaft_speed_ceiling"][i] = shaft_speed_ceiling(self.nominal.compressor, part.ambient)
        points["turbine_radius"] = self.nominal.turbine.wheel_diameter / 2.0
        points["mode"] = MODES.index(self.mode)
        self._scale_turbine(points, shifts)
        amplitude, turbines, index = self._turbines(parts, shifts)
        points["turbine_index"] = index
        points["compressor_index"] = np.arange(k)[:, None] if self.maps.columns else 0
        flat: NDArray[np.void] = points.reshape(-1)
        charge = self._charge(parts, air, burned, shifts)
        for name, value in {**gas_fields(air, burned), **charge, **cycle_fields_of(rows, spark)}.items():
            flat[name] = value
        residual_course(flat)
        self._acts.on_points(points, shifts)
        maps = self.maps.at(shifts) if self.maps.columns else self.nominal.maps
        return replace(
            self.nominal,
            points=flat,
            maps=np.ascontiguousarray(maps),
            turbines=turbines,
            speeds=np.tile(self.speeds, k),
            ambient=air,
            mixture=burned,
            engine=self._engine([p.motor for p in parts], n),
            rows=rows,
            spark=spark,
            pulse_amplitude=amplitude,
        )

    def at_speeds(self, speeds: Array) -> Assembler:
        """The same samples at other engine speeds (n,) [rad/s]."""
        return Assembler(self.build, self.cards, speeds, self.mode, self._filling, self.doubts)

    def sample_build(self, shifts: Array) -> Build:
        """The build of one sample with shifts (doubts,) [-]; models are no part of it."""
        return self._shifter.build(shifts)

    def _air(self, shifts: Array) -> AmbientAir:
        """Air of the samples (k,); a single one where there is but one."""
        nominal = self.nominal.ambient
        if not any(section == "ambient" for section, _ in self._keys):
            return nominal
        found = ambient_air(flat_build(self.build, self.doubts, shifts, 1)["ambient"])
        k = len(shifts)
        every: dict[str, Any] = {
            name: np.broadcast_to(value, (k, *np.shape(getattr(nominal, name))))
            for name, value in vars(found).items()
        }
        air = AmbientAir(**every)
        return air if k > 1 else _airs(air, 1)[0]

    def _parts(self, shifts: Array, filling: Filling | None, ambient: AmbientAir) -> _Parts:
        build = self.sample_build(shifts)
        card = fuel_card(build) if self._blended_fuel else self.cards["fuel"]
        motor = engine_by_itself(build, card, self.speeds, filling)
        spark = spark_of(build["spark"], motor.cycle, self.speeds)
        fields = {**motor.fields, **part_fields(build, ambient, self.speeds)}
        return _Parts(build, card, ambient, motor, spark, fields)

    def _burned(self, parts: Sequence[_Parts], air: AmbientAir) -> BurnedMixture:
        """Mixture and exhaust of every point, in air that may be by point; in one call where the fuel is the same."""
        if self._blended_fuel:
            blends: BurnedMixture = _joined_part(
                [burned_of_build(p.build, p.card, p.ambient, self.speeds) for p in parts]
            )
            return blends
        lam = np.concatenate([p.build["fuel"].curve("lambda_target").along(self.speeds) for p in parts])
        share = np.array([p.build["cylinder"].si("combustion_efficiency") for p in parts])
        burned = mixture_of_lambda(lam, self.cards["fuel"], air)
        return partly_burned(burned, np.repeat(share, self.speeds.size))

    def _charge(
        self, parts: Sequence[_Parts], air: AmbientAir, burned: BurnedMixture, shifts: Array
    ) -> dict[str, float | Array]:
        """Point fields of what mixes with what in the cylinder."""
        n = self.speeds.size
        if not self._blended_fuel:
            section = flat_build(self.build, self.doubts, shifts, n)["cylinder"]
            return mixed_charge_fields(
                section, parts[0].motor.cycle, air, burned, np.tile(self.speeds, len(parts))
            )
        found = [
            mixed_charge_fields(
                p.build["cylinder"],
                p.motor.cycle,
                p.ambient,
                _piece(burned, slice(i * n, (i + 1) * n)),
                self.speeds,
            )
            for i, p in enumerate(parts)
        ]
        return {
            name: np.concatenate([np.broadcast_to(fields[name], n) for fields in found]) for name in found[0]
        }

    def _rows(self, parts: Sequence[_Parts], burned: BurnedMixture, shifts: Array, rows: Array) -> Array:
        """Rows (k n, m) of the closed cycle for every point, in the memory of ``rows``."""
        table, n = self.nominal.cycle, self.speeds.size
        if self._other_lambda:
            lam = burned.lambda_value.reshape(-1, n)
            for i, (part, own_table) in enumerate(zip(parts, self.cycles.at(shifts), strict=True)):
                its = replace(table, model=part.motor.cycle, coefficients=own_table)
                rows[i] = its.rows(self.speeds, lam[i])
        else:
            head = self._heads.shape[1]
            for i, part in enumerate(parts):
                rows[i, :, :head] = self._head(part.motor.cycle)
            lam = self.nominal.mixture.lambda_value
            coefficients = self.cycles.at(shifts)
            for first in range(0, len(parts), _TABLES_AT_ONCE):
                some = slice(first, first + _TABLES_AT_ONCE)
                rows[some, :, head:] = table.sums(self.speeds, lam, coefficients[some])
        rows = rows.reshape(len(parts) * n, -1)
        for i, part in enumerate(parts):
            own = slice(i * n, (i + 1) * n)
            heat_of_the_day(rows[own], replace(table, model=part.motor.cycle), _piece(burned, own))
        self._acts.on_rows(rows.reshape(len(parts), n, -1), shifts)
        return rows

    def _head(self, model: CycleModel) -> Array:
        """Heads of the rows for another engine with the same fuel and lambda."""
        head = self._heads.copy()
        geometry, nominal = model.geometry, self.nominal.cycle.model
        head[:, 8] = np.log(float(geometry.volume(geometry.intake_closing)))
        head[:, 9] *= model.fuel.combustion_efficiency / nominal.fuel.combustion_efficiency
        return head

    def _cycle_tables(self) -> Blend:
        """The table of closed cycles with every doubt that reaches it."""
        nominal = self.nominal
        blend = Blend(nominal.cycle.coefficients)
        box = cycle_box(self.build["engine"].si("speed_limit"))

        def model_at(column: int, shift: float) -> CycleModel:
            build = self.sample_build(self._alone(column, shift))
            card = fuel_card(build) if self._blended_fuel else self.cards["fuel"]
            return engine_by_itself(build, card, self.speeds, self._filling).cycle

        def coefficients_at(column: int, shift: float) -> Array:
            return cycle_table(model_at(column, shift), box).coefficients

        for (section, _), column in self._keys.items():
            if section not in _CYCLE_SECTIONS:
                continue
            if _same_cycle(model_at(column, 0.5), nominal.engine.cycle):
                continue
            spread = self.doubts[column].distribution
            blend.add(column, spread, partial(coefficients_at, column))
        return blend

    def _compressor_maps(self) -> Blend:
        """The compressor's surface with every doubt that reaches it."""
        surface = self.nominal.compressor
        blend = Blend(surface.table)

        def moved(name: str, width: float, shift: float) -> Array:
            return compressor_at_edge(surface, **{name: shift * width}).table

        def made(column: int, shift: float) -> Array:
            section = self.sample_build(self._alone(column, shift))["compressor"]
            return compressor_of_build(section, self.cards.get("compressor")).table

        for name, width, column in self._acts.compressor():
            blend.add(column, self.doubts[column].distribution, partial(moved, name, width))
        for (section, key), column in self._keys.items():
            if section == "compressor" and key not in ("surge_margin_wanted", "speed_limit"):
                blend.add(column, self.doubts[column].distribution, partial(made, column))
        return blend

    def _alone(self, column: int, shift: float) -> Array:
        """Shifts (doubts,) with one of them alone."""
        shifts = np.zeros(len(self.doubts))
        shifts[column] = shift
        return shifts

    def _needs_own_turbines(self) -> bool:
        """True where a doubt changes the shape of the turbine's tables, so that every sample makes its own."""
        one_number = "turbine" not in self.cards and self.build["turbine"].text("given_as") == "one-number"
        scaled = {*_SCALES, "wheel_diameter"} if one_number else set()
        free = {"pulse_amplitude", "a_r", "speed_limit", *scaled}
        return any(section == "turbine" and key not in free for section, key in self._keys)

    def _scale_turbine(self, points: NDArray[np.void], shifts: Array) -> None:
        """Flow, efficiency and diameter of a turbine known by one number, without tables of its own."""
        if self._own_turbine:
            return
        section = self.build["turbine"]
        for key, field in (*_SCALES.items(), ("wheel_diameter", "turbine_radius")):
            column = self._keys.get(("turbine", key))
            if column is not None:
                factor = 1.0 + shifts[:, column] * self.doubts[column].widths[0] / section.si(key)
                points[field] *= factor[:, None]

    def _turbines(self, parts: Sequence[_Parts], shifts: Array) -> tuple[Array, Array, NDArray[np.int64]]:
        """Pulse amplitudes (k n,), tables, and each point's table (k, n)."""
        k, n = len(parts), self.speeds.size
        amplitude = np.stack([turbine_pulses(p.build, self.speeds, self.mode) for p in parts])
        amplitude = np.clip(amplitude * self._acts.pulses(shifts)[:, None], 0.0, LARGEST_AMPLITUDE)
        if not self._own_turbine:
            return (
                amplitude.ravel(),
                self._pulse_tables(),
                np.rint(amplitude / AMPLITUDE_STEP).astype(np.int64),
            )
        found, places, start = [], np.empty((k, n), dtype=np.int64), 0
        for i, part in enumerate(parts):
            wheel = turbine_of_build(part.build["turbine"], self.cards.get("turbine"))
            cylinders = part.build["engine"].si("cylinders") / part.build["turbine"].si("count")
            tables, index = pulsing_turbine(wheel, deepest_trough(cylinders)).tables(amplitude[i])
            found.append(tables)
            places[i] = index + start
            start += len(tables)
        return amplitude.ravel(), np.ascontiguousarray(np.concatenate(found)), places

    def _pulse_tables(self) -> Array:
        """The turbine's tables at every amplitude there is, made when they are first asked for."""
        if self._pulses is None:
            count = round(LARGEST_AMPLITUDE / AMPLITUDE_STEP) + 1 if self.nominal.pulse_amplitude.any() else 1
            self._pulses, _ = self.nominal.pulsing.tables(np.arange(count, dtype=np.float64) * AMPLITUDE_STEP)
        return self._pulses

    def _engine(self, motors: Sequence[Engine], n: int) -> Engine:
        """Engine of the points: displacement and piston speed by point, the cycle's own opening of the valve."""
        volume: Any = np.repeat([m.displacement for m in motors], n)
        opening: Any = np.repeat([m.cycle.geometry.exhaust_opening for m in motors], n)
        cycle = self.nominal.engine.cycle
        return replace(
            self.nominal.engine,
            fields={},
            displacement=volume,
            mean_piston_speed=np.concatenate([m.mean_piston_speed for m in motors]),
            cycle=replace(cycle, geometry=replace(cycle.geometry, exhaust_opening=opening)),
        )


def _same_cycle(one: CycleModel, other: CycleModel) -> bool:
    """True where the tables of two models are the same one; air and octane number do not reach them."""
    keys = ("geometry", "burn", "walls", "fuel", "watch_knock_to", "dissociation")
    return all(getattr(one, key) == getattr(other, key) for key in keys)


def _joined_part(parts: Sequence[Any]) -> Any:
    """Dataclasses of the same kind end to end: arrays joined, all else as in the first."""
    joined = {
        field.name: np.concatenate([getattr(part, field.name) for part in parts])
        for field in fields(parts[0])
        if isinstance(getattr(parts[0], field.name), np.ndarray)
    }
    return replace(parts[0], **joined)


def _piece(burned: BurnedMixture, own: slice) -> BurnedMixture:
    """Some points of a mixture, as views."""
    arrays: dict[str, Any] = {
        name: value[own] for name, value in vars(burned).items() if isinstance(value, np.ndarray)
    }
    return replace(burned, **arrays)


def _repeated(air: AmbientAir, n: int) -> AmbientAir:
    """Air of every sample (k,) by point (k n,)."""
    every: dict[str, Any] = {name: np.repeat(value, n, axis=0) for name, value in vars(air).items()}
    return AmbientAir(**every)


def _airs(air: AmbientAir, count: int) -> list[AmbientAir]:
    """Air of each of ``count`` samples, from that of all (k,) or the only one."""
    if np.ndim(air.pressure) == 0:
        return [air] * count
    columns = [value if value.ndim > 1 else value.tolist() for value in vars(air).values()]
    return [AmbientAir(*values) for values in zip(*columns, strict=True)]
