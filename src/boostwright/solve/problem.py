"""From a build and its cards to the records the kernel solves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

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

__all__ = ["SURFACE_END", "Problem", "assemble"]

Array = NDArray[np.float64]

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


def _cylinders_a_turbine(build: Build) -> float:
    """Cylinders that feed one turbine."""
    return build["engine"].si("cylinders") / build["turbine"].si("count")


def _pulse_amplitude(build: Build, speeds: Array, mode: str) -> Array:
    """Relative pulse amplitude (n,) at the turbine; none where there is no turbine."""
    if mode == "no-turbo":
        return np.zeros(speeds.shape)
    return pulse_amplitude(build["turbine"], _cylinders_a_turbine(build), speeds)


def _burned(build: Build, card: Card, ambient: AmbientAir, speeds: Array) -> BurnedMixture:
    """Mixture and exhaust; of the heat a share is never set free, since some fuel does not burn at all."""
    burned = burned_mixture(build["fuel"], card, ambient, speeds)
    return replace(burned, released_heat=build["cylinder"].si("combustion_efficiency") * burned.released_heat)


def _gases(ambient: AmbientAir, burned: BurnedMixture) -> dict[str, float | Array]:
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


def _box(speed_limit: float) -> CycleBox:
    """Box of the table of closed cycles for an engine with this speed limit [rad/s]."""
    return CycleBox(engine_speed=(_SLOWEST * speed_limit, _FASTEST * speed_limit))


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
    burned = _burned(build, cards["fuel"], ambient, speeds)
    motor = engine(build, cards["fuel"], ambient, burned, speeds, filling)
    table = cycle_table(motor.cycle, _box(build["engine"].si("speed_limit")))
    rows = cycle_rows(table, speeds, burned)
    spark = spark_of(build["spark"], motor.cycle, speeds)
    surface = compressor_of_build(build["compressor"], cards.get("compressor"))
    wheel = turbine_of_build(build["turbine"], cards.get("turbine"))
    amplitude = _pulse_amplitude(build, speeds, mode)
    pulsing = pulsing_turbine(wheel, deepest_trough(_cylinders_a_turbine(build)))
    turbines, turbine_index = pulsing.tables(amplitude)
    control = build["boost_control"]
    points = np.zeros(speeds.shape, POINT)
    fields: dict[str, float | Array] = {
        **_gases(ambient, burned),
        **motor.fields,
        **cycle_fields_of(rows, spark),
        **charge_fields(build),
        **exhaust_fields(build),
        **wastegate_fields(build),
        "compressor_count": build["compressor"].si("count"),
        "shaft_speed_ceiling": SURFACE_END
        * surface.speed_highest_measured
        * float(np.sqrt(ambient.temperature / 288.15)),
        "turbine_count": build["turbine"].si("count"),
        "turbine_radius": wheel.wheel_diameter / 2.0,
        "turbine_flow_scale": 1.0,
        "turbine_efficiency_scale": 1.0,
        "target_pressure": ambient.pressure,
        "mode": float(MODES.index(mode)),
    }
    if control.has("target"):
        curve = control.curve("target")
        fields["target_pressure"] = np.array([curve.at(speed) for speed in speeds])
    for name, value in fields.items():
        points[name] = value
    points["turbine_index"] = turbine_index
    for name, value in residual_course(points, rows, spark, burned).items():
        points[name] = value
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
