"""Sensor cards: what a generic sensor measures, its range, signal, speed and error."""

from __future__ import annotations

from boostwright.cards.card import Card, CardSchema, Field
from boostwright.errors import Fault

__all__ = ["SCHEMA"]

_RANGES = {
    "temperature": ("temperature_low", "temperature_high"),
    "pressure": ("pressure_low", "pressure_high"),
    "lambda": ("lambda_low", "lambda_high"),
}


def _check(card: Card) -> tuple[list[Fault], list[Fault]]:
    """A sensor states the range of what it measures, low end first."""
    faults = []
    low, high = _RANGES[card.text("measures")]
    for key in (low, high):
        if not card.has(key):
            words = f"is needed for a sensor that measures {card.text('measures')}."
            faults.append(Fault(card.path.name, f"sensor.{key}", "", words))
    if not faults and card.si(low) >= card.si(high):
        place = f"{card.path.name}, line {card.values[high].line}"
        faults.append(Fault(place, f"sensor.{high}", card.quantity(high).text, f"does not lie above {low}."))
    return faults, []


SCHEMA = CardSchema(
    kind="sensor",
    words="a generic sensor",
    version=1,
    fields=(
        Field("measures", "word", "what it measures", choices=tuple(_RANGES)),
        Field(
            "signal",
            "word",
            "how it speaks",
            choices=(
                "thermocouple-k",
                "ratiometric-voltage",
                "absolute-voltage",
                "current-loop",
                "pump-current",
            ),
        ),
        Field(
            "temperature_low",
            "temperature",
            "lowest temperature it reads",
            required=False,
            low=0.0,
            high=2000.0,
        ),
        Field(
            "temperature_high",
            "temperature",
            "highest temperature it reads",
            required=False,
            low=0.0,
            high=2000.0,
        ),
        Field(
            "pressure_low",
            "pressure",
            "pressure at the low end",
            required=False,
            low=0.0,
            high=1e7,
            basis=("absolute", "gauge"),
        ),
        Field(
            "pressure_high",
            "pressure",
            "pressure at the high end",
            required=False,
            low=0.0,
            high=1e8,
            basis=("absolute", "gauge"),
        ),
        Field("lambda_low", "number", "richest lambda it reads", required=False, low=0.5, high=1.0),
        Field("lambda_high", "number", "leanest lambda it reads", required=False, low=1.0, high=50.0),
        Field("signal_low", "voltage|current", "signal at the low end", required=False),
        Field("signal_high", "voltage|current", "signal at the high end", required=False),
        Field(
            "supply", "voltage", "supply voltage the signal is stated for", required=False, low=0.0, high=40.0
        ),
        Field(
            "error_of_span",
            "number",
            "largest error at rest as a share of the span",
            required=False,
            low=0.0,
            high=0.5,
        ),
        Field(
            "error_of_reading",
            "number",
            "largest error at rest as a share of the reading",
            required=False,
            low=0.0,
            high=0.5,
        ),
        Field(
            "time_constant",
            "time",
            "first-order time constant as installed",
            required=False,
            low=0.0,
            high=60.0,
        ),
        Field("diameter", "length", "sheath diameter of a probe", required=False, low=1e-4, high=0.05),
        Field("emissivity", "number", "emissivity of the sheath", required=False, low=0.0, high=1.0),
        Field(
            "body_temperature_limit",
            "temperature",
            "highest temperature of the body or of the gas at the membrane",
            required=False,
            low=273.15,
            high=1600.0,
        ),
        Field(
            "pressure_coefficient",
            "pressure",
            "k in the pump current's rise with absolute pressure, Ip = Ip0 p/(k+p) (k+p0)/p0, lean side",
            required=False,
            low=0.0,
            high=2e5,
        ),
    ),
    check=_check,
)
