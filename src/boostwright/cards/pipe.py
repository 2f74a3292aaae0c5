"""Pipe cards: round tube by nominal size, with the bends that are sold for it."""

from __future__ import annotations

import math

from boostwright.cards.card import Card, CardSchema, Field
from boostwright.errors import Fault

__all__ = ["SCHEMA", "pipe_bore"]


def pipe_bore(card: Card) -> float:
    """Inner diameter of a pipe card [m]: outside diameter less two walls. KeyError for another kind.

    >>> from boostwright.cards.look_up import find_card
    >>> round(1e3 * pipe_bore(find_card("pipe", "steel-dn40-sch10s")), 2)
    42.76
    """
    return card.si("outside_diameter") - 2.0 * card.si("wall_thickness")


def _check(card: Card) -> tuple[list[Fault], list[Fault]]:
    """There must be a bore left, and a bend must not be tighter than the tube is wide."""
    faults = []
    place = f"{card.path.name}, line {card.values['wall_thickness'].line}"
    if pipe_bore(card) <= 0.0:
        faults.append(
            Fault(place, "pipe.wall_thickness", card.quantity("wall_thickness").text, "leaves no bore.")
        )
    if card.has("bend_radius") and card.si("bend_radius") <= card.si("outside_diameter") / 2.0 + 1e-4:
        text = card.quantity("bend_radius").text
        faults.append(
            Fault(
                f"{card.path.name}, line {card.values['bend_radius'].line}",
                "pipe.bend_radius",
                text,
                "is no more than half the outside diameter: the inside of the bend would fold.",
                remedy="The radius is taken to the centre line.",
            )
        )
    nominal = math.pi / 4.0 * pipe_bore(card) ** 2
    asks = (
        []
        if nominal < 0.05
        else [Fault(place, "pipe", "", "a bore above 250 mm: is it an exhaust or intake pipe?")]
    )
    return faults, asks


SCHEMA = CardSchema(
    kind="pipe",
    words="a round tube and its bends",
    version=1,
    fields=(
        Field("standard", "word", "standard that fixes the size, or 'none'"),
        Field("nominal_size", "word", "size as it is ordered"),
        Field(
            "outside_diameter", "length", "outside diameter", low=5e-3, high=0.5, low_ask=15e-3, high_ask=0.16
        ),
        Field(
            "wall_thickness",
            "length",
            "wall thickness",
            low=0.3e-3,
            high=20e-3,
            low_ask=0.8e-3,
            high_ask=7e-3,
        ),
        Field(
            "roughness",
            "length",
            "equivalent sand roughness of the bore",
            required=False,
            default="0.045 mm",
            low=0.0,
            high=2e-3,
        ),
        Field(
            "bend_radius",
            "length",
            "centre-line radius of the bend sold for it (long radius for a butt-weld elbow)",
            required=False,
            low=5e-3,
            high=2.0,
        ),
        Field(
            "bend_radius_short",
            "length",
            "centre-line radius of the tighter bend sold for it",
            required=False,
            low=5e-3,
            high=2.0,
        ),
        Field("material", "word", "material card it is usually bought in", required=False),
    ),
    check=_check,
)
