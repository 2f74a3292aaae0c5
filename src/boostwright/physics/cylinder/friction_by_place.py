"""Friction mean effective pressure by its places, warm oil, without pumping. Positive is a loss.

Form and constants of Patton, Nitschke and Heywood (SAE 890836) as revised by Sandoval and Heywood (SAE 2003-01-0725),
all from memory, with their oil taken as it was (viscosity ratio 1). The sum was checked for size against Barnes-Moss
and against published shares of friction at full load; single places are known less well.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "friction_auxiliaries_sandoval_heywood",
    "friction_crankshaft_sandoval_heywood",
    "friction_gas_load_sandoval_heywood",
    "friction_pistons_sandoval_heywood",
    "friction_valve_gear_sandoval_heywood",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)
_RPM = 9.549296585513721  # 60 / (2 pi)
_LENGTHS = {"bore": _ABOVE_ZERO, "stroke": _ABOVE_ZERO, "rotational_speed": _ABOVE_ZERO}


@relation(
    source="sandoval-heywood-2003",
    status="from memory",
    domain={
        **_LENGTHS,
        "cylinder_count": _ABOVE_ZERO,
        "journal_diameter": _ABOVE_ZERO,
        "journal_length": _ABOVE_ZERO,
        "bearing_count": _ABOVE_ZERO,
    },
)
def friction_crankshaft_sandoval_heywood(
    bore: Number,
    stroke: Number,
    cylinder_count: Number,
    journal_diameter: Number,
    journal_length: Number,
    bearing_count: Number,
    rotational_speed: Number,
) -> Number:
    """Main bearings, their seals, and oil churned by the crankshaft.

    bore              (...,)  [m]
    stroke            (...,)  [m]
    cylinder_count    (...,)  [-]
    journal_diameter  (...,)  [m]      of the main bearings
    journal_length    (...,)  [m]      of one bearing
    bearing_count     (...,)  [-]
    rotational_speed  (...,)  [rad/s]  of the engine
    Returns (...,) [Pa]. Raises OutOfDomain outside the ranges given.
    Source: Sandoval and Heywood, SAE 2003-01-0725, from memory (mm, rpm, kPa there)."""
    rpm = rotational_speed * _RPM
    d, length = 1e3 * journal_diameter, 1e3 * journal_length
    swept = 1e9 * bore * bore * stroke * cylinder_count
    seals = 1.22e5 * d / swept
    bearings = 3.03e-4 * rpm * d**3 * length * bearing_count / swept
    churning = 1.35e-10 * d * d * rpm * rpm * bearing_count / cylinder_count
    return 1e3 * (seals + bearings + churning)


@relation(
    source="sandoval-heywood-2003",
    status="from memory",
    domain={
        **_LENGTHS,
        "cylinder_count": _ABOVE_ZERO,
        "crankpin_diameter": _ABOVE_ZERO,
        "crankpin_length": _ABOVE_ZERO,
        "mean_piston_speed": _NOT_NEGATIVE,
    },
)
def friction_pistons_sandoval_heywood(
    bore: Number,
    stroke: Number,
    cylinder_count: Number,
    crankpin_diameter: Number,
    crankpin_length: Number,
    rotational_speed: Number,
    mean_piston_speed: Number,
) -> Number:
    """Skirts, rings under their own tension, and big-end bearings, without gas load.

    bore               (...,)  [m]
    stroke             (...,)  [m]
    cylinder_count     (...,)  [-]      one big-end bearing each
    crankpin_diameter  (...,)  [m]
    crankpin_length    (...,)  [m]
    rotational_speed   (...,)  [rad/s]  of the engine, above 0
    mean_piston_speed  (...,)  [m/s]
    Returns (...,) [Pa]. Raises OutOfDomain outside the ranges given.
    Source: Sandoval and Heywood, SAE 2003-01-0725, from memory (mm, rpm, kPa there)."""
    rpm = rotational_speed * _RPM
    b, d, length = 1e3 * bore, 1e3 * crankpin_diameter, 1e3 * crankpin_length
    skirts = 294.0 * mean_piston_speed / b
    rings = 4.06e4 * (1.0 + 500.0 / rpm) / (b * b)
    bearings = 3.03e-4 * rpm * d**3 * length * cylinder_count / (b * b * 1e3 * stroke * cylinder_count)
    return 1e3 * (skirts + rings + bearings)


@relation(
    source="sandoval-heywood-2003",
    status="from memory",
    domain={
        "pressure_im": _ABOVE_ZERO,
        "compression_ratio": Interval(1.0, open_low=True),
        "mean_piston_speed": _NOT_NEGATIVE,
    },
    valid={"pressure_im": Interval(20e3, 105e3)},
)
def friction_gas_load_sandoval_heywood(
    pressure_im: Number, compression_ratio: Number, mean_piston_speed: Number
) -> Number:
    """Rings and skirts pressed on by the gas.

    pressure_im        (...,)  [Pa]   intake manifold, absolute
    compression_ratio  (...,)  [-]    above 1
    mean_piston_speed  (...,)  [m/s]
    Returns (...,) [Pa]. Raises OutOfDomain outside the ranges given.
    Source: Bishop's form as taken over by Patton, Nitschke and Heywood, SAE 890836, and Sandoval and Heywood, SAE
    2003-01-0725: 6.89 p_i/p_a (0.088 r + 0.182 r^(1.33 - 0.0238 S)) kPa, from memory. With boost it is carried beyond
    the engines of the source; proportional to pressure, as here, is the plain continuation."""
    power: Number = np.exp(np.log(compression_ratio) * (1.33 - 0.0238 * mean_piston_speed))
    return 6.89e3 * pressure_im / 101325.0 * (0.088 * compression_ratio + 0.182 * power)


@relation(
    source="sandoval-heywood-2003",
    status="from memory",
    domain={
        **_LENGTHS,
        "cylinder_count": _ABOVE_ZERO,
        "valve_count": _ABOVE_ZERO,
        "full_lift": _NOT_NEGATIVE,
        "cam_bearing_count": _ABOVE_ZERO,
    },
)
def friction_valve_gear_sandoval_heywood(
    bore: Number,
    stroke: Number,
    cylinder_count: Number,
    valve_count: Number,
    full_lift: Number,
    cam_bearing_count: Number,
    rotational_speed: Number,
) -> Number:
    """Camshafts and flat tappets that sit on the valves (double overhead camshaft, direct acting).

    bore               (...,)  [m]
    stroke             (...,)  [m]
    cylinder_count     (...,)  [-]
    valve_count        (...,)  [-]      intake and exhaust valves of a cylinder
    full_lift          (...,)  [m]      of a valve
    cam_bearing_count  (...,)  [-]
    rotational_speed   (...,)  [rad/s]  of the engine, above 0
    Returns (...,) [Pa]. Raises OutOfDomain outside the ranges given.
    Source: Sandoval and Heywood, SAE 2003-01-0725, with their constants for direct acting tappets (200, 0.5, 10.7),
    from memory. Other valve gears have others, up to about double."""
    rpm = rotational_speed * _RPM
    b, s, lift = 1e3 * bore, 1e3 * stroke, 1e3 * full_lift
    bearings = 4.12 + 244.0 * rpm * cam_bearing_count / (b * b * s * cylinder_count)
    slow = 1.0 + 500.0 / rpm
    flat = 200.0 * slow * valve_count / s
    oil = 0.5 * (lift * np.sqrt(lift)) * np.sqrt(rpm) * valve_count / (b * s)
    mixed = 10.7 * slow * lift * valve_count / s
    return 1e3 * (bearings + flat + oil + mixed)


@relation(
    source="sandoval-heywood-2003",
    status="from memory",
    domain={"rotational_speed": _NOT_NEGATIVE},
)
def friction_auxiliaries_sandoval_heywood(rotational_speed: Number) -> Number:
    """Oil pump, water pump and an alternator that charges nothing.

    rotational_speed  (...,)  [rad/s]  of the engine
    Returns (...,) [Pa]. Raises OutOfDomain for a negative speed.
    Source: Sandoval and Heywood, SAE 2003-01-0725: 8.32 + 0.00186 N + 7.45e-7 N^2 kPa, from memory."""
    rpm = rotational_speed * _RPM
    return 1e3 * (8.32 + 1.86e-3 * rpm + 7.45e-7 * rpm * rpm)
