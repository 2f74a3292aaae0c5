"""Air as it is breathed: dry composition, humidity, density, viscosity and conductivity."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.physics.gas.species import MOLAR_MASS
from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "DRY_AIR",
    "density_ideal_gas",
    "dew_point_magnus_alduchov_eskridge",
    "dew_point_wagner_pruss",
    "dry_pressure",
    "humid_air",
    "humid_air_mole_fractions",
    "humidity_ratio",
    "relative_humidity_from_wet_bulb",
    "saturation_pressure_magnus_alduchov_eskridge",
    "saturation_pressure_wagner_pruss",
    "thermal_conductivity_power_law",
    "vapour_pressure",
    "viscosity_lemmon_jacobsen",
    "viscosity_sutherland",
]

# Mole fractions in the order N2, O2, Ar, CO2, H2O, CO, H2. Carbon dioxide (0.0004) is counted with the
# argon: it neither burns nor changes a property within the accuracy asked here.
DRY_AIR: NDArray[np.float64] = np.array([0.7808, 0.2095, 0.0097, 0.0, 0.0, 0.0, 0.0])
_DRY_AIR_MOLAR_MASS = float(DRY_AIR @ MOLAR_MASS)
_WATER_OVER_AIR = float(MOLAR_MASS[4]) / _DRY_AIR_MOLAR_MASS

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)
_SOME_AIR = {
    "a vapour pressure below the total": lambda vapour_pressure, pressure: vapour_pressure < pressure
}


@relation(
    source="alduchov-eskridge-1996",
    status="from memory",
    domain={"temperature": Interval(31.0)},
    valid={"temperature": Interval(233.15, 323.15)},
)
def saturation_pressure_magnus_alduchov_eskridge(temperature: Number) -> Number:
    """Saturation vapour pressure over liquid water, Magnus form.

    temperature  (...,)  [K]  fitted from 233.15 to 323.15
    Returns (...,) [Pa]. Raises OutOfDomain near the pole of the formula, below 31 K.
    Source: Alduchov and Eskridge, J. Appl. Meteorol. 35 (1996) 601, from memory; within 0.4 % of IAPWS."""
    celsius = temperature - 273.15
    result: Number = 610.94 * np.exp(17.625 * celsius / (celsius + 243.04))
    return result


@relation(
    source="wagner-pruss-1993",
    status="from memory",
    domain={"temperature": Interval(0.0, 647.096, open_low=True)},
    valid={"temperature": Interval(273.16, 647.096)},
)
def saturation_pressure_wagner_pruss(temperature: Number) -> Number:
    """Saturation vapour pressure over liquid water, IAPWS supplementary release SR1-86.

    temperature  (...,)  [K]  from the triple point 273.16 to the critical point 647.096
    Returns (...,) [Pa]. Raises OutOfDomain above the critical point.
    Source: Wagner and Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783, eq. 1, from memory."""
    tau = 1.0 - temperature / 647.096
    root = np.sqrt(tau)
    series = tau * (
        -7.85951783
        + 1.84408259 * root
        + tau * tau * (-11.7866497 + 22.6807411 * root + tau * (-15.9618719 + 1.80122502 * tau**3 * root))
    )
    result: Number = 22.064e6 * np.exp(647.096 / temperature * series)
    return result


@relation(
    source="alduchov-eskridge-1996",
    status="from memory",
    domain={"vapour_pressure": _ABOVE_ZERO},
    valid={"vapour_pressure": Interval(19.0, 12360.0)},
)
def dew_point_magnus_alduchov_eskridge(vapour_pressure: Number) -> Number:
    """Dew point over liquid water, the Magnus form inverted.

    vapour_pressure  (...,)  [Pa]  partial pressure of the water vapour
    Returns (...,) [K]. Raises OutOfDomain for a pressure not above 0.
    Source: Alduchov and Eskridge, J. Appl. Meteorol. 35 (1996) 601, from memory."""
    log_ratio = np.log(vapour_pressure / 610.94)
    result: Number = 273.15 + 243.04 * log_ratio / (17.625 - log_ratio)
    return result


@relation(
    source="wagner-pruss-1993",
    status="from memory",
    domain={"vapour_pressure": Interval(1.0, 22.064e6)},
    valid={"vapour_pressure": Interval(611.657, 22.064e6)},
)
def dew_point_wagner_pruss(vapour_pressure: Number) -> Number:
    """Dew point over liquid water, the inverse of saturation_pressure_wagner_pruss.

    vapour_pressure  (...,)  [Pa]  partial pressure of the water vapour, from the triple point 611.657
    Returns (...,) [K]. Raises OutOfDomain below 1 Pa and above the critical pressure.
    Source: Wagner and Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783, eq. 1, from memory; four Newton steps on the
    logarithm of pressure from the Magnus form, exact to 1e-6 K up to 640 K. The Magnus form alone stands up to 0.04 K
    off from 0 to 50 degC."""
    log_ratio = np.log(vapour_pressure / 610.94)
    t = np.minimum(273.15 + 243.04 * log_ratio / (17.625 - log_ratio), 646.0)
    wanted = np.log(vapour_pressure / 22.064e6)
    for _ in range(4):
        tau = 1.0 - t / 647.096
        root = np.sqrt(tau)
        inner = -11.7866497 + 22.6807411 * root + tau * (-15.9618719 + 1.80122502 * tau**3 * root)
        series = tau * (-7.85951783 + 1.84408259 * root + tau * tau * inner)
        slope = (
            -7.85951783
            + 2.76612389 * root
            + tau * tau * (-35.3599491 + 79.3825939 * root + tau * (-63.8474876 + 13.5091877 * tau**3 * root))
        )
        off = 647.096 / t * series - wanted
        t = np.minimum(t + off * t / (647.096 / t * series + slope), 647.0)
    result: Number = t
    return result


@relation(
    source="definition",
    status="definition",
    domain={"relative_humidity": Interval(0.0, 1.0), "saturation_pressure": _ABOVE_ZERO},
)
def vapour_pressure(relative_humidity: Number, saturation_pressure: Number) -> Number:
    """Partial pressure of water vapour in humid air.

    relative_humidity    (...,)  [-]   0 to 1
    saturation_pressure  (...,)  [Pa]  over liquid water at the temperature of the air
    Returns (...,) [Pa]. Raises OutOfDomain outside the ranges given.
    Source: definition of relative humidity."""
    return relative_humidity * saturation_pressure


@relation(
    source="definition",
    status="definition",
    domain={"pressure": _ABOVE_ZERO, "vapour_pressure": _NOT_NEGATIVE},
    needs=_SOME_AIR,
)
def dry_pressure(pressure: Number, vapour_pressure: Number) -> Number:
    """Partial pressure of the dry air in humid air, which power correction and combustion ask for.

    pressure         (...,)  [Pa]  barometric, absolute: the station's own, never reduced to sea level
    vapour_pressure  (...,)  [Pa]  partial pressure of the water vapour, below the total
    Returns (...,) [Pa]. Raises OutOfDomain outside the ranges given.
    Source: Dalton's law."""
    return pressure - vapour_pressure


@relation(
    source="definition",
    status="definition",
    domain={"pressure": _ABOVE_ZERO, "vapour_pressure": _NOT_NEGATIVE},
    needs=_SOME_AIR,
)
def humidity_ratio(pressure: Number, vapour_pressure: Number) -> Number:
    """Mass of water per mass of dry air, ideal gases.

    pressure         (...,)  [Pa]  total, absolute
    vapour_pressure  (...,)  [Pa]  partial pressure of the water vapour, below the total
    Returns (...,) [kg/kg]. Raises OutOfDomain outside the ranges given.
    Source: Dalton's law; molar masses as in the mixture data. Real-gas tables stand 0.5 % higher."""
    return _WATER_OVER_AIR * vapour_pressure / (pressure - vapour_pressure)


@relation(
    source="definition",
    status="definition",
    domain={"pressure": _ABOVE_ZERO, "vapour_pressure": _NOT_NEGATIVE},
    needs=_SOME_AIR,
)
def humid_air_mole_fractions(pressure: Number, vapour_pressure: Number) -> NDArray[np.float64]:
    """Mole fractions of humid air.

    pressure         (...,)  [Pa]  total, absolute
    vapour_pressure  (...,)  [Pa]  partial pressure of the water vapour, below the total
    Returns (..., 7) [-] in the order of species.SPECIES. Raises OutOfDomain outside the ranges given.
    Source: Dalton's law; dry air 78.08 % N2, 20.95 % O2, 0.97 % Ar with the rest (any handbook)."""
    water = np.asarray(vapour_pressure / pressure, dtype=float)[..., None]
    only_water = np.array([0.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0])
    return np.asarray(DRY_AIR * (1.0 - water) + only_water * water)


@relation(
    source="definition",
    status="definition",
    domain={"pressure": _NOT_NEGATIVE, "temperature": _ABOVE_ZERO, "gas_constant": _ABOVE_ZERO},
)
def density_ideal_gas(pressure: Number, temperature: Number, gas_constant: Number) -> Number:
    """Density of an ideal gas.

    pressure      (...,)  [Pa]        absolute; static for the static density
    temperature   (...,)  [K]         static for the static density
    gas_constant  (...,)  [J/(kg K)]  specific gas constant
    Returns (...,) [kg/m3]. Raises OutOfDomain outside the ranges given.
    Source: definition."""
    return pressure / (gas_constant * temperature)


@relation(
    source="us-standard-atmosphere-1976",
    status="from memory",
    domain={"temperature": _ABOVE_ZERO},
    valid={"temperature": Interval(100.0, 650.0)},
)
def viscosity_sutherland(temperature: Number) -> Number:
    """Dynamic viscosity of air, the form that probe and pipe correlations were written with.

    temperature  (...,)  [K]  within 2 % up to 600; low by 3 % at 800 and 5 % at 1200
    Returns (...,) [Pa s]. Raises OutOfDomain for a temperature not above 0.
    Source: US Standard Atmosphere 1976, eq. 51, from memory."""
    return 1.458e-6 * temperature**1.5 / (temperature + 110.4)


@relation(
    source="lemmon-jacobsen-2004",
    status="from memory",
    domain={"temperature": _ABOVE_ZERO},
    valid={"temperature": Interval(200.0, 2000.0)},
)
def viscosity_lemmon_jacobsen(temperature: Number) -> Number:
    """Dynamic viscosity of air at low pressure; used for exhaust too, whose own is within a few per cent.

    temperature  (...,)  [K]  200 to 2000
    Returns (...,) [Pa s]. Raises OutOfDomain for a temperature not above 0.
    Source: Lemmon and Jacobsen, Int. J. Thermophys. 25 (2004) 21, dilute-gas part, constants from memory."""
    log_t = np.log(temperature / 103.3)
    inner = 0.08406 + log_t * (0.005341 - 0.00331 * log_t)
    collision = np.exp(0.431 + log_t * (-0.4623 + log_t * inner))
    result: Number = 0.0266958e-6 * np.sqrt(28.9586 * temperature) / (0.36**2 * collision)
    return result


@relation(
    source="own-work",
    status="own estimate",
    domain={"temperature": _ABOVE_ZERO},
    valid={"temperature": Interval(250.0, 1200.0)},
)
def thermal_conductivity_power_law(temperature: Number) -> Number:
    """Thermal conductivity of air; used for exhaust too.

    temperature  (...,)  [K]  250 to 1200
    Returns (...,) [W/(m K)]. Raises OutOfDomain for a temperature not above 0.
    Source: power law fitted by us, within 2 % of Lemmon and Jacobsen (2004) from 250 to 1200 K."""
    return 0.0264 * (temperature / 300.0) ** 0.78


@relation(
    source="ashrae-2017",
    status="from memory",
    domain={"temperature": _ABOVE_ZERO, "wet_bulb_temperature": _ABOVE_ZERO, "pressure": _ABOVE_ZERO},
    valid={"wet_bulb_temperature": Interval(273.16, 323.15)},
    needs={
        "a wet bulb not above the dry one": lambda wet_bulb_temperature, temperature: (
            wet_bulb_temperature <= temperature
        )
    },
)
def relative_humidity_from_wet_bulb(
    temperature: Number, wet_bulb_temperature: Number, pressure: Number
) -> Number:
    """Relative humidity from the two thermometers of a psychrometer, above freezing.

    temperature           (...,)  [K]   dry bulb
    wet_bulb_temperature  (...,)  [K]   thermodynamic wet bulb, not above the dry bulb
    pressure              (...,)  [Pa]  total, absolute
    Returns (...,) [-]. Raises OutOfDomain for an argument not above 0.
    Source: ASHRAE Fundamentals 2017, chapter 1, eq. 33, from memory; saturation after Magnus."""
    dry = temperature - 273.15
    wet = wet_bulb_temperature - 273.15
    saturated_wet = 610.94 * np.exp(17.625 * wet / (wet + 243.04))
    saturated_dry = 610.94 * np.exp(17.625 * dry / (dry + 243.04))
    ratio_wet = 0.621945 * saturated_wet / (pressure - saturated_wet)
    ratio = ((2501.0 - 2.326 * wet) * ratio_wet - 1.006 * (dry - wet)) / (2501.0 + 1.86 * dry - 4.186 * wet)
    result: Number = pressure * ratio / (0.621945 + ratio) / saturated_dry
    return result


def humid_air(pressure: Number, temperature: Number, relative_humidity: Number) -> NDArray[np.float64]:
    """Mole fractions of humid air from what a weather station shows.

    pressure           (...,)  [Pa]  barometric, absolute
    temperature        (...,)  [K]   of the air, 273.16 and above; below it the Magnus form is used
    relative_humidity  (...,)  [-]   0 to 1
    Returns (..., 7) [-] in the order of species.SPECIES. Raises OutOfDomain outside the ranges given.
    Source: saturation after Wagner and Pruss (1993) above freezing, Alduchov and Eskridge (1996) below."""
    warm = np.maximum(temperature, 273.16)
    saturated = np.where(
        np.asarray(temperature) < 273.16,
        saturation_pressure_magnus_alduchov_eskridge(temperature),
        saturation_pressure_wagner_pruss(warm),
    )
    vapour = vapour_pressure(relative_humidity, saturated)
    return np.asarray(humid_air_mole_fractions(pressure, vapour))
