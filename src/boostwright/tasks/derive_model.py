"""What the model knows beside a log: the compressor's lines, the turbine's flow, and what it expects on that day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, with_settings
from boostwright.cards.card import Card
from boostwright.components.turbine_lookup import turbine_at
from boostwright.logs.derived.facts import CompressorFacts, Day, Expected, Facts, TurbineFacts
from boostwright.solve.native import compressor_states, line_flows
from boostwright.solve.operating_point import Prediction
from boostwright.solve.problem import Problem, assemble
from boostwright.tasks.derive_facts import facts_of_build
from boostwright.tasks.known_curve import filling_of_known_curve
from boostwright.tasks.predict import predict_build
from boostwright.tasks.ready import cards_of, speed_limit_of

__all__ = ["facts_for", "on_the_day", "prediction_for"]

Array = NDArray[np.float64]

_LINES, _ALONG = 28, 41
_SLOWEST = 0.25  # of the lowest measured line
_RATIOS, _BLADES = 33, 8
_FLOW_EXPONENT = (
    2.3633  # of the flow form of a turbine known by one number (Sivertsson and Eriksson, SIMS 2014)
)


def on_the_day(build: Build, day: Day) -> Build:
    """The build in the air of a day, as far as it is known."""
    settings = []
    if day.pressure is not None:
        settings += [
            "ambient.altitude=",
            f"ambient.pressure={day.pressure.value!r} Pa",
            "ambient.pressure_basis=station",
        ]
    if day.temperature is not None:
        settings.append(f"ambient.temperature={day.temperature.value!r} K")
    if day.humidity is not None:
        settings.append(f"ambient.relative_humidity={min(max(day.humidity.value, 0.0), 1.0)!r}")
    return with_settings(build, settings) if settings else build


def prediction_for(build: Build) -> Prediction:
    """What the build does over its own speeds, in its own mode, raw at the crankshaft."""
    return predict_build(build)


def facts_for(build: Build, prediction: Prediction | None, load: str) -> Facts:
    """Everything the build knows beside a log of that day.

    prediction  of the build on the day, for what no sensor shows; None leaves out what needs the model
    load        'road', 'roller' or '' for the build's own
    Raises BuildError or CardError.
    """
    cards = cards_of(build)
    speeds = np.array(build["prediction"].speeds("speeds"))
    filling = filling_of_known_curve(build, cards, speeds)
    facts = facts_of_build(build, cards, filling, speeds, load)
    if prediction is None or build["prediction"].text("mode") == "no-turbo":
        return facts
    problem = assemble(build, cards, speeds, build["prediction"].text("mode"), filling)
    return replace(
        facts,
        compressor=_compressor(build, cards, problem),
        turbine=_turbine(build, problem),
        expected=_expected(prediction),
    )


def _compressor(build: Build, cards: Mapping[str, Card], problem: Problem) -> CompressorFacts:
    """Lines from well below the lowest measured one, by the surface the solver reads."""
    surface = problem.compressor
    speeds = np.linspace(_SLOWEST * surface.speed_lowest_measured, surface.speed_highest_measured, _LINES)
    surge, _, choke = line_flows(surface.table, speeds)
    flow = surge[:, None] + (choke - surge)[:, None] * np.linspace(0.0, 1.0, _ALONG)
    grid = np.repeat(speeds[:, None], _ALONG, axis=1)
    ratio, _ = compressor_states(surface.table, grid.ravel(), flow.ravel())
    card = cards.get("compressor")
    limit, _ = speed_limit_of(build, cards, problem)
    name = card.name if card is not None else "estimate from the wheel's dimensions"
    return CompressorFacts(
        count=build["compressor"].integer("count"),
        reference_pressure=card.si("reference_pressure") if card is not None else 101325.0,
        reference_temperature=card.si("reference_temperature") if card is not None else 288.15,
        speeds=speeds,
        flow=flow,
        pressure_ratio=ratio.reshape(flow.shape),
        speed_limit=limit,
        flow_share=surface.known.flow,
        ratio_share=surface.known.pressure,
        words=f"{name}, {surface.known.words}",
    )


def _turbine(build: Build, problem: Problem) -> TurbineFacts:
    """Flow of one turbine over engine speed (its pulses), expansion ratio and blade-speed ratio."""
    log_ratio = np.linspace(0.0, np.log(5.0), _RATIOS)
    blade = np.linspace(0.2, 1.2, _BLADES)
    ratio, ratios = np.meshgrid(np.exp(log_ratio), blade, indexing="ij")
    found = np.empty((problem.speeds.size, _RATIOS, _BLADES))
    for k, index in enumerate(problem.points["turbine_index"]):
        flow, _ = turbine_at(problem.turbines[index], ratio.ravel(), ratios.ravel())
        found[k] = flow.reshape(ratio.shape)
    return TurbineFacts(
        count=build["turbine"].integer("count"),
        wheel_diameter=problem.turbine.wheel_diameter,
        engine_speeds=problem.speeds,
        log_ratio=log_ratio,
        blade_ratio=blade,
        swallowing=found,
        flow_exponent=_FLOW_EXPONENT,
        share=problem.turbine.known.flow,
        words=f"{problem.turbine.words}, pulses as the model takes them",
    )


def _expected(prediction: Prediction) -> Expected | None:
    """What the model expects where it has a steady state, along rising speeds; None where it has none."""
    q = prediction
    good = np.isfinite(q["pressure_em"]) & np.isfinite(q["temperature_em"])
    if good.sum() < 2:
        return None
    reading = q["egt_reading"] if "egt_reading" in q.quantities else np.full(good.shape, np.nan)
    over = np.where(np.isfinite(reading), q["temperature_em"] - reading, 60.0)
    return Expected(
        speeds=q.speeds[good],
        pressure_ratio=(q["pressure_em"] / q["pressure_im"])[good],
        temperature_em=q["temperature_em"][good],
        temperature_over_reading=over[good],
        words=f"the model in mode {prediction.mode}",
    )
