"""From a build and its cards to the records the kernel solves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.cards.card import Card
from boostwright.components.air import AmbientAir, ambient_air, kernel_coefficients
from boostwright.components.charge import charge_fields
from boostwright.components.compressor import CompressorSurface, compressor_surface
from boostwright.components.cycle_table import CycleBox, CycleTable
from boostwright.components.cylinders import Engine, engine
from boostwright.components.exhaust import exhaust_fields
from boostwright.components.fuel import BurnedMixture, burned_mixture
from boostwright.components.turbine import TurbineTable, turbine_from_card, turbine_from_one_number
from boostwright.components.wastegate import wastegate_fields
from boostwright.solve.cycle_rows import Spark, cycle_fields_of, spark_of
from boostwright.solve.cycle_store import cycle_table
from boostwright.solve.kernel.layout import MODES, POINT

__all__ = ["SURFACE_END", "Problem", "assemble"]

Array = NDArray[np.float64]

SURFACE_END = 1.12
"""Over the highest speed line: beyond it the card says nothing, and the search in shaft speed stops."""


_SLOWEST, _FASTEST = 0.115, 1.05  # of the engine's speed limit, the ends of its table of closed cycles


@dataclass(frozen=True)
class Problem:
    """A batch for the kernel, and the parts it was made from.

    points (n,) of dtype POINT; maps (k, m), turbines (j, n) packed tables
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

    def at_mode(self, mode: str) -> Problem:
        """The same points in another mode."""
        points = self.points.copy()
        points["mode"] = MODES.index(mode)
        return replace(self, points=points)


def _turbine(build: Build, card: Card | None) -> TurbineTable:
    section = build["turbine"]
    if card is not None:
        return turbine_from_card(card)
    return turbine_from_one_number(
        section.si("choked_flow"),
        section.si("wheel_diameter"),
        section.si("efficiency_peak"),
        section.si("best_blade_speed_ratio"),
        section.si("efficiency_width"),
    )


def _burned(build: Build, card: Card, ambient: AmbientAir, speeds: Array) -> BurnedMixture:
    """Mixture and exhaust; of the heat a share is never set free, since some fuel does not burn at all."""
    burned = burned_mixture(build["fuel"], card, ambient, speeds)
    return replace(burned, released_heat=build["cylinder"].si("combustion_efficiency") * burned.released_heat)


def _box(speed_limit: float) -> CycleBox:
    """Box of the table of closed cycles for an engine with this speed limit [rad/s]."""
    return CycleBox(engine_speed=(_SLOWEST * speed_limit, _FASTEST * speed_limit))


def assemble(build: Build, cards: Mapping[str, Card], speeds: Array, mode: str) -> Problem:
    """Records for the engine speeds (n,) [rad/s] in one of the modes.

    cards  'fuel', 'compressor' and, where the build names one, 'turbine'
    """
    ambient = ambient_air(build["ambient"])
    burned = _burned(build, cards["fuel"], ambient, speeds)
    motor = engine(build, cards["fuel"], ambient, burned, speeds)
    table = cycle_table(motor.cycle, _box(build["engine"].si("speed_limit")))
    rows = table.rows(speeds, burned.lambda_value)
    spark = spark_of(build["spark"], motor.cycle, speeds)
    surface = compressor_surface(cards["compressor"])
    wheel = _turbine(build, cards.get("turbine"))
    control = build["boost_control"]
    points = np.zeros(speeds.shape, POINT)
    fields: dict[str, float | Array] = {
        "pressure_amb": ambient.pressure,
        "temperature_amb": ambient.temperature,
        "gas_constant_air": ambient.gas_constant,
        "air": kernel_coefficients(ambient.coefficients, 0),
        "gas_constant_exhaust": burned.gas_constant,
        "exhaust_low": kernel_coefficients(burned.coefficients, 0),
        "exhaust_high": kernel_coefficients(burned.coefficients, 1),
        "fuel_air_ratio": burned.fuel_air_ratio,
        "released_heat": burned.released_heat,
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
    return Problem(
        points=points,
        maps=np.ascontiguousarray(surface.table[None, :]),
        turbines=np.ascontiguousarray(wheel.table[None, :]),
        speeds=speeds,
        ambient=ambient,
        mixture=burned,
        engine=motor,
        compressor=surface,
        turbine=wheel,
        cycle=table,
        rows=rows,
        spark=spark,
    )
