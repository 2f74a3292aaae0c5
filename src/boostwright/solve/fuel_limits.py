"""Limits of the fuel system beside those of the engine and the turbocharger."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Section
from boostwright.solve.operating_point import Limit

__all__ = ["fuel_limits"]

Array = NDArray[np.float64]


def fuel_limits(section: Section, q: Mapping[str, Array]) -> tuple[Limit, ...]:
    """``injector`` and ``pump``, each where the [fuel_system] section describes the part.

    q  quantities along the points (n,), with 'injector_duty' and 'pump_margin' where there is such a part
    """
    found = []
    if "injector_duty" in q:
        highest = section.si("highest_duty")
        found.append(
            Limit(
                "injector",
                "duty of the injectors",
                "1",
                np.full(q["injector_duty"].shape, highest),
                q["injector_duty"] / highest,
                _source(section, "highest_duty"),
                "injector_duty",
                status=_status(section, "highest_duty"),
            )
        )
    if "pump_margin" in q:
        wanted = section.si("pump_margin_wanted")
        found.append(
            Limit(
                "pump",
                "flow margin of the fuel pump",
                "1",
                np.full(q["pump_margin"].shape, wanted),
                (1.0 - q["pump_margin"]) / (1.0 - wanted),
                _source(section, "pump_margin_wanted"),
                "pump_margin",
                status=_status(section, "pump_margin_wanted"),
            )
        )
    return tuple(found)


def _source(section: Section, key: str) -> str:
    if section.written(key):
        return f"build, fuel_system.{key}"
    return f"default of fuel_system.{key}, {section.values[key].parameter.default_status}"


def _status(section: Section, key: str) -> str:
    """How the limit is known."""
    return "stated" if section.written(key) else section.values[key].parameter.default_status
