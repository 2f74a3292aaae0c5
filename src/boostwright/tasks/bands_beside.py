"""What stands beside a prediction, sample by sample: fuel system, wheels, and weather corrections by name."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.cards.card import Card
from boostwright.components.driveline import has_driveline, wheel_power
from boostwright.components.fuel_blend import fuel_card
from boostwright.components.fuel_system import (
    FuelDemand,
    has_injectors,
    has_pump,
    injector_figures,
    pump_figures,
)
from boostwright.solve.uncertainty.sampled import Sampled
from boostwright.solve.uncertainty.shifted import Shifter

__all__ = ["beside_of_samples"]

Array = NDArray[np.float64]


def beside_of_samples(build: Build, cards: Mapping[str, Card], found: Sampled) -> dict[str, Array]:
    """Quantities (samples, speeds) of the fuel system and at the wheels, where the build describes them."""
    injectors, wheels = has_injectors(build["fuel_system"]), has_driveline(build["driveline"])
    if not injectors and not wheels:
        return {}
    out: dict[str, Array] = {}
    blended = any(doubt.name == "fuel.blend_share" for doubt in found.doubts)
    reading = [column for column, doubt in enumerate(found.doubts) if doubt.key and doubt.key[0] in _READ]
    shifter = Shifter(build, [found.doubts[column] for column in reading])
    for i, row in enumerate(found.shifts[:, reading]):
        one = shifter.build(row)
        q = {name: found.quantities[name][i] for name in _NEEDED}
        fuel = fuel_card(one) if blended else cards["fuel"]
        figures = _fuel(one, fuel, q) if injectors else {}
        if wheels:
            power = wheel_power(one["driveline"], q["power"], q["engine_speed"])
            figures |= {"power_wheel": power, "torque_wheel": power / q["engine_speed"]}
        for name, values in figures.items():
            out.setdefault(name, np.full(found.steady.shape, np.nan))[i] = values
    return out


_READ = ("ambient", "fuel", "fuel_system", "driveline")  # sections that these figures hang on
_NEEDED = ("mass_flow_fuel", "engine_speed", "pressure_im", "pressure_amb", "power")


def _fuel(build: Build, fuel: Card, q: Mapping[str, Array]) -> dict[str, Array]:
    section = build["fuel_system"]
    demand = FuelDemand(
        q["mass_flow_fuel"], fuel.si("density"), q["engine_speed"], q["pressure_im"], q["pressure_amb"]
    )
    figures = injector_figures(section, demand)
    return figures | pump_figures(section, demand) if has_pump(section) else figures
