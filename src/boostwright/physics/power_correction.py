"""Correction of measured brake power to a reference atmosphere, by the name of the standard.

For naturally aspirated engines. An engine that holds its manifold pressure absolute compensates for the
weather by itself: its honest factor is 1, and these formulas overstate its power at altitude. Quote raw
figures first. There is no engine factor for spark ignition: ``correction_compression_ignition`` exists to
show what it belongs to. Temperatures are in kelvin. The metric standards add 273 to degrees Celsius and divide by 298
or 293: for these convert with 273, not 273.15 (the difference is 0.0003 in the factor). J607 adds 460 to degrees
Fahrenheit and does so inside: give it true kelvin.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "FACTOR_LIMITS",
    "correction_compression_ignition",
    "correction_din_70020",
    "correction_iso_1585",
    "correction_j607",
    "correction_j1349",
    "correction_j1349_exact",
    "correction_jis_d_1001",
    "engine_factor_compression_ignition",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_DOMAIN = {"dry_pressure": _ABOVE_ZERO, "temperature": _ABOVE_ZERO}
# 90-105 kPa and 15-35 degC; the standard adds 273
_J1349_RANGE = {"dry_pressure": Interval(90.0e3, 105.0e3), "temperature": Interval(288.0, 308.15)}

FACTOR_LIMITS: Mapping[str, Interval] = MappingProxyType(
    {
        "correction_iso_1585": Interval(0.93, 1.07),
        "correction_compression_ignition": Interval(0.9, 1.1),
    }
)
"""Factors outside which the standard itself calls the test not valid, by name of the relation (limits of ISO 1585
and UN R85: the second read in an engine maker's manual, the first from memory). No other standard here states any
that is confirmed."""


@relation(source="sae-j1349", status="read", domain=_DOMAIN, valid=_J1349_RANGE)
def correction_j1349(dry_pressure: Number, temperature: Number) -> Number:
    """Factor of SAE J1349 in its printed form, friction taken as 15 % of indicated power.

    dry_pressure  (...,)  [Pa]  barometric less vapour pressure; 90 to 105 kPa (stated for the total)
    temperature   (...,)  [K]   of the inlet air, degC + 273; 15 to 35 degC
    Returns (...,) [-] on brake power. Raises OutOfDomain for an argument not above 0.
    Source: SAE J1349 JUN90 as quoted publicly (formula read); limits of AUG2004 read second-hand."""
    result: Number = 1.180 * (99.0e3 / dry_pressure) * np.sqrt(temperature / 298.0) - 0.180
    return result


@relation(source="sae-j1349", status="read", domain=_DOMAIN, valid=_J1349_RANGE)
def correction_j1349_exact(dry_pressure: Number, temperature: Number) -> Number:
    """Factor of SAE J1349 before rounding: (A - 0.15)/0.85; within 0.0006 of the printed form.

    dry_pressure  (...,)  [Pa]  barometric less vapour pressure; 90 to 105 kPa (stated for the total)
    temperature   (...,)  [K]   of the inlet air, degC + 273; 15 to 35 degC
    Returns (...,) [-] on brake power. Raises OutOfDomain for an argument not above 0.
    Source: SAE J1349, 85 % mechanical efficiency (read)."""
    result: Number = ((99.0e3 / dry_pressure) * np.sqrt(temperature / 298.0) - 0.15) / 0.85
    return result


@relation(source="sae-j607", status="read", domain=_DOMAIN)
def correction_j607(dry_pressure: Number, temperature: Number) -> Number:
    """Factor of the old gross standard SAE J607; about 4 % above J1349.

    dry_pressure  (...,)  [Pa]  barometric less vapour pressure; reference 29.92 inHg
    temperature   (...,)  [K]   of the inlet air, true kelvin; reference 60 degF, degF + 460 in the standard
    Returns (...,) [-] on brake power. Raises OutOfDomain for an argument not above 0.
    Source: SAE J607, reference conditions and two worked values read in a public note."""
    inches = dry_pressure / 3386.389
    rankine_like = temperature * 1.8 - 459.67 + 460.0
    result: Number = 29.92 / inches * np.sqrt(rankine_like / 520.0)
    return result


@relation(source="iso-1585", status="read second-hand", domain=_DOMAIN)
def correction_iso_1585(dry_pressure: Number, temperature: Number) -> Number:
    """Factor of ISO 1585 and UN R85 for positive ignition; the test counts only from 0.93 to 1.07.

    dry_pressure  (...,)  [Pa]  barometric less vapour pressure
    temperature   (...,)  [K]   of the inlet air, degC + 273
    Returns (...,) [-] on brake power; outside 0.93 to 1.07 the test is not valid by the standard. Raises
    OutOfDomain for an argument not above 0.
    Source: ISO 1585, UN R85 section 5.4, exponents read second-hand, limits from memory."""
    return (99.0e3 / dry_pressure) ** 1.2 * (temperature / 298.0) ** 0.6


@relation(source="jis-d-1001", status="read second-hand", domain=_DOMAIN)
def correction_jis_d_1001(dry_pressure: Number, temperature: Number) -> Number:
    """Factor of JIS D 1001 (1993), the exponents of ISO 1585.

    dry_pressure  (...,)  [Pa]  barometric less vapour pressure
    temperature   (...,)  [K]   of the inlet air, degC + 273
    Returns (...,) [-] on brake power. Raises OutOfDomain for an argument not above 0.
    Source: JIS D 1001:1993, reference read, exponents read second-hand. The 1982 form is not known to
    us."""
    return (99.0e3 / dry_pressure) ** 1.2 * (temperature / 298.0) ** 0.6


@relation(source="din-70020", status="read", domain={"pressure": _ABOVE_ZERO, "temperature": _ABOVE_ZERO})
def correction_din_70020(pressure: Number, temperature: Number) -> Number:
    """Factor of DIN 70020 (withdrawn), which takes the TOTAL barometric pressure.

    pressure     (...,)  [Pa]  barometric, humidity ignored
    temperature  (...,)  [K]   of the inlet air, degC + 273
    Returns (...,) [-] on brake power. Raises OutOfDomain for an argument not above 0.
    Source: DIN 70020, formula read in a public text."""
    result: Number = 101.3e3 / pressure * np.sqrt(temperature / 293.0)
    return result


@relation(source="un-r85", status="read second-hand", domain={"specific_fuel_delivery": Interval(0.0)})
def engine_factor_compression_ignition(specific_fuel_delivery: Number) -> Number:
    """Engine factor fm of compression-ignition engines; spark ignition has none.

    specific_fuel_delivery  (...,)  [mg/(l cycle)]  fuel per cycle and litre over the boost pressure ratio
    Returns (...,) [-], held constant outside 37.2 to 65. Raises OutOfDomain for a negative delivery.
    Source: ISO 1585, read in an engine maker's published manual; UN R85 is remembered to hold it from 40 (0.3) on."""
    result: Number = 0.036 * np.minimum(np.maximum(specific_fuel_delivery, 37.2), 65.0) - 1.14
    return result


@relation(
    source="un-r85",
    status="read second-hand",
    domain={"dry_pressure": _ABOVE_ZERO, "temperature": _ABOVE_ZERO, "engine_factor": Interval(0.0)},
)
def correction_compression_ignition(
    dry_pressure: Number, temperature: Number, engine_factor: Number
) -> Number:
    """Factor of ISO 1585 for turbocharged compression ignition; never to be used for petrol.

    dry_pressure   (...,)  [Pa]  barometric less vapour pressure
    temperature    (...,)  [K]   of the inlet air, degC + 273
    engine_factor  (...,)  [-]   from engine_factor_compression_ignition
    Returns (...,) [-] on brake power. Raises OutOfDomain outside the ranges given.
    Source: ISO 1585 and UN R85; exponents 0.7 and 1.5 from memory."""
    atmospheric = (99.0e3 / dry_pressure) ** 0.7 * (temperature / 298.0) ** 1.5
    return atmospheric**engine_factor
