"""A restriction known from one point: loss = K m^2 T / p, carried to every other flow."""

from __future__ import annotations

from boostwright.build import Section
from boostwright.physics.gas.restriction import restriction_coefficient_eriksson

__all__ = ["known_point_coefficient"]


def known_point_coefficient(section: Section) -> float:
    """K [Pa^2 s^2/(kg^2 K)] of a section's known point: pressure_drop, at_mass_flow, at_temperature, at_pressure.

    ``at_pressure`` is upstream of the restriction. Raises OutOfDomain for numbers no restriction can have.
    """
    return float(
        restriction_coefficient_eriksson(
            section.si("pressure_drop"),
            section.si("at_mass_flow"),
            section.si("at_temperature"),
            section.si("at_pressure"),
        )
    )
