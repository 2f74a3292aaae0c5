"""Similarity of centrifugal compressors: head, work and flow coefficients, choking, scaling in size."""

from __future__ import annotations

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "HEAT_CAPACITY_AIR",
    "HEAT_CAPACITY_RATIO_AIR",
    "choked_flow_ratio",
    "density_ratio_over_wheel",
    "flow_coefficient",
    "head_coefficient",
    "isentropic_head",
    "pressure_ratio_of_head",
    "scaled_flow",
    "scaled_speed",
    "tip_speed",
]

HEAT_CAPACITY_RATIO_AIR = 1.4
"""Heat capacity ratio with which measured maps are reduced and restored."""
HEAT_CAPACITY_AIR = 287.05 * 1.4 / 0.4
"""Specific heat capacity [J/(kg K)] that goes with it, 1004.675."""

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)


@relation(
    source="definition",
    status="definition",
    domain={"pressure_ratio": _ABOVE_ZERO, "temperature_in": _ABOVE_ZERO},
)
def isentropic_head(pressure_ratio: Number, temperature_in: Number) -> Number:
    """Isentropic work of compressing air of constant heat capacity (1004.675 J/(kg K), ratio 1.4).

    pressure_ratio  (...,)  [-]  total to total, > 0; below 1 the head is negative
    temperature_in  (...,)  [K]  total, > 0
    Returns (...,) [J/kg]. Raises OutOfDomain outside those domains.
    Source: definition of isentropic work of an ideal gas (any text)."""
    result: Number = 1004.675 * temperature_in * (pressure_ratio ** (1.0 / 3.5) - 1.0)
    return result


@relation(
    source="definition",
    status="definition",
    domain={"temperature_in": _ABOVE_ZERO},
    needs={
        "a head above -1004.675 x temperature_in": lambda head, temperature_in: (
            head > -1004.675 * temperature_in
        )
    },
)
def pressure_ratio_of_head(head: Number, temperature_in: Number) -> Number:
    """Pressure ratio that an isentropic head gives; inverse of ``isentropic_head``.

    head            (...,)  [J/kg]  above -1004.675 x temperature_in
    temperature_in  (...,)  [K]     total, > 0
    Returns (...,) [-]. Raises OutOfDomain for a temperature that is not above zero and a head below that.
    Source: definition of isentropic work of an ideal gas (any text)."""
    result: Number = (1.0 + head / (1004.675 * temperature_in)) ** 3.5
    return result


@relation(
    source="definition", status="definition", domain={"speed": _NOT_NEGATIVE, "wheel_diameter": _ABOVE_ZERO}
)
def tip_speed(speed: Number, wheel_diameter: Number) -> Number:
    """Blade speed at the exit diameter of the wheel.

    speed           (...,)  [rad/s]  >= 0
    wheel_diameter  (...,)  [m]      exit (exducer) diameter, > 0
    Returns (...,) [m/s]. Raises OutOfDomain outside those domains.
    Source: definition."""
    return 0.5 * speed * wheel_diameter


@relation(source="definition", status="definition", domain={"tip_speed": _ABOVE_ZERO})
def head_coefficient(head: Number, tip_speed: Number) -> Number:
    """Head (or work) coefficient: specific work over the square of the tip speed.

    head       (...,)  [J/kg]  isentropic head, or actual work for the work coefficient
    tip_speed  (...,)  [m/s]   > 0
    Returns (...,) [-]. Raises OutOfDomain for a tip speed that is not above zero.
    Some texts divide by half the square; that number is twice this one.
    Source: definition (e.g. Dixon and Hall, Fluid Mechanics and Thermodynamics of Turbomachinery)."""
    return head / (tip_speed * tip_speed)


@relation(
    source="definition",
    status="definition",
    domain={"density_in": _ABOVE_ZERO, "wheel_diameter": _ABOVE_ZERO, "tip_speed": _ABOVE_ZERO},
)
def flow_coefficient(
    mass_flow: Number, density_in: Number, wheel_diameter: Number, tip_speed: Number
) -> Number:
    """Global flow coefficient: mass flow over inlet total density, diameter squared and tip speed.

    mass_flow       (...,)  [kg/s]
    density_in      (...,)  [kg/m3]  from inlet total pressure and temperature, > 0
    wheel_diameter  (...,)  [m]      exit diameter, > 0
    tip_speed       (...,)  [m/s]    > 0
    Returns (...,) [-]. Raises OutOfDomain outside those domains. Texts that put the disc area below get 4/pi
                   times it.
    Source: definition (e.g. Casey and Robinson, J. Turbomach. 135 (2013) 021034, from memory)."""
    return mass_flow / (density_in * wheel_diameter * wheel_diameter * tip_speed)


@relation(source="dixon-hall-2014", status="from memory", domain={"inlet_mach_squared": _NOT_NEGATIVE})
def choked_flow_ratio(inlet_mach_squared: Number) -> Number:
    """How the choked flow of a rotating inlet throat grows with blade speed, 2/2.4 cubed at rest.

    inlet_mach_squared  (...,)  [-]  (mean blade speed at the inlet / speed of sound of the inlet total
                                     state)^2, >= 0
    Returns (...,) [-], choked flow over inlet total density, speed of sound and throat area.
    Raises OutOfDomain for a negative argument. Heat capacity ratio 1.4; no swirl ahead of the wheel.
    Source: Dixon and Hall, Fluid Mechanics and Thermodynamics of Turbomachinery, choking of a centrifugal
    compressor's impeller, from memory: ((2 + (k - 1) M^2)/(k + 1))^((k + 1)/(2 (k - 1)))."""
    result: Number = ((2.0 + 0.4 * inlet_mach_squared) / 2.4) ** 3.0
    return result


@relation(
    source="definition",
    status="definition",
    domain={"head": _NOT_NEGATIVE, "work": _NOT_NEGATIVE, "temperature_in": _ABOVE_ZERO},
)
def density_ratio_over_wheel(head: Number, work: Number, temperature_in: Number) -> Number:
    """Total density after over total density before compression.

    head            (...,)  [J/kg]  isentropic, >= 0
    work            (...,)  [J/kg]  actual, >= 0
    temperature_in  (...,)  [K]     total
    Returns (...,) [-]. Raises OutOfDomain for negative work or a temperature not above zero.
    Source: ideal gas, definition of head and work."""
    enthalpy = 1004.675 * temperature_in
    result: Number = (1.0 + head / enthalpy) ** 3.5 / (1.0 + work / enthalpy)
    return result


@relation(source="definition", status="definition", domain={"scale": _ABOVE_ZERO})
def scaled_flow(mass_flow: Number, scale: Number) -> Number:
    """Corrected flow of a geometrically similar compressor at the same tip speed.

    mass_flow  (...,)  [kg/s]  of the original
    scale      (...,)  [-]     wheel diameter over the original's, > 0
    Returns (...,) [kg/s]. Raises OutOfDomain for a scale that is not above zero. Losses of small wheels
    (clearance, Reynolds number) are not in it: efficiency does not stay when a large wheel is made small.
    Source: similarity, flow coefficient and tip Mach number held."""
    return mass_flow * scale * scale


@relation(source="definition", status="definition", domain={"scale": _ABOVE_ZERO})
def scaled_speed(speed: Number, scale: Number) -> Number:
    """Corrected shaft speed of a geometrically similar compressor at the same tip speed.

    speed  (...,)  [rad/s]  of the original
    scale  (...,)  [-]      wheel diameter over the original's, > 0
    Returns (...,) [rad/s]. Raises OutOfDomain for a scale that is not above zero.
    Source: similarity, tip Mach number held."""
    return speed / scale
