"""Heat from the gas to the cylinder walls: coefficients by author, gas speed, wall area.

The coefficients are means over the chamber, fitted to heat balances of engines that were not this one: a
factor of 0.7 to 1.4 on either is ordinary.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "cylinder_wall_area",
    "gas_velocity_woschni",
    "nusselt_taylor_toong",
    "wall_heat_hohenberg",
    "wall_heat_woschni",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)


@relation(
    source="woschni-1967",
    status="read second-hand",
    domain={
        "bore": _ABOVE_ZERO,
        "pressure": _ABOVE_ZERO,
        "temperature": _ABOVE_ZERO,
        "gas_velocity": _NOT_NEGATIVE,
    },
)
def wall_heat_woschni(bore: Number, pressure: Number, temperature: Number, gas_velocity: Number) -> Number:
    """Heat transfer coefficient after Woschni.

    bore          (...,)  [m]
    pressure      (...,)  [Pa]   in the cylinder, absolute
    temperature   (...,)  [K]    mean of the gas
    gas_velocity  (...,)  [m/s]  from gas_velocity_woschni
    Returns (...,) [W/(m2 K)]. Raises OutOfDomain outside the ranges given.
    Source: Woschni, SAE 670931: 3.26 B^-0.2 p^0.8 T^-0.55 w^0.8 with p in kPa; constants read second-hand."""
    result: Number = 3.26 * bore**-0.2 * (pressure * 1e-3) ** 0.8 * temperature**-0.55 * gas_velocity**0.8
    return result


@relation(
    source="woschni-1967",
    status="read second-hand",
    domain={
        "mean_piston_speed": _NOT_NEGATIVE,
        "displacement": _NOT_NEGATIVE,
        "temperature_reference": _ABOVE_ZERO,
        "pressure_reference": _ABOVE_ZERO,
        "volume_reference": _ABOVE_ZERO,
        "piston_speed_factor": _NOT_NEGATIVE,
        "combustion_factor": _NOT_NEGATIVE,
    },
)
def gas_velocity_woschni(
    mean_piston_speed: Number,
    displacement: Number,
    temperature_reference: Number,
    pressure_reference: Number,
    volume_reference: Number,
    pressure_excess: Number,
    piston_speed_factor: Number,
    combustion_factor: Number,
) -> Number:
    """Gas velocity of Woschni's coefficient.

    mean_piston_speed      (...,)  [m/s]
    displacement           (...,)  [m3]       of one cylinder
    temperature_reference  (...,)  [K]        of the charge at intake closing
    pressure_reference     (...,)  [Pa]       of the charge at intake closing
    volume_reference       (...,)  [m3]       at intake closing
    pressure_excess        (...,)  [Pa]       pressure over that of the same cycle without burning
    piston_speed_factor    (...,)  [-]        2.28 with closed valves, 6.18 during gas exchange
    combustion_factor      (...,)  [m/(s K)]  3.24e-3 while burning and expanding, else 0
    Returns (...,) [m/s]. Raises OutOfDomain outside the ranges given.
    Source: Woschni, SAE 670931; 3.24e-3 read second-hand, 2.28 and 6.18 from memory."""
    heated = displacement * temperature_reference / (pressure_reference * volume_reference)
    return piston_speed_factor * mean_piston_speed + combustion_factor * heated * pressure_excess


@relation(
    source="hohenberg-1979",
    status="from memory",
    domain={
        "volume": _ABOVE_ZERO,
        "pressure": _ABOVE_ZERO,
        "temperature": _ABOVE_ZERO,
        "mean_piston_speed": _NOT_NEGATIVE,
    },
)
def wall_heat_hohenberg(
    volume: Number, pressure: Number, temperature: Number, mean_piston_speed: Number
) -> Number:
    """Heat transfer coefficient after Hohenberg.

    volume             (...,)  [m3]   of the cylinder at that instant
    pressure           (...,)  [Pa]   in the cylinder, absolute
    temperature        (...,)  [K]    mean of the gas
    mean_piston_speed  (...,)  [m/s]
    Returns (...,) [W/(m2 K)]. Raises OutOfDomain outside the ranges given.
    Source: Hohenberg, SAE 790825: 130 V^-0.06 p^0.8 T^-0.4 (S_p + 1.4)^0.8 with p in bar, from memory; made
    for direct-injection diesels."""
    result: Number = (
        130.0
        * volume**-0.06
        * (pressure * 1e-5) ** 0.8
        * temperature**-0.4
        * (mean_piston_speed + 1.4) ** 0.8
    )
    return result


@relation(
    source="taylor-toong-1957",
    status="from memory",
    domain={"reynolds_number": _NOT_NEGATIVE},
    valid={"reynolds_number": Interval(1e3, 1e5)},
)
def nusselt_taylor_toong(reynolds_number: Number) -> Number:
    """Nusselt number of the heat that a whole engine gives to its coolant, over the piston's area; for comparison.

    reynolds_number  (...,)  [-]  4 (flow of charge a cylinder)/(pi bore viscosity), mean over the cycle
    Returns (...,) [-]: coolant heat of a cylinder over piston area, mean gas temperature less that of the coolant, and
    conductivity over bore. Raises OutOfDomain outside the ranges given.
    Source: Taylor and Toong (1957), 10.4 Re^0.75 through many engines, petrol and diesel, 2 and 4 strokes; exhaust
    ports are in it, the oil's own cooler is not; from memory of Heywood (1988) section 12.4. The mean gas temperature
    that goes with it is 700 K at lambda 1 and 300 K in the intake, and 0.35 K more for each kelvin there."""
    result: Number = 10.4 * reynolds_number**0.75
    return result


@relation(
    source="definition",
    status="definition",
    domain={"bore": _ABOVE_ZERO, "height": _NOT_NEGATIVE, "head_area_factor": _NOT_NEGATIVE},
)
def cylinder_wall_area(bore: Number, height: Number, head_area_factor: Number) -> Number:
    """Area of piston crown, head and bared liner.

    bore              (...,)  [m]
    height            (...,)  [m]  volume of the cylinder over the area of its bore
    head_area_factor  (...,)  [-]  area of the head over that of the bore
    Returns (...,) [m2]. Raises OutOfDomain outside the ranges given.
    Source: geometry; the chamber's volume counts as a piece of liner."""
    return 0.25 * np.pi * bore**2 * (1.0 + head_area_factor) + np.pi * bore * height
