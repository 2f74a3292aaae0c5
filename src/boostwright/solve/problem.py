"""From a build and its cards to the records the kernel solves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from boostwright.build import Build
from boostwright.cards.card import Card
from boostwright.components.air import AmbientAir, ambient_air, kernel_coefficients
from boostwright.components.breathing import Filling
from boostwright.components.charge import charge_fields
from boostwright.components.compressor import CompressorSurface
from boostwright.components.compressor_from_build import compressor_of_build
from boostwright.components.cycle_table import CycleBox, CycleTable
from boostwright.components.cylinders import Engine, engine
from boostwright.components.exhaust import exhaust_fields
from boostwright.components.fuel import BurnedMixture, burned_mixture
from boostwright.components.knock_fuel import knock_limit_fault
from boostwright.components.turbine import TurbineTable
from boostwright.components.turbine_from_build import turbine_of_build
from boostwright.components.turbine_pulses import (
    PulsingTurbine,
    deepest_trough,
    pulse_amplitude,
    pulsing_turbine,
)
from boostwright.components.wastegate import wastegate_fields
from boostwright.errors import BuildError
from boostwright.solve.cycle_rows import Spark, cycle_fields_of, cycle_rows, spark_of
from boostwright.solve.cycle_store import cycle_table
from boostwright.solve.kernel.layout import MODES, POINT
from boostwright.solve.residual import residual_course

__all__ = [
    "SURFACE_END",
    "Problem",
    "assemble",
    "burned_of_build",
    "cycle_box",
    "cylinders_a_turbine",
    "gas_fields",
    "part_fields",
    "partly_burned",
    "plain_fields",
    "shaft_speed_ceiling",
    "target_fields",
    "turbine_pulses",
    "turbo_fields",
]

Array = NDArray[np.float64]
_Part = TypeVar("_Part", BurnedMixture, Engine, Spark)

SURFACE_END = 1.12
"""Over the highest speed line: beyond it the card says nothing, and the search in shaft speed stops."""


_SLOWEST, _FASTEST = 0.115, 1.05  # of the engine's speed limit, the ends of its table of closed cycles


@dataclass(frozen=True)
class Problem:
    """A batch for the kernel, and the parts it was made from.

    points (n,) of dtype POINT; maps (k, m), turbines (j, n) packed tables; speeds [rad/s] and pulse_amplitude [-] (n,)
    """

    points: NDArray[np.void]
    maps: Array
    turbines: Array
    speeds: Array
    ambient: AmbientAir
    mixture: BurnedMixture
    engine: Engine
    compressor: CompressorSurface
    turbine: TurbineTable
    cycle: CycleTable
    rows: Array
    spark: Spark
    pulsing: PulsingTurbine
    pulse_amplitude: Array

    def with_pulses(self, amplitude: Array) -> Problem:
        """The same points with other pulse amplitudes (n,) [-] at the turbine."""
        points = self.points.copy()
        turbines, points["turbine_index"] = self.pulsing.tables(amplitude)
        return replace(self, points=points, turbines=turbines, pulse_amplitude=amplitude)

    def with_compressor(self, surface: CompressorSurface) -> Problem:
        """The same points with another compressor surface."""
        return replace(self, maps=np.ascontiguousarray(surface.table[None, :]), compressor=surface)

    def at_mode(self, mode: str) -> Problem:
        """The same points in another mode."""
        points = self.points.copy()
        points["mode"] = MODES.index(mode)
        return replace(self, points=points)

    def take(self, indices: ArrayLike) -> Problem:
        """Some of the points (m,), in any order and as often as they are named, with every part that goes by point.

        indices  (m,) whole numbers, or (n,) True for the points wanted
        Raises IndexError where there is no such point.
        """
        n = self.points.size
        chosen = np.arange(n)[np.asarray(indices)]
        return replace(
            self,
            points=np.ascontiguousarray(self.points[chosen]),
            speeds=self.speeds[chosen],
            mixture=_rows_taken(self.mixture, chosen, n),
            engine=_rows_taken(self.engine, chosen, n),
            rows=np.ascontiguousarray(self.rows[chosen]),
            spark=_rows_taken(self.spark, chosen, n),
            pulse_amplitude=self.pulse_amplitude[chosen],
        )

    def at_targets(self, levels: ArrayLike) -> Problem:
        """Every point once a level, all in target mode: a batch of (k n) points, level by level.

        levels  (k,) or (k, n) absolute pressures [Pa] to hold in the intake manifold
        Returns a Problem whose answers reshape to (k, n). Raises ValueError where the levels do not fit the points.
        """
        n = self.points.size
        wanted = np.asarray(levels, dtype=float)
        wanted = np.broadcast_to(wanted[:, None] if wanted.ndim == 1 else wanted, (wanted.shape[0], n))
        many = self.take(np.tile(np.arange(n), wanted.shape[0])).at_mode("target")
        many.points["target_pressure"] = wanted.ravel()
        return many


def _rows_taken(part: _Part, chosen: NDArray[np.intp], n: int) -> _Part:
    """A part of a problem with what it holds for each of the n points taken for some of them."""

    def taken(value: Any) -> Any:
        if isinstance(value, np.ndarray) and value.ndim and value.shape[0] == n:
            return value[chosen]
        if isinstance(value, Mapping):
            return {name: taken(inner) for name, inner in value.items()}
        return value

    return replace(part, **{name: taken(value) for name, value in vars(part).items()})


def cylinders_a_turbine(build: Build) -> float:
    """Cylinders that feed one turbine."""
    return build["engine"].si("cylinders") / build["turbine"].si("count")


def turbine_pulses(build: Build, speeds: Array, mode: str) -> Array:
    """Relative pulse amplitude (n,) at the turbine; none where there is no turbine."""
    if mode == "no-turbo":
        return np.zeros(speeds.shape)
    return pulse_amplitude(build["turbine"], cylinders_a_turbine(build), speeds)


def burned_of_build(build: Build, card: Card, ambient: AmbientAir, speeds: Array) -> BurnedMixture:
    """Mixture and exhaust; of the heat a share is never set free, since some fuel does not burn at all."""
    burned = burned_mixture(build["fuel"], card, ambient, speeds)
    return partly_burned(burned, build["cylinder"].si("combustion_efficiency"))


def partly_burned(burned: BurnedMixture, efficiency: float | Array) -> BurnedMixture:
    """The mixture with a share [-] of its heat set free, one or (n,)."""
    return replace(burned, released_heat=efficiency * burned.released_heat)


def gas_fields(ambient: AmbientAir, burned: BurnedMixture) -> dict[str, float | Array]:
    """Point fields of the day's air and of the burned gas."""
    return {
        "pressure_amb": ambient.pressure,
        "temperature_amb": ambient.temperature,
        "gas_constant_air": ambient.gas_constant,
        "air": kernel_coefficients(ambient.coefficients, 0),
        "gas_constant_exhaust": burned.gas_constant,
        "exhaust_low": kernel_coefficients(burned.coefficients, 0),
        "exhaust_high": kernel_coefficients(burned.coefficients, 1),
        "fuel_air_ratio": burned.fuel_air_ratio,
        "released_heat": burned.released_heat,
    }


def cycle_box(speed_limit: float) -> CycleBox:
    """Box of the table of closed cycles for an engine with this speed limit [rad/s]."""
    return CycleBox(engine_speed=(_SLOWEST * speed_limit, _FASTEST * speed_limit))


def shaft_speed_ceiling(surface: CompressorSurface, ambient: AmbientAir) -> float:
    """Shaft speed [rad/s] at which the compressor's surface ends in this air."""
    return SURFACE_END * surface.speed_highest_measured * float(np.sqrt(ambient.temperature / 288.15))


def plain_fields(
    build: Build, ambient: AmbientAir, burned: BurnedMixture, motor: Engine, speeds: Array
) -> dict[str, float | Array]:
    """Point fields that follow from the build alone: neither maps nor the table of closed cycles stand behind them.

    Scalars, or one a point at the engine speeds (n,) [rad/s].
    """
    return {
        **gas_fields(ambient, burned),
        **motor.fields,
        **part_fields(build, ambient, speeds),
    }


def part_fields(build: Build, ambient: AmbientAir, speeds: Array) -> dict[str, float | Array]:
    """Those of the plain fields that stand for intake, exhaust, gate, turbochargers and target."""
    return {
        **charge_fields(build),
        **exhaust_fields(build),
        **wastegate_fields(build),
        **turbo_fields(build),
        **target_fields(build, ambient, speeds),
    }


def turbo_fields(build: Build) -> dict[str, float | Array]:
    """Point fields of how many turbochargers there are, and of a turbine as it is described."""
    return {
        "compressor_count": build["compressor"].si("count"),
        "turbine_count": build["turbine"].si("count"),
        "turbine_flow_scale": 1.0,
        "turbine_efficiency_scale": 1.0,
    }


def target_fields(build: Build, ambient: AmbientAir, speeds: Array) -> dict[str, float | Array]:
    """Point field of the boost target; the barometer where there is none."""
    control = build["boost_control"]
    if not control.has("target"):
        return {"target_pressure": ambient.pressure}
    curve = control.curve("target")
    return {"target_pressure": curve.along(speeds)}


def assemble(
    build: Build, cards: Mapping[str, Card], speeds: Array, mode: str, filling: Filling | None = None
) -> Problem:
    """Records for the engine speeds (n,) [rad/s] in one of the modes.

    cards    'fuel' and, where the build names one, 'compressor' and 'turbine'
    filling  what the build's known curve was turned back into; needed by that source of breathing alone
    Raises BuildError where the spark is to follow a knock limit that cannot be predicted.
    """
    if fault := knock_limit_fault(build, cards["fuel"]):
        raise BuildError([fault])
    ambient = ambient_air(build["ambient"])
    burned = burned_of_build(build, cards["fuel"], ambient, speeds)
    motor = engine(build, cards["fuel"], ambient, burned, speeds, filling)
    table = cycle_table(motor.cycle, cycle_box(build["engine"].si("speed_limit")))
    rows = cycle_rows(table, speeds, burned)
    spark = spark_of(build["spark"], motor.cycle, speeds)
    surface = compressor_of_build(build["compressor"], cards.get("compressor"))
    wheel = turbine_of_build(build["turbine"], cards.get("turbine"))
    amplitude = turbine_pulses(build, speeds, mode)
    pulsing = pulsing_turbine(wheel, deepest_trough(cylinders_a_turbine(build)))
    turbines, turbine_index = pulsing.tables(amplitude)
    points = np.zeros(speeds.shape, POINT)
    fields = {
        **plain_fields(build, ambient, burned, motor, speeds),
        **cycle_fields_of(rows, spark),
        "shaft_speed_ceiling": shaft_speed_ceiling(surface, ambient),
        "turbine_radius": wheel.wheel_diameter / 2.0,
        "mode": float(MODES.index(mode)),
    }
    for name, value in fields.items():
        points[name] = value
    points["turbine_index"] = turbine_index
    residual_course(points)
    return Problem(
        points=points,
        maps=np.ascontiguousarray(surface.table[None, :]),
        turbines=turbines,
        speeds=speeds,
        ambient=ambient,
        mixture=burned,
        engine=motor,
        compressor=surface,
        turbine=wheel,
        cycle=table,
        rows=rows,
        spark=spark,
        pulsing=pulsing,
        pulse_amplitude=amplitude,
    )
