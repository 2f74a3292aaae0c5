"""Fresh-air restrictions and the charge cooler: filter, cooler core, throttle."""

from __future__ import annotations

import numpy as np

from boostwright.build import Build
from boostwright.components.restriction import known_point_coefficient

__all__ = ["charge_fields"]

_AIR_GAS_CONSTANT = 287.05


def charge_fields(build: Build) -> dict[str, float]:
    """Point fields of intake, charge cooler and throttle.

    The cooler is one number of transfer units at the flow where its effectiveness is known; its cooling air is taken
    as plentiful (epsilon = 1 - exp(-NTU), Incropera), and the units fall with charge flow to the power 0.4.
    A throttle of bore d and discharge coefficient C loses m^2 R T/(2 p (C A)^2).
    """
    cooler, throttle, ambient = build["charge_cooler"], build["throttle"], build["ambient"]
    fields = {"intake_loss": known_point_coefficient(build["intake"])}
    area = throttle.si("discharge_coefficient") * np.pi / 4.0 * throttle.si("bore") ** 2
    fields["throttle_loss"] = _AIR_GAS_CONSTANT / (2.0 * area * area)
    if cooler.text("kind") == "none":
        fields |= {"cooler_transfer_units": 0.0, "cooler_flow": 1.0, "cooler_derating": 1.0}
        fields |= {"cooler_temperature": ambient.si("temperature"), "cooler_loss": 0.0}
        return fields
    fan = cooler.text("air_side") == "dyno-fan"
    fields |= {
        "cooler_transfer_units": float(-np.log1p(-cooler.si("effectiveness"))),
        "cooler_flow": cooler.si("at_mass_flow"),
        "cooler_derating": cooler.si("dyno_fan_derating") if fan else 1.0,
        "cooler_temperature": ambient.si("temperature") + cooler.si("coolant_rise"),
        "cooler_loss": known_point_coefficient(cooler),
    }
    return fields
