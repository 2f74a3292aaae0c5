"""Friction mean effective pressure by published forms. Positive is a loss.

None of them knows the oil, its temperature or the engine's state: constants of the forms are engine data. Barnes-Moss
includes pumping, the others leave it out. A turbo's oil and the fuel pump are in none of them. Friction by its places
(crankshaft, pistons, valve gear, auxiliaries) stands in ``friction_by_place``.
"""

from __future__ import annotations

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "friction_barnes_moss",
    "friction_chen_flynn",
    "friction_chen_flynn_original",
    "friction_heywood_diesel",
]

_NOT_NEGATIVE = Interval(0.0)
_PER_KILO_RPM = 0.009549296585513721  # 60 / (2 pi) / 1000


@relation(
    source="chen-flynn-1965",
    status="from memory",
    domain={"peak_pressure": _NOT_NEGATIVE, "mean_piston_speed": _NOT_NEGATIVE},
)
def friction_chen_flynn(
    peak_pressure: Number,
    mean_piston_speed: Number,
    constant: Number,
    peak_pressure_factor: Number,
    speed_factor: Number,
    speed_squared_factor: Number,
) -> Number:
    """Friction in the form constant + B p_max + C S_p + D S_p^2, without pumping.

    peak_pressure         (...,)  [Pa]       in the cylinder, absolute
    mean_piston_speed     (...,)  [m/s]
    constant              (...,)  [Pa]
    peak_pressure_factor  (...,)  [-]        0.005 usual
    speed_factor          (...,)  [Pa s/m]   0.08 bar s/m = 8000 Pa s/m met in public models, without a source
    speed_squared_factor  (...,)  [Pa s2/m2]
    Returns (...,) [Pa]. Raises OutOfDomain for a negative pressure or speed.
    Source: form of Chen and Flynn, SAE 650733 (1965), from memory; the square term is a later addition."""
    speed = mean_piston_speed
    return (
        constant
        + peak_pressure_factor * peak_pressure
        + (speed_factor + speed_squared_factor * speed) * speed
    )


@relation(
    source="chen-flynn-1965",
    status="from memory",
    domain={"peak_pressure": _NOT_NEGATIVE, "mean_piston_speed": _NOT_NEGATIVE},
)
def friction_chen_flynn_original(peak_pressure: Number, mean_piston_speed: Number) -> Number:
    """Friction of the one large diesel of the original fit, without pumping; for comparison.

    peak_pressure      (...,)  [Pa]   in the cylinder, absolute
    mean_piston_speed  (...,)  [m/s]
    Returns (...,) [Pa]. Raises OutOfDomain for a negative argument.
    Source: Chen and Flynn, SAE 650733 (1965): 0.137 + 0.005 p_max + 0.162 S_p in bar, from memory."""
    return 13700.0 + 0.005 * peak_pressure + 16200.0 * mean_piston_speed


@relation(
    source="barnes-moss-1975",
    status="read second-hand",
    domain={"rotational_speed": _NOT_NEGATIVE},
)
def friction_barnes_moss(rotational_speed: Number) -> Number:
    """Total friction of spark-ignition engines of 845 to 2000 cm3 at full throttle, pumping included.

    rotational_speed  (...,)  [rad/s]  of the engine
    Returns (...,) [Pa]. Raises OutOfDomain for a negative speed.
    Source: Barnes-Moss, IMechE C343/73 (1975); Heywood (1988) eq. 13.6; constants read second-hand."""
    kilo_rpm = rotational_speed * _PER_KILO_RPM
    return 1.0e5 * (0.97 + 0.15 * kilo_rpm + 0.05 * kilo_rpm**2)


@relation(
    source="heywood-1988",
    status="from memory",
    domain={"rotational_speed": _NOT_NEGATIVE, "mean_piston_speed": _NOT_NEGATIVE},
)
def friction_heywood_diesel(
    rotational_speed: Number, mean_piston_speed: Number, constant: Number = 75.0e3
) -> Number:
    """Motored friction of direct-injection diesels, for comparison.

    rotational_speed   (...,)  [rad/s]  of the engine
    mean_piston_speed  (...,)  [m/s]
    constant           (...,)  [Pa]     75 kPa for direct injection
    Returns (...,) [Pa]. Raises OutOfDomain for a negative speed.
    Source: Heywood (1988), eq. 13.7, from memory."""
    return constant + 48.0e3 * rotational_speed * _PER_KILO_RPM + 400.0 * mean_piston_speed**2
