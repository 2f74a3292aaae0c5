"""How the charge burns: the Wiebe function, its inverses, and how long burning takes at another state.

Angles are crank angles in radians; a progress is an angle after ignition over the burn duration. The Wiebe
function never ends: at progress 1 the share exp(-a) is still unburned, and burning goes on beyond.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "burn_duration_hires",
    "burn_progress_wiebe",
    "burn_speed_factor",
    "burn_start_wiebe",
    "burned_fraction_wiebe",
    "laminar_burning_velocity_rhodes_keck",
    "viscosity_ratio_in_cylinder",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)
_SHARE = Interval(0.0, 1.0, open_high=True)
_RPM = np.pi / 30.0
_TURNS = 3800.0 * _RPM  # below it a burn lengthens nearly with the cube root of speed


@relation(
    source="heywood-1988",
    status="from memory",
    domain={"burn_duration": _ABOVE_ZERO, "wiebe_factor": _ABOVE_ZERO, "wiebe_exponent": _NOT_NEGATIVE},
)
def burned_fraction_wiebe(
    crank_angle: Number,
    burn_start: Number,
    burn_duration: Number,
    wiebe_factor: Number,
    wiebe_exponent: Number,
) -> Number:
    """Mass fraction burned at a crank angle.

    crank_angle     (...,)  [rad]  after top dead centre
    burn_start      (...,)  [rad]  after top dead centre; nothing is burned before
    burn_duration   (...,)  [rad]  at whose end all but exp(-wiebe_factor) is burned
    wiebe_factor    (...,)  [-]    a, usually 5
    wiebe_exponent  (...,)  [-]    m, usually 2
    Returns (...,) [-], 0 to 1. Raises OutOfDomain outside the ranges given.
    Source: Heywood (1988) chapter 9, x = 1 - exp(-a y^(m+1)), from memory."""
    progress = np.maximum(crank_angle - burn_start, 0.0) / burn_duration
    result: Number = -np.expm1(-wiebe_factor * progress ** (wiebe_exponent + 1.0))
    return result


@relation(
    source="heywood-1988",
    status="from memory",
    domain={"burned_fraction": _SHARE, "wiebe_factor": _ABOVE_ZERO, "wiebe_exponent": _NOT_NEGATIVE},
)
def burn_progress_wiebe(burned_fraction: Number, wiebe_factor: Number, wiebe_exponent: Number) -> Number:
    """Progress of the burn at which a mass fraction is burned: the inverse of the Wiebe function.

    burned_fraction  (...,)  [-]  0 to below 1
    wiebe_factor     (...,)  [-]  a, usually 5
    wiebe_exponent   (...,)  [-]  m, usually 2
    Returns (...,) [-], angle after ignition over burn duration. Raises OutOfDomain outside the ranges given.
    Source: Heywood (1988) chapter 9, solved for the angle, from memory."""
    result: Number = (-np.log1p(-burned_fraction) / wiebe_factor) ** (1.0 / (wiebe_exponent + 1.0))
    return result


@relation(
    source="heywood-1988",
    status="from memory",
    domain={"burn_duration": _ABOVE_ZERO, "wiebe_factor": _ABOVE_ZERO, "wiebe_exponent": _NOT_NEGATIVE},
)
def burn_start_wiebe(
    angle_half_burned: Number, burn_duration: Number, wiebe_factor: Number, wiebe_exponent: Number
) -> Number:
    """Crank angle at which the burn must start for half the charge to be burned at a given one.

    angle_half_burned  (...,)  [rad]  CA50, after top dead centre
    burn_duration      (...,)  [rad]
    wiebe_factor       (...,)  [-]    a, usually 5
    wiebe_exponent     (...,)  [-]    m, usually 2
    Returns (...,) [rad] after top dead centre. Raises OutOfDomain outside the ranges given.
    Source: Heywood (1988) chapter 9, solved for the start, from memory."""
    progress = (0.6931471805599453 / wiebe_factor) ** (1.0 / (wiebe_exponent + 1.0))
    return angle_half_burned - burn_duration * progress


@relation(
    source="rhodes-keck-1985",
    status="from memory",
    domain={
        "temperature": _ABOVE_ZERO,
        "pressure": _ABOVE_ZERO,
        "equivalence_ratio": _ABOVE_ZERO,
        "residual_fraction": _SHARE,
    },
    valid={
        "temperature": Interval(350.0, 750.0),
        "pressure": Interval(1e5, 12e5),
        "equivalence_ratio": Interval(0.7, 1.6),
        "residual_fraction": Interval(0.0, 0.3),
    },
)
def laminar_burning_velocity_rhodes_keck(
    temperature: Number, pressure: Number, equivalence_ratio: Number, residual_fraction: Number
) -> Number:
    """Laminar burning velocity of petrol with air and burned gas.

    temperature        (...,)  [K]   of the unburned charge
    pressure           (...,)  [Pa]  absolute
    equivalence_ratio  (...,)  [-]   1 over lambda
    residual_fraction  (...,)  [-]   burned gas in the charge, by mole (by mass it hardly differs)
    Returns (...,) [m/s], not below a tenth of the best: beyond 1.95 or below 0.47 the fit has no meaning.
    Raises OutOfDomain outside the ranges given.
    Source: Rhodes and Keck, SAE 850047: 30.5 - 54.9 (phi - 1.21)^2 cm/s at 298 K and 1 atm, exponents
    2.4 - 0.271 phi^3.51 and -0.357 + 0.14 phi^2.77, dilution 1 - 2.06 x^0.77; from memory of Heywood (1988)
    section 9.3. The tests went to 12 bar; an engine goes beyond."""
    phi = equivalence_ratio
    still = np.maximum(0.305 - 0.549 * (phi - 1.21) ** 2, 0.0305)
    hotter = (temperature / 298.0) ** (2.4 - 0.271 * phi**3.51)
    denser = (pressure / 101325.0) ** (-0.357 + 0.14 * phi**2.77)
    diluted = np.maximum(1.0 - 2.06 * residual_fraction**0.77, 0.1)
    result: Number = still * hotter * denser * diluted
    return result


@relation(
    source="hires-1978",
    status="from memory",
    domain={
        "reference_duration": _ABOVE_ZERO,
        "speed_ratio": _ABOVE_ZERO,
        "viscosity_ratio": _ABOVE_ZERO,
        "burning_velocity_ratio": _ABOVE_ZERO,
    },
)
def burn_duration_hires(
    reference_duration: Number, speed_ratio: Number, viscosity_ratio: Number, burning_velocity_ratio: Number
) -> Number:
    """Burn duration at another speed and another charge, in one engine.

    reference_duration      (...,)  [rad]  known at the reference state
    speed_ratio             (...,)  [-]    engine speed over that of the reference
    viscosity_ratio         (...,)  [-]    kinematic viscosity of the charge over that of the reference
    burning_velocity_ratio  (...,)  [-]    laminar burning velocity over that of the reference
    Returns (...,) [rad]. Raises OutOfDomain outside the ranges given.
    Source: Hires, Tabaczynski and Novak, SAE 780232: interval ~ (piston speed x viscosity)^(1/3) x
    (height / laminar velocity)^(2/3), from memory; the size of the eddies cancels within one engine. They
    take density at ignition and later ones apart; here one state serves."""
    return (
        reference_duration
        * (speed_ratio * viscosity_ratio) ** (1.0 / 3.0)
        * burning_velocity_ratio ** (-2.0 / 3.0)
    )


@relation(
    source="csallner-1981",
    status="from memory",
    domain={"rotational_speed": _ABOVE_ZERO},
    valid={"rotational_speed": Interval(1000.0 * _RPM, 6500.0 * _RPM)},
)
def burn_speed_factor(rotational_speed: Number) -> Number:
    """Burn duration at an engine speed over that at 2000 rpm, the charge being the same.

    rotational_speed  (...,)  [rad/s]  of the engine
    Returns (...,) [-]. Raises OutOfDomain for no speed at all.
    Source: Csallner, 1.33 - 660/N from pressure traces of petrol engines, from memory, by our own curve within 1 % from
    2000 to 6500 rpm: ((1 + 1.9^2)/(1 + (3800/N)^2))^(1/6). Slow, where 1.33 - 660/N falls to nothing, it turns into the
    cube root of speed, which Hires, Tabaczynski and Novak have throughout. Fast they part: from 2000 to 6500 rpm the
    cube root makes a burn 1.48 times as long, the traces 1.23 times. Of a flame that turbulence draws in, step by step,
    spark to 90 % becomes 1.2 to 1.4 times as long, 10 to 90 % hardly longer (studies/burn_duration)."""
    slowness = _TURNS / rotational_speed
    at_2000 = 1.0 + (_TURNS / (2000.0 * _RPM)) ** 2
    result: Number = (at_2000 / (1.0 + slowness * slowness)) ** (1.0 / 6.0)
    return result


@relation(
    source="common-practice",
    status="common practice",
    domain={"temperature_ratio": _ABOVE_ZERO, "density_ratio": _ABOVE_ZERO},
)
def viscosity_ratio_in_cylinder(temperature_ratio: Number, density_ratio: Number) -> Number:
    """Kinematic viscosity of a charge over that of a reference charge.

    temperature_ratio  (...,)  [-]  of the charge over the reference, absolute
    density_ratio      (...,)  [-]  of the charge over the reference
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: common practice, viscosity of air as the power 0.7 of temperature (within 2 % of Sutherland's
    formula from 500 to 900 K)."""
    return temperature_ratio**0.7 / density_ratio
