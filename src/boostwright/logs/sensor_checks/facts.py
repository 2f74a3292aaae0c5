"""What a build tells the sensor checks, in SI; everything may be left out."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.facts import Facts
from boostwright.logs.gear import GearFacts

__all__ = ["SensorFacts", "SpeedLines"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class SpeedLines:
    """Readings of a compressor's map, flat.

    speed, flow         (n,) corrected speed [rad/s] and corrected flow [kg/s]
    pressure_ratio      (n,) total to total
    temperature, pressure  [K], [Pa] they are corrected to
    allowance           95 % half-width of the speed a map gives for a flow and a pressure ratio, share
    """

    speed: Array
    flow: Array
    pressure_ratio: Array
    temperature: float = 298.15
    pressure: float = 100e3
    allowance: float = 0.06


@dataclass(frozen=True)
class SensorFacts:
    """A car as the checks need it.

    displacement          [m3], None where no build says it
    stoichiometric_ratio  air-fuel ratio at lambda 1
    barometer             [Pa] station pressure the build was made for; another day may differ
    full_scale            channel -> highest reading it can show [SI]
    tolerance             channel -> the user's own half-width [SI]
    blades                blades the speed sensor was told to count, None where not said
    speed_lines           the compressor's map
    spark_ignited         False for a diesel: lean at load is sound there
    car                   what the derived quantities know of it: filling, injectors, bores; None without a build
    gears                 ratios, final drive and tyre
    """

    displacement: float | None = None
    stoichiometric_ratio: float | None = None
    barometer: float | None = None
    full_scale: dict[str, float] = field(default_factory=dict)
    tolerance: dict[str, float] = field(default_factory=dict)
    blades: int | None = None
    speed_lines: SpeedLines | None = None
    spark_ignited: bool | None = None
    car: Facts | None = None
    gears: GearFacts = field(default_factory=GearFacts)
