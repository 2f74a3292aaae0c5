"""What is in doubt of the models themselves: maps, pulses, knock, closed cycle, takeoff. Own estimates, each with its
reason; what a compressor and a turbine are worth stands in ``components.how_known``."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from boostwright.build import Build
from boostwright.cards.card import Card
from boostwright.components.closed_cycle import cycle_fuel
from boostwright.components.compressor_from_build import compressor_of_build
from boostwright.components.how_known import HowKnown
from boostwright.components.turbine_from_build import turbine_of_build
from boostwright.solve.cylinder_quantities import KNOCK_TEMPERATURE_BAND, knock_multiplier_band
from boostwright.solve.uncertainty.distribution import Distribution

__all__ = ["CYCLE_TEMPERATURE", "CYCLE_WORK", "PULSES", "TAKEOFF", "ModelDoubt", "model_doubts"]

PULSES = 0.5
"""By how much of itself the amplitude of the rule may be off; the same as for the threshold."""
CYCLE_WORK = 0.025
"""Share of the gross work: one zone, one burn law and one wall-heat relation for every engine. The table itself is
within 0.2 %."""
CYCLE_TEMPERATURE = 30.0
"""K in the gas when the exhaust valve opens, at the same work."""
TAKEOFF = 0.3
"""Dynamic heads: about what the three published relations differ by at a common takeoff."""
_FITTED = "fit it to a pull, once one is logged"


@dataclass(frozen=True)
class ModelDoubt:
    """One doubt about a model; fields as in ``doubts.Doubt``, ``name`` without its 'model.'."""

    name: str
    words: str
    distribution: Distribution
    nominal: str
    band: str
    source: str
    measure: str
    widths: tuple[float, ...]


def model_doubts(build: Build, cards: Mapping[str, Card]) -> Iterator[ModelDoubt]:
    """The doubts about the models that this build leans on."""
    yield from _turbocharger(build, cards)
    if not build["turbine"].has("pulse_amplitude"):
        yield ModelDoubt(
            "pulses", "pulses at the turbine", Distribution(low=-1.0 / PULSES), "by the rule",
            f"+- {100 * PULSES:.0f} % of themselves", "own estimate",
            "log exhaust manifold pressure with a fast sensor close to the turbine", (PULSES,),
        )  # fmt: skip
    if build["wastegate"].text("kind") != "none" and not build["wastegate"].has("takeoff_loss"):
        yield ModelDoubt(
            "takeoff", "loss of the takeoff, by its published relation", Distribution(), "by the relation",
            f"+- {TAKEOFF} dynamic heads", "own estimate: what the published relations differ by",
            "put a tap ahead of the gate valve and log it beside exhaust manifold pressure", (TAKEOFF,),
        )  # fmt: skip
    if cycle_fuel(cards["fuel"]).octane_number > 0.0:
        yield from _knock(build)
    yield from _cycle()


def _turbocharger(build: Build, cards: Mapping[str, Card]) -> Iterator[ModelDoubt]:
    turbine = turbine_of_build(build["turbine"], cards.get("turbine")).known
    compressor = compressor_of_build(build["compressor"], cards.get("compressor")).known
    better = "log exhaust manifold pressure and temperature, boost and shaft speed at full load, and fit the turbine"
    for name, words, share in (
        ("turbine_flow", "flow of the turbine", turbine.flow),
        ("turbine_efficiency", "efficiency of the turbine", turbine.efficiency),
    ):
        if share > 0.0:
            band = f"+- {100 * share:.0f} % of itself"
            # a turbine that swallows nothing, or gives nothing, is none
            yield _mapped(name, words, turbine, band, better, share, Distribution(low=-0.95 / share))
    better = "get the map of this very wheel, or log boost, charge temperature and shaft speed at full load"
    for name, words, share, of in (
        ("compressor_flow", "flow of the compressor's map", compressor.flow, "% of itself"),
        ("compressor_pressure", "pressure rise of the compressor's map", compressor.pressure, "% of itself"),
        ("compressor_efficiency", "efficiency of the compressor's map", compressor.efficiency, "points"),
    ):
        if share > 0.0:
            band = f"+- {100 * share:.0f} {of}"
            yield _mapped(name, words, compressor, band, better, share, Distribution())


def _mapped(
    name: str, words: str, known: HowKnown, band: str, better: str, share: float, spread: Distribution
) -> ModelDoubt:
    return ModelDoubt(name, words, spread, f"by {known.words}", band, "own estimate by what describes it", better,
                      (share,))  # fmt: skip


def _knock(build: Build) -> Iterator[ModelDoubt]:
    section = build["spark"]
    low, high = knock_multiplier_band(section)
    middle = section.si("knock_multiplier")
    fitted = section.written("knock_multiplier")
    yield ModelDoubt(
        "knock_multiplier", "knock multiplier", Distribution(), f"{middle:g}",
        f"{low:.2g} to {high:.2g}", "own estimate" if not fitted else "own estimate for a fitted one",
        "find one knock-limited point of this engine", (math.log(middle / low), math.log(high / middle)),
    )  # fmt: skip
    yield ModelDoubt(
        "knock_temperature", "temperature of the end gas over that of the trapped charge", Distribution(), "0 K",
        f"+- {KNOCK_TEMPERATURE_BAND:.0f} K", "own estimate", "find one knock-limited point of this engine",
        (KNOCK_TEMPERATURE_BAND,),
    )  # fmt: skip


def _cycle() -> Iterator[ModelDoubt]:
    yield ModelDoubt(
        "cycle_work", "work of the closed cycle", Distribution(low=-0.95 / CYCLE_WORK), "by one zone and a burn law",
        f"+- {100 * CYCLE_WORK:.1f} %", "own estimate", f"compare with a known torque without boost; {_FITTED}",
        (CYCLE_WORK,),
    )  # fmt: skip
    yield ModelDoubt(
        "cycle_temperature", "gas temperature when the exhaust valve opens", Distribution(),
        "by one zone and a burn law", f"+- {CYCLE_TEMPERATURE:.0f} K", "own estimate",
        f"read the exhaust temperature at a known load; {_FITTED}", (CYCLE_TEMPERATURE,),
    )  # fmt: skip
