"""Cross-sections: area and second moments of area.

An I of flanges and web serves the I-beam and the H-beam rod alike: they differ in which way it lies. Rounds and draft
are left out, which makes a forged section a little weaker here than it is.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "i_section_area",
    "i_section_second_moment_strong",
    "i_section_second_moment_weak",
    "radius_of_gyration",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_SIZES = {
    "section_depth": _ABOVE_ZERO,
    "flange_width": _ABOVE_ZERO,
    "flange_thickness": _ABOVE_ZERO,
    "web_thickness": _ABOVE_ZERO,
}
_AN_I = {
    "flanges that leave room for a web": lambda flange_thickness, section_depth: (
        2.0 * flange_thickness <= section_depth
    ),
    "a web no wider than the flanges": lambda web_thickness, flange_width: web_thickness <= flange_width,
}


@relation(source="khurmi-gupta-2005", status="definition", domain=_SIZES, needs=_AN_I)
def i_section_area(
    section_depth: Number, flange_width: Number, flange_thickness: Number, web_thickness: Number
) -> Number:
    """Area of an I of two flanges and a web.

    section_depth     (...,)  [m]  over both flanges
    flange_width      (...,)  [m]
    flange_thickness  (...,)  [m]
    web_thickness     (...,)  [m]
    Returns (...,) [m2]. Raises OutOfDomain for a size not above 0 or sizes that make no I.
    Source: geometry; the rod section of Khurmi and Gupta, 5t x 4t x t, has 11 t2."""
    return 2.0 * flange_width * flange_thickness + (section_depth - 2.0 * flange_thickness) * web_thickness


@relation(source="khurmi-gupta-2005", status="definition", domain=_SIZES, needs=_AN_I)
def i_section_second_moment_strong(
    section_depth: Number, flange_width: Number, flange_thickness: Number, web_thickness: Number
) -> Number:
    """Second moment of area for bending that stretches one flange and presses the other.

    section_depth     (...,)  [m]  over both flanges
    flange_width      (...,)  [m]
    flange_thickness  (...,)  [m]
    web_thickness     (...,)  [m]
    Returns (...,) [m4]. Raises OutOfDomain for a size not above 0 or sizes that make no I.
    Source: geometry; the rod section of Khurmi and Gupta, 5t x 4t x t, has 419/12 t4."""
    inside = section_depth - 2.0 * flange_thickness
    return (flange_width * section_depth**3 - (flange_width - web_thickness) * inside**3) / 12.0


@relation(source="khurmi-gupta-2005", status="definition", domain=_SIZES, needs=_AN_I)
def i_section_second_moment_weak(
    section_depth: Number, flange_width: Number, flange_thickness: Number, web_thickness: Number
) -> Number:
    """Second moment of area for bending across the web, each flange about its own middle.

    section_depth     (...,)  [m]  over both flanges
    flange_width      (...,)  [m]
    flange_thickness  (...,)  [m]
    web_thickness     (...,)  [m]
    Returns (...,) [m4]. Raises OutOfDomain for a size not above 0 or sizes that make no I.
    Source: geometry; the rod section of Khurmi and Gupta, 5t x 4t x t, has 131/12 t4."""
    inside = section_depth - 2.0 * flange_thickness
    return (2.0 * flange_thickness * flange_width**3 + inside * web_thickness**3) / 12.0


@relation(
    source="definition", status="definition", domain={"second_moment": _ABOVE_ZERO, "area": _ABOVE_ZERO}
)
def radius_of_gyration(second_moment: Number, area: Number) -> Number:
    """Radius of gyration of a section.

    second_moment  (...,)  [m4]  of area, about the axis of bending
    area           (...,)  [m2]
    Returns (...,) [m]. Raises OutOfDomain for an argument not above 0.
    Source: definition."""
    result: Number = np.sqrt(second_moment / area)
    return result
