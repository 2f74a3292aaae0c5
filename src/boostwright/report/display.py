"""In which unit, with how many decimals and on which basis a quantity is shown to people.

The solver speaks SI; screens, CSV files and plots speak the units below. A quantity that has no line here is
shown in its SI unit, so that a new one is never lost. JSON stays in SI and does not come past here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright import units

__all__ = ["Shown", "in_shown_unit", "shown", "shown_number", "shown_text"]


@dataclass(frozen=True)
class Shown:
    """How one quantity is shown.

    kind      kind of quantity as units.py names it; empty when it is shown as it comes
    unit      unit it is shown in, a name of units.py
    decimals  digits after the point
    basis     what it is counted from or measured on: ``absolute``, ``gauge``; empty where clear
    """

    kind: str
    unit: str
    decimals: int
    basis: str = ""

    @property
    def label(self) -> str:
        """Unit and basis as printed under a heading; ``-`` for a plain number."""
        return " ".join(part for part in (self.unit, self.basis) if part) or "-"


_PERCENT = Shown("dimensionless", "%", 1)
_MARGIN = Shown("dimensionless", "%", 0)
_PLAIN = Shown("dimensionless", "", 2)
_POWER = Shown("power", "kW", 1)
_ABSOLUTE = Shown("pressure", "kPa", 1, "absolute")
_TEMPERATURE = Shown("temperature", "degC", 0)

_BY_NAME: dict[str, Shown] = {
    "engine_speed": Shown("rotational_speed", "rpm", 0),
    "shaft_speed": Shown("rotational_speed", "rpm", 0),
    "corrected_speed": Shown("rotational_speed", "rpm", 0),
    "torque": Shown("torque", "Nm", 0),
    "power": _POWER,
    "power_correction_factor": Shown("dimensionless", "", 4),
    "bmep": Shown("pressure", "bar", 2),
    "fmep": Shown("pressure", "bar", 2),
    "pmep": Shown("pressure", "bar", 2),
    "peak_pressure": Shown("pressure", "bar", 1),
    "peak_pressure_strong": Shown("pressure", "bar", 1),
    "rod_force_angle": Shown("angle", "deg", 1),
    "rod_bolt_pull": Shown("force", "kN", 1),
    "trapped_pressure": _ABSOLUTE,
    "boost": Shown("pressure", "kPa", 1, "gauge"),
    "bsfc": Shown("specific_fuel_consumption", "g/kWh", 0),
    "gate_lift": Shown("length", "mm", 2),
    "air_fuel_ratio": Shown("dimensionless", "", 2),
    "rail_pressure": Shown("pressure", "kPa", 1, "gauge"),
    "pump_outlet_pressure": Shown("pressure", "kPa", 1, "gauge"),
    **dict.fromkeys(
        (
            "egt_reading_spread",
            "probe_conduction_error",
            "probe_cycle_offset",
            "probe_radiation_error",
            "probe_recovery_error",
        ),
        Shown("temperature_difference", "K", 1),
    ),
    "drive_pressure_ratio": Shown("dimensionless", "", 2, "absolute"),
    "drive_pressure_ratio_gauge": Shown("dimensionless", "", 2, "gauge"),
    "lambda": Shown("dimensionless", "", 3),
    **dict.fromkeys(
        (
            "choke_margin",
            "gate_flow_share",
            "injector_duty",
            "injector_margin",
            "pump_margin",
            "solenoid_duty",
            "speed_margin",
            "surge_margin",
            "takeoff_recovery",
        ),
        _MARGIN,
    ),
    **dict.fromkeys(
        (
            "compressor_efficiency",
            "cooler_effectiveness",
            "mechanical_efficiency",
            "residual_fraction",
            "road_slope",
            "turbine_efficiency",
            "volumetric_efficiency",
        ),
        _PERCENT,
    ),
}

_BY_PREFIX: dict[str, Shown] = {
    "air_flow_": _PERCENT,
    "egt_over_mean_": Shown("temperature_difference", "K", 1),
    "egt_hottest_": Shown("dimensionless", "", 0),
    "rod_force_": Shown("force", "kN", 1),
    "pressure_": _ABSOLUTE,
    "temperature_": _TEMPERATURE,
    "egt_": _TEMPERATURE,
    "mass_flow_": Shown("mass_flow", "g/s", 1),
    "corrected_flow": Shown("mass_flow", "g/s", 1),
}

_BY_UNIT: dict[str, Shown] = {
    "": _PLAIN,
    "1": _PLAIN,
    "-": _PLAIN,
    "W": _POWER,
    "Pa": Shown("pressure", "kPa", 1),
    "K": _TEMPERATURE,
    "kg/s": Shown("mass_flow", "g/s", 2),
    "kg": Shown("mass", "g", 3),
    "rad": Shown("angle", "deg", 1),
    "m3/s": Shown("volume_flow", "L/h", 1),
    "rad/s": Shown("rotational_speed", "rpm", 0),
    "rad/s2": Shown("rotational_acceleration", "rpm/s", 0),
    "m": Shown("length", "mm", 2),
    "m2": Shown("area", "mm2", 0),
    "kg*sqrt(K)/(s*Pa)": Shown("swallowing", "kg/s*sqrt(K)/kPa", 5),
    "Nm": Shown("torque", "Nm", 0),
    "N m": Shown("torque", "Nm", 0),
    "N": Shown("force", "N", 0),
    "m/s": Shown("velocity", "m/s", 1),
}


def shown(name: str, unit_si: str) -> Shown:
    """How the quantity ``name``, held in ``unit_si``, is shown: by its name, else family, else unit."""
    if name in _BY_NAME:
        return _BY_NAME[name]
    for prefix, family in _BY_PREFIX.items():
        if name.startswith(prefix):
            return family
    return _BY_UNIT.get(unit_si, Shown("", unit_si, 4))


def in_shown_unit(values: NDArray[np.float64], how: Shown) -> NDArray[np.float64]:
    """The SI values (n,) in the unit they are shown in; nan stays nan."""
    if not how.kind:
        return values
    return np.array([units.convert(float(value), how.kind, how.unit) for value in values], dtype=float)


def shown_number(value: float, how: Shown) -> str:
    """A value that is already in its shown unit, as text; ``-`` where there is none."""
    if not np.isfinite(value):
        return "-"
    text = f"{value:.{how.decimals}f}"
    return text.replace("-", "", 1) if float(text) == 0 else text


def shown_text(name: str, value_si: float, unit_si: str) -> str:
    """One SI value as a user reads it, with unit and basis: ``151.3 kPa absolute``."""
    how = shown(name, unit_si)
    value = units.convert(value_si, how.kind, how.unit) if how.kind else value_si
    number = shown_number(value, how)
    return number if how.label == "-" else f"{number} {how.label}"
