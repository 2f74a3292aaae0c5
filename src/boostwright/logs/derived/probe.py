"""Lambda corrected for the pressure at the probe, on its pump current."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.pressures import absolute
from boostwright.logs.derived.rows import Missing, Need, Quantity, Rows
from boostwright.logs.derived.uncertain import Uncertain, through
from boostwright.logs.timebase.lambda_pressure import PressureEffect, lambda_at_reference, without_pressure

__all__ = ["QUANTITIES"]

Array = NDArray[np.float64]

_PLACES = {
    "behind-turbine": ("pressure_4_static", "behind the turbine", (103e3, 125e3)),
    "ahead-of-turbine": ("pressure_em_static", "ahead of the turbine", (130e3, 280e3)),
}
_EFFECT = PressureEffect()
_LEAN = math.log(_EFFECT.lean_high / _EFFECT.lean)
_RICH = math.log(_EFFECT.rich_high / _EFFECT.rich)


def _corrected(rows: Rows) -> Uncertain:
    """The reading at 101.3 kPa; the constant of rich gas within half to twice what is taken."""
    reading = rows.get("lambda")
    probe = rows.facts.probe
    if probe is None:
        raise Missing(Need("the place of the lambda probe", "sensors.lambda_place of a build"))
    channel, words, likely = _PLACES[probe.place]
    if not rows.has(channel):
        raise Missing(
            Need(f"channel {channel}, the pressure at the probe", without_pressure(words, likely).rstrip("."))
        )

    def formula(shown: Array, pressure: Array, lean: Array, rich: Array) -> Array:
        """k moved by factors exp(lean), exp(rich), each the same in all rows."""
        at = PressureEffect(lean=_EFFECT.lean * math.exp(lean[0]), rich=_EFFECT.rich * math.exp(rich[0]))
        return lambda_at_reference(shown, pressure, at).value

    found = through(
        formula,
        reading,
        absolute(rows, channel),
        rows.number("constant k of the probe in lean gas", 0.0, _LEAN),
        rows.number("constant k of the probe in rich gas, not confirmed", 0.0, _RICH),
    )
    words = f"lambda corrected for the pressure {words} on the pump current; a controller may have done so already"
    return found.with_flag("lambda", words)


QUANTITIES = (
    Quantity(
        "lambda_corrected",
        "1",
        "lambda corrected for the pressure at the probe",
        "as the probe would show it at 101.3 kPa",
        "lambda(Ip), Ip(p_0) = Ip(p) (k + p)/p p_0/(k + p_0), k 47 kPa lean, within a factor of 2 rich",
        _corrected,
    ),
)
"""Lambda at the reference pressure."""
