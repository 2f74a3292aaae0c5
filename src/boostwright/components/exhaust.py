"""Exhaust manifold and everything after the turbine."""

from __future__ import annotations

import numpy as np

from boostwright.build import Build
from boostwright.components.restriction import known_point_coefficient

__all__ = ["exhaust_fields"]


def exhaust_fields(build: Build) -> dict[str, float]:
    """Point fields of manifold, shaft bearings and exhaust system."""
    manifold = build["exhaust_manifold"]
    return {
        "collector_area": float(np.pi / 4.0 * manifold.si("collector_bore") ** 2),
        "heat_conductance": manifold.si("heat_conductance"),
        "exhaust_loss": known_point_coefficient(build["exhaust"]),
        "mechanical_efficiency": build["shaft"].si("mechanical_efficiency"),
    }
