"""What is not known exactly of a build: every value with a band, every default nobody confirmed, every model."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from boostwright.build import Build
from boostwright.build.bands import Band, bounds_of, default_band, values_of
from boostwright.build.build import Value
from boostwright.cards.card import Card
from boostwright.components.knock_fuel import knock_limit_fault
from boostwright.solve.uncertainty.distribution import Distribution
from boostwright.solve.uncertainty.model_doubts import ModelDoubt, model_doubts
from boostwright.units import format_quantity

__all__ = ["Doubt", "doubt_of_value", "doubts_of"]

_TURBINE_COUNTED = {"turbine.choked_flow": "turbine_flow", "turbine.efficiency_peak": "turbine_efficiency"}
"""Keys whose own band takes the place of what describes the turbine."""


@dataclass(frozen=True)
class Doubt:
    """One uncertain input.

    name          dotted key of build.toml, or 'model.' and what is in doubt of the model
    words         what it is, for people
    distribution  spread of its shift, in widths of the band
    status        'stated' in the build, 'default' that nobody has confirmed, or 'model'
    nominal       what it is without a shift, in words with its unit
    band          the band in words with its unit
    source        where the band is from
    measure       what to measure or find out to make it narrower
    widths        SI width of the band at each point of a curve, one for a single value; of a model a share or kelvin
    """

    name: str
    words: str
    distribution: Distribution
    status: str
    nominal: str = ""
    band: str = ""
    source: str = ""
    measure: str = ""
    widths: tuple[float, ...] = ()

    @property
    def key(self) -> tuple[str, str] | None:
        """Section and key in build.toml; None for a model."""
        section, _, key = self.name.partition(".")
        return None if section == "model" else (section, key)


def doubts_of(build: Build, cards: Mapping[str, Card]) -> tuple[Doubt, ...]:
    """Every doubt about a build, in the order of the file: values with a band, defaults, then the models.

    cards  'fuel' and, where the build names one, 'compressor' and 'turbine'
    A value that is written without a band is taken as exact. Values that a part card fills in are too; what compressor
    and turbine are worth by what describes them is a doubt of its own.
    """
    found = [*_written(build), *_defaults(build, cards)]
    stated = {doubt.name for doubt in found}
    counted = {model for key, model in _TURBINE_COUNTED.items() if key in stated}
    if "spark.knock_multiplier" in stated:
        counted.add("knock_multiplier")
    models = (_of_model(model) for model in model_doubts(build, cards) if model.name not in counted)
    return (*found, *models)


def _written(build: Build) -> Iterator[Doubt]:
    """Values with a band of their own."""
    for section in build.sections.values():
        for key, value in section.values.items():
            if value.band is not None:
                yield doubt_of_value(f"{section.name}.{key}", value, value.band, "stated", "build")


def _defaults(build: Build, cards: Mapping[str, Card]) -> Iterator[Doubt]:
    """Defaults that matter to this build and have a band in the declarations."""
    listed = {default.key for default in build.defaults_used}
    if not build["spark"].has("set_by") and not _knock_predicted(build, cards):
        listed.add("spark.phasing")  # the rule that then sets the phasing
    for section in build.sections.values():
        for key, value in section.values.items():
            name = f"{section.name}.{key}"
            if value.origin != "default" or name not in listed:
                continue
            band = default_band(value)
            if band is not None:
                source = "own estimate of a default that nobody has confirmed"
                yield doubt_of_value(name, value, band, "default", source)


def _knock_predicted(build: Build, cards: Mapping[str, Card]) -> bool:
    from boostwright.components.closed_cycle import cycle_fuel

    return knock_limit_fault(build, cards["fuel"]) is None and cycle_fuel(cards["fuel"]).octane_number > 0.0


def doubt_of_value(name: str, value: Value, band: Band, status: str, source: str) -> Doubt:
    """The doubt about one value of the build.

    name    dotted key
    band    in SI, on the value's stored basis
    status  'stated' or 'default'
    A normal spread is cut off at the bounds of the key; its band itself lies within them, or the build is refused.
    """
    parameter = value.parameter
    numbers = values_of(value)
    widths = tuple(max(pair) for pair in zip(band.below, band.above, strict=True))
    if band.shape == "normal":
        spread = _within_bounds(numbers, widths, bounds_of(parameter))
    else:
        spread = Distribution(band.shape, -band.below[0] / widths[0], band.above[0] / widths[0])
    nominal = value.written.partition("+-")[0].strip()
    what = parameter.words.split(". ")[0].split(": ")[0].rstrip(".")
    measure = parameter.measured_by or f"measure it: {what[:1].lower()}{what[1:]}"
    return Doubt(
        name, what, spread, status, nominal, _band_words(parameter.kind, value, band), source, measure, widths
    )


def _within_bounds(
    numbers: tuple[float, ...], widths: tuple[float, ...], bounds: tuple[float, float]
) -> Distribution:
    low, high = -math.inf, math.inf
    for number, width in zip(numbers, widths, strict=True):
        if width > 0.0:
            low, high = max(low, (bounds[0] - number) / width), min(high, (bounds[1] - number) / width)
    return Distribution("normal", low, high)


def _band_words(kind: str, value: Value, band: Band) -> str:
    """The band as a person writes it."""
    if " to " in band.written:
        return band.written
    if value.curve is not None and not value.curve.is_constant:
        return f"+- {band.written}"
    width_kind = "temperature_difference" if kind == "temperature" else kind
    unit = None if kind == "dimensionless" or value.unit is None else value.unit
    text = band.written
    if text.endswith("%") or not text:
        if value.parameter.also and unit is not None and value.basis is None:
            return f"+- {text}"
        text = f"{format_quantity(band.above[0], width_kind, unit, digits=3)} ({text})"
    return f"+- {text}"


def _of_model(model: ModelDoubt) -> Doubt:
    spread = model.distribution
    return Doubt(f"model.{model.name}", model.words, spread, "model", model.nominal, model.band, model.source,
                 model.measure, model.widths)  # fmt: skip
