"""Material cards: what brackets, manifolds, housings and shields are made of."""

from __future__ import annotations

from boostwright.cards.card import Card, CardSchema, Field
from boostwright.errors import Fault

__all__ = ["SCHEMA"]


def _check(card: Card) -> tuple[list[Fault], list[Fault]]:
    """Yield cannot lie above rupture."""
    if card.has("yield_strength") and card.si("yield_strength") > card.si("tensile_strength"):
        value = card.values["yield_strength"]
        place = f"{card.path.name}, line {value.line}"
        text = card.quantity("yield_strength").text
        fault = Fault(
            place, "material.yield_strength", text, "lies above the tensile strength.", line=value.line
        )
        return [fault], []
    return [], []


SCHEMA = CardSchema(
    kind="material",
    words="a material",
    version=1,
    fields=(
        Field("density", "density", "density at room temperature", low=500.0, high=20000.0),
        Field("youngs_modulus", "pressure", "Young's modulus at room temperature", low=1e9, high=5e11),
        Field("poisson_ratio", "number", "Poisson's ratio", low=0.0, high=0.5),
        Field(
            "thermal_expansion",
            "thermal_expansion",
            "mean linear expansion from room temperature to a few hundred degrees",
            low=0.0,
            high=50e-6,
            low_ask=8e-6,
            high_ask=26e-6,
        ),
        Field(
            "yield_strength", "pressure", "yield or 0.2 % proof strength", required=False, low=1e7, high=3e9
        ),
        Field("tensile_strength", "pressure", "tensile strength", low=1e7, high=3e9),
        Field("thermal_conductivity", "thermal_conductivity", "at room temperature", low=0.1, high=500.0),
        Field("specific_heat_capacity", "specific_heat", "at room temperature", low=100.0, high=2000.0),
        Field("emissivity", "number", "total emissivity of the surface as used", low=0.0, high=1.0),
        Field("surface", "word", "state of the surface for which the emissivity holds"),
        Field(
            "service_temperature",
            "temperature",
            "highest metal temperature in continuous service in exhaust gas or air",
            required=False,
            low=300.0,
            high=1600.0,
        ),
        Field(
            "retained_yield_400",
            "number",
            "yield at 400 degC as a share of that at room temperature",
            required=False,
            low=0.0,
            high=1.2,
        ),
        Field(
            "retained_yield_500",
            "number",
            "yield at 500 degC as a share of that at room temperature",
            required=False,
            low=0.0,
            high=1.2,
        ),
        Field(
            "retained_yield_600",
            "number",
            "yield at 600 degC as a share of that at room temperature",
            required=False,
            low=0.0,
            high=1.2,
        ),
        Field(
            "weld_factor", "number", "correlation factor of fillet welds", required=False, low=0.5, high=1.0
        ),
    ),
    check=_check,
)
