"""Exhaust manifold and everything after the turbine."""

from __future__ import annotations

import numpy as np

from boostwright.build import Build, Section
from boostwright.physics.gas.restriction import restriction_coefficient_eriksson

__all__ = ["exhaust_fields"]


def _exhaust_loss(section: Section) -> float:
    """K of the exhaust's known point, whose pressure is the one it blows into; the relation wants the upstream one."""
    drop = section.si("pressure_drop")
    upstream = section.si("at_pressure") + drop
    return float(
        restriction_coefficient_eriksson(
            drop, section.si("at_mass_flow"), section.si("at_temperature"), upstream
        )
    )


def exhaust_fields(build: Build) -> dict[str, float]:
    """Point fields of manifold, shaft bearings and exhaust system."""
    manifold = build["exhaust_manifold"]
    return {
        "collector_area": float(np.pi / 4.0 * manifold.si("collector_bore") ** 2),
        "heat_conductance": manifold.si("heat_conductance"),
        "exhaust_loss": _exhaust_loss(build["exhaust"]),
        "mechanical_efficiency": build["shaft"].si("mechanical_efficiency"),
    }
