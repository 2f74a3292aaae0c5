"""Wastegate cards: valve, actuator and discharge; the keys are those of the build file's section."""

from __future__ import annotations

from boostwright.cards.card import Card, CardSchema, Field
from boostwright.errors import Fault

__all__ = ["SCHEMA"]


def _check(card: Card) -> tuple[list[Fault], list[Fault]]:
    """A flap has its two arms; an odd lift is worth a question."""
    faults = [
        Fault(card.path.name, f"wastegate.{key}", "", "is needed for a flap on a lever.")
        for key in ("lever_arm_actuator", "lever_arm_flap")
        if card.text("kind") == "flap" and not card.has(key)
    ]
    asks = []
    ratio = card.si("full_lift") / card.si("valve_diameter")
    if not 0.12 <= ratio <= 0.40:
        value = card.values["full_lift"]
        asks.append(
            Fault(
                f"{card.path.name}, line {value.line}",
                "wastegate.full_lift",
                card.quantity("full_lift").text,
                f"is {ratio:.2f} of the valve diameter: is it right?",
                "usual: 0.12 to 0.40 (the curtain equals the bore at 0.25)",
                line=value.line,
            )
        )
    return faults, asks


SCHEMA = CardSchema(
    kind="wastegate",
    words="a wastegate with its actuator",
    version=1,
    fields=(
        Field(
            "kind",
            "word",
            "poppet valve of its own, or flap in the turbine housing",
            choices=("poppet", "flap"),
        ),
        Field(
            "valve_diameter",
            "length",
            "diameter of the valve head at its seat (not of the flange)",
            low=5e-3,
            high=0.12,
            low_ask=15e-3,
            high_ask=70e-3,
        ),
        Field("full_lift", "length", "travel of the valve from shut to its stop", low=1e-3, high=0.05),
        Field(
            "discharge_coefficient",
            "number",
            "discharge coefficient on the curtain area (poppet) or the smaller of curtain and bore (flap)",
            low=0.2,
            high=1.0,
        ),
        Field(
            "seat_discharge_coefficient",
            "number",
            "discharge coefficient on the bore area",
            low=0.2,
            high=1.0,
        ),
        Field("diaphragm_diameter", "length", "effective diameter of the diaphragm", low=10e-3, high=0.2),
        Field(
            "spring_rate", "stiffness", "rate of the spring at the valve or at the rod", low=100.0, high=1e6
        ),
        Field("stem_diameter", "length", "stem of the valve", required=False, low=2e-3, high=0.02),
        Field(
            "head_force_fall",
            "number",
            "share of the head force lost from shut to full lift",
            low=0.0,
            high=1.0,
        ),
        Field("friction_force", "force", "friction of stem and guide", required=False, low=0.0, high=200.0),
        Field(
            "lever_arm_actuator",
            "length",
            "rod to pivot, square to the rod",
            required=False,
            low=3e-3,
            high=0.2,
        ),
        Field("lever_arm_flap", "length", "flap centre to pivot", required=False, low=3e-3, high=0.2),
        Field("chambers", "integer", "actuator chambers with a port: 1 (lower only) or 2", low=1.0, high=2.0),
    ),
    check=_check,
)
