"""Correction of power to a reference atmosphere, by the rule a build names."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from boostwright.build import Section
from boostwright.physics import power_correction
from boostwright.physics.gas import air
from boostwright.physics.relation import Interval, Relation

__all__ = ["REFERENCE_AIR", "ReferenceAir", "WeatherFactor", "factor_by_name", "reference_settings"]


@dataclass(frozen=True)
class ReferenceAir:
    """Air in which a standard wants power stated. pressure [Pa] in all, temperature [K], vapour_pressure [Pa]."""

    pressure: float
    temperature: float
    vapour_pressure: float
    words: str


_99 = "25 degC, 99 kPa of dry air, 100 kPa in all"
REFERENCE_AIR = MappingProxyType(
    {
        "sae-j1349": ReferenceAir(100.0e3, 298.15, 1.0e3, f"SAE J1349: {_99}"),
        "iso-1585": ReferenceAir(100.0e3, 298.15, 1.0e3, f"ISO 1585: {_99}"),
        "din-70020": ReferenceAir(101.3e3, 293.15, 0.0, "DIN 70020: 20 degC, 101.3 kPa, taken dry"),
    }
)
"""Reference air by standard. Dry pressure and temperature as in ``physics.power_correction``; that 1 kPa of vapour
belongs to it is from memory (note to the reference conditions of UN R85)."""


@dataclass(frozen=True)
class WeatherFactor:
    """Factor of a standard for one day's air.

    method        name in the build
    dry_pressure  [Pa], the total for a standard that ignores humidity
    temperature   [K]
    factor        [-] on brake power
    invalid       why it does not count by the standard itself; empty when it does
    source        key of the bibliography; status: how well the formula is known
    """

    method: str
    pressure: float
    dry_pressure: float
    temperature: float
    relative_humidity: float
    factor: float
    invalid: str
    source: str
    status: str


_RELATIONS: MappingProxyType[str, Relation] = MappingProxyType(
    {
        "sae-j1349": power_correction.correction_j1349,
        "iso-1585": power_correction.correction_iso_1585,
        "din-70020": power_correction.correction_din_70020,
    }
)


def factor_by_name(method: str, ambient: Section) -> WeatherFactor:
    """The factor of ``sae-j1349``, ``iso-1585`` or ``din-70020`` for the air of the [ambient] section."""
    relation = _RELATIONS[method]
    pressure, temperature = ambient.si("pressure"), ambient.si("temperature")
    vapour = air.vapour_pressure(
        ambient.si("relative_humidity"), air.saturation_pressure_wagner_pruss(temperature)
    )
    dry = float(air.dry_pressure(pressure, vapour))
    whole = temperature - 273.15 + 273.0  # the standards add 273
    factor = float(relation(pressure if method == "din-70020" else dry, whole))
    return WeatherFactor(
        method=method,
        pressure=pressure,
        dry_pressure=dry,
        temperature=temperature,
        relative_humidity=ambient.si("relative_humidity"),
        factor=factor,
        invalid=_invalid(relation, pressure, whole, factor),
        source=relation.source,
        status=relation.status,
    )


def _invalid(relation: Relation, pressure: float, temperature: float, factor: float) -> str:
    """Why the standard itself would not take the test, or nothing. Its pressure range is of the total (read so)."""
    reasons = []
    for name, value, scale, offset, unit in (
        ("dry_pressure", pressure, 1e3, 0.0, "kPa"),
        ("temperature", temperature, 1.0, 273.0, "degC"),
    ):
        interval = relation.valid.get(name)
        # what the standards add to degrees is 273 at one end of a range and 273.15 at another: a rounding, no limit
        slack = 0.16 if name == "temperature" else 1e-6
        if interval is not None and not interval.low - slack <= value <= interval.high + slack:
            low, high = (round((end - offset) / scale) for end in (interval.low, interval.high))
            what = "barometric pressure" if name == "dry_pressure" else "air temperature"
            reasons.append(
                f"{what} {(value - offset) / scale:.1f} {unit} is outside {low} to {high} {unit} of the standard"
            )
    limits = power_correction.FACTOR_LIMITS.get(relation.__name__, Interval())
    if bool(limits.outside(np.asarray(factor))):
        reasons.append(
            f"the factor {factor:.4f} is outside {limits.low:g} to {limits.high:g} of the standard"
        )
    return " and ".join(reasons)


def reference_settings(name: str) -> tuple[str, ...]:
    """Settings ``ambient.key=value`` that put a build into the reference air of a standard.

    The altitude is taken out: it serves to bring QNH down, and a station pressure needs none."""
    reference = REFERENCE_AIR[name]
    saturated = float(air.saturation_pressure_wagner_pruss(reference.temperature))
    return (
        "ambient.altitude=",
        f"ambient.pressure={reference.pressure!r} Pa",
        "ambient.pressure_basis=station",
        f"ambient.temperature={reference.temperature!r} K",
        f"ambient.relative_humidity={reference.vapour_pressure / saturated!r}",
    )
