"""How well a compressor or a turbine is known, by what it is described with: the half widths of its band.

None of these widths is measured on a user's part. They are own estimates, and each says what it rests on.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = ["EXACT", "HowKnown", "known_compressor_card", "known_one_number", "known_turbine_card"]


@dataclass(frozen=True)
class HowKnown:
    """Half widths of the band of a compressor or a turbine.

    words       what it is known by, as a person would say it
    flow        [-] share of flow
    pressure    [-] share of the pressure ratio less one; 0 for a turbine, whose ratio follows from its flow
    efficiency  [-] compressor: in efficiency; turbine: share of the efficiency
    estimate    what to say beside every result when it is an estimate from dimensions; empty when it is not
    """

    words: str
    flow: float
    pressure: float
    efficiency: float
    estimate: str = ""

    def widened(self, flow: float = 0.0, efficiency: float = 0.0) -> tuple[float, float]:
        """Flow and efficiency with a further, independent doubt each: root of the sum of squares."""
        return math.hypot(self.flow, flow), math.hypot(self.efficiency, efficiency)


EXACT = HowKnown("as given", 0.0, 0.0, 0.0)
"""No band: parts made in tests and studies."""

# A gas stand repeats to 1 or 2 %; the rest is pipes, heat and another specimen. Scaled cards leave clearance,
# roughness and Reynolds number behind. All others are worth what a mean line is.
_COMPRESSOR = {
    "published": (0.02, 0.03, 0.02),
    "measured by the owner": (0.02, 0.03, 0.02),
    "scaled": (0.05, 0.05, 0.04),
}
_COMPRESSOR_ELSE = (0.08, 0.12, 0.07)
# A turbine's efficiency on the stand carries bearing friction and heat with it, so it is known less well than its flow.
_TURBINE = {
    "published": (0.03, 0.05),
    "measured by the owner": (0.03, 0.05),
    "scaled": (0.06, 0.08),
}
_TURBINE_ELSE = (0.15, 0.12)


def known_compressor_card(status: str) -> HowKnown:
    """A compressor by its map.

    status  the card's own word for where its figures are from
    """
    return HowKnown(f"a map ({status})", *_COMPRESSOR.get(status, _COMPRESSOR_ELSE))


def known_turbine_card(status: str, flow_error: float, efficiency_error: float) -> HowKnown:
    """A turbine by its card's lines.

    status                        the card's own word for where its figures are from
    flow_error, efficiency_error  [-] root mean square of the points about the table
    """
    known = HowKnown("", *_with_no_pressure(_TURBINE.get(status, _TURBINE_ELSE)))
    flow, efficiency = known.widened(flow_error, efficiency_error)
    return HowKnown(f"card lines ({status})", flow, 0.0, efficiency)


def known_one_number() -> HowKnown:
    """A turbine by its choked flow: as a flow curve can be read, and as peak efficiencies of small turbines differ."""
    return HowKnown("one number", 0.10, 0.0, 0.07)


def _with_no_pressure(pair: tuple[float, float]) -> tuple[float, float, float]:
    return pair[0], 0.0, pair[1]
