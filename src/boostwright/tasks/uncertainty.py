"""Predict with bands: every doubt drawn, every sample solved, the answers as bands and their doubts ranked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, read_build
from boostwright.cards.card import Card
from boostwright.errors import BuildError, Fault
from boostwright.solve.operating_point import Prediction
from boostwright.solve.problem import assemble
from boostwright.solve.uncertainty.assembling import Assembler
from boostwright.solve.uncertainty.doubts import Doubt
from boostwright.solve.uncertainty.edges import edges_of
from boostwright.solve.uncertainty.sampled import Sampled, sampled, sampled_at, speeds_for_thresholds
from boostwright.solve.uncertainty.thresholds import fine_speeds
from boostwright.tasks.bands_beside import beside_of_samples
from boostwright.tasks.bands_result import LEVELS, BandedPrediction, BandValues, Headline
from boostwright.tasks.headlines import headlines_of
from boostwright.tasks.known_curve import engine_of_the_known_curve, filling_of_known_curve
from boostwright.tasks.names import QUANTITIES
from boostwright.tasks.predict import predict_build
from boostwright.tasks.progress import Report
from boostwright.tasks.ready import cards_of, speed_limit_of

__all__ = ["FEWEST", "MOST", "predict_bands", "predict_bands_of_build", "sample_prediction"]

Array = NDArray[np.float64]

FEWEST, MOST = 20, 100_000
"""Samples that may be asked for: below, a band of 90 % has no edge; above, it is a slip of the pen."""

_MODELLED = (
    "engine", "ambient", "fuel", "fuel_system", "breathing", "cylinder", "spark", "intake", "compressor",
    "charge_cooler", "throttle", "exhaust_manifold", "turbine", "shaft", "wastegate", "boost_control", "exhaust",
    "driveline",
)  # fmt: skip
"""Sections whose numbers the solver reads."""
_DECISIONS = (
    "engine.speed_limit", "ambient.altitude", "compressor.surge_margin_wanted", "compressor.speed_limit",
    "fuel_system.highest_duty", "fuel_system.pump_margin_wanted", "boost_control.fixed_duty", "turbine.a_r",
    "exhaust_manifold.wall",
)  # fmt: skip
"""Numbers among them that nobody measures, or that reach nothing."""


def predict_bands(
    folder: Path,
    *,
    mode: str | None = None,
    settings: Sequence[str] = (),
    speeds: Sequence[float] | None = None,
    samples: int = 1000,
    seed: int = 1,
    propagate: bool = False,
    progress: Report | None = None,
) -> BandedPrediction:
    """Predict a build folder with a band on every quantity.

    mode, settings, speeds  as in ``predict``
    samples    [-] how many are drawn, FEWEST to MOST
    seed       [-] not negative; the same seed gives the same draws
    propagate  whether the law of propagation is run beside the samples, for comparison
    progress   told how many samples are solved
    Raises BuildError or CardError with every fault found.
    """
    settings = [*settings, f"prediction.mode={mode}"] if mode is not None else list(settings)
    build = read_build(folder, settings)
    return predict_bands_of_build(
        build,
        speeds=speeds,
        settings=settings,
        samples=samples,
        seed=seed,
        propagate=propagate,
        progress=progress,
    )


def predict_bands_of_build(
    build: Build,
    *,
    speeds: Sequence[float] | None = None,
    settings: Sequence[str] = (),
    samples: int = 1000,
    seed: int = 1,
    propagate: bool = False,
    progress: Report | None = None,
) -> BandedPrediction:
    """Predict a build that was read already, with bands; see ``predict_bands``."""
    _refuse(samples, seed)
    prediction = predict_build(build, speeds=speeds, settings=settings)
    found = sample_prediction(build, prediction.speeds, samples=samples, seed=seed, progress=progress)
    bands = dict(_bands(found))
    linear = _propagated(build, prediction.speeds, found.doubts) if propagate else None
    headlines = headlines_of(prediction, found, linear)
    return BandedPrediction(
        prediction=prediction,
        samples=samples,
        seed=seed,
        doubts=found.doubts,
        bands=bands,
        steady_share=found.steady.mean(axis=0),
        headlines=headlines,
        exact=_exact(build, found.doubts),
        notes=_notes(build, prediction, found, headlines),
    )


def sample_prediction(
    build: Build,
    speeds: Array,
    *,
    samples: int,
    seed: int,
    doubts: Sequence[Doubt] | None = None,
    progress: Report | None = None,
) -> Sampled:
    """Samples of a build with everything a prediction carries of them, thresholds included.

    speeds  (n,) [rad/s]
    doubts  what is drawn; None takes all
    """

    def told(done: int) -> None:
        if progress is not None:
            progress(done, samples, "samples drawn and solved")

    told(0)
    cards, ready, mode = _ready(build)
    every = np.concatenate([speeds, fine_speeds(ready["engine"].si("speed_limit"))])
    filling = filling_of_known_curve(build, cards, np.unique(every))
    one = assemble(ready, cards, speeds[:1], mode, filling)
    found = sampled(
        ready,
        cards,
        speeds,
        mode,
        filling,
        samples=samples,
        seed=seed,
        doubts=doubts,
        speed_limit=speed_limit_of(ready, cards, one)[0],
        with_thresholds=mode != "no-turbo",
        told=told,
    )
    told(samples)
    return replace(found, quantities={**found.quantities, **beside_of_samples(ready, cards, found)})


def _ready(build: Build) -> tuple[dict[str, Card], Build, str]:
    """Cards, the build that is solved, and its mode."""
    return cards_of(build), engine_of_the_known_curve(build), build["prediction"].text("mode")


def _refuse(samples: int, seed: int) -> None:
    faults = []
    if not FEWEST <= samples <= MOST:
        faults.append(
            Fault(
                "--samples",
                "",
                str(samples),
                "is no number of samples to work with.",
                f"{FEWEST} to {MOST}",
                "1000 is usual: the edges of a 90 % band are then good to about a tenth of its half width.",
            )
        )
    if seed < 0:
        faults.append(Fault("--seed", "", str(seed), "is below zero.", "a whole number from 0"))
    if faults:
        raise BuildError(faults)


def _bands(found: Sampled) -> Iterator[tuple[str, BandValues]]:
    """Bands of every quantity that has a unit of its own, over the samples that have a value."""
    for name, values in found.quantities.items():
        if name not in QUANTITIES:
            continue
        unit = QUANTITIES[name][0]
        yield name, BandValues(name, unit, *edges_of(values, LEVELS))


def _propagated(build: Build, speeds: Array, doubts: Sequence[Doubt]) -> Sampled:
    """The samples of the law of propagation: each doubt by itself one standard deviation up, then down.

    Source: JCGM 100:2008 (GUM), 5.1.2 and note 2 of 5.1.3.
    """
    cards, ready, mode = _ready(build)
    known = np.concatenate([speeds, fine_speeds(ready["engine"].si("speed_limit"))])
    filling = filling_of_known_curve(build, cards, np.unique(known))
    fine = speeds_for_thresholds(ready, cards, mode, filling) if mode != "no-turbo" else np.empty(0)
    every = np.concatenate([speeds, fine])
    maker = Assembler(ready, cards, every, mode, filling, doubts)
    step = np.diag([doubt.distribution.standard_deviation for doubt in doubts])
    found = sampled_at(maker, np.concatenate([step, -step]), fine=fine.size)
    return replace(found, quantities={**found.quantities, **beside_of_samples(ready, cards, found)})


def _exact(build: Build, doubts: Sequence[Doubt]) -> tuple[str, ...]:
    """Numbers that were written without a band."""
    named = {doubt.name for doubt in doubts}
    found = []
    for section in build.sections.values():
        if section.name not in _MODELLED:
            continue
        for key, value in section.values.items():
            name = f"{section.name}.{key}"
            numeric = value.parameter.kind not in ("text", "choice", "integer", "speeds", "days", "parts")
            if value.origin in ("file", "set") and numeric and name not in named and name not in _DECISIONS:
                found.append(name)
    return tuple(found)


def _notes(
    build: Build, prediction: Prediction, found: Sampled, headlines: Sequence[Headline]
) -> tuple[str, ...]:
    """What must be known about the bands."""
    notes = [
        f"{len(found.shifts)} samples from seed {found.seed}; a band holds 90 % of those with a steady state: 5 % lie "
        "below it and 5 % above"
    ]
    lost = 1.0 - float(found.steady.mean())
    if lost > 0.0:
        worst = int(np.argmin(found.steady.mean(axis=0)))
        share = 100.0 * (1.0 - found.steady.mean(axis=0)[worst])
        notes.append(
            f"{100.0 * lost:.2g} % of all points have no steady state, most at "
            f"{found.speeds[worst] * 30.0 / np.pi:.0f} rpm: {share:.2g} % of the samples; the bands leave them out"
        )
    cut = [doubt.name for doubt in found.doubts if doubt.distribution.cut_off]
    if cut:
        notes.append(f"normal spreads cut off at the bounds of their key: {', '.join(cut)}")
    if all(not headline.contributors for headline in headlines):
        notes.append(
            f"too few samples to rank {len(found.doubts)} doubts: draw {2 * len(found.doubts)} or more"
        )
    if prediction.cylinders is not None:
        notes.append("cylinders apart carry no bands")
    if build["power_correction"].text("method") != "none":
        notes.append("figures corrected for the weather carry no bands")
    if any(name.startswith("rod_force") for name in found.quantities):
        notes.append(
            "the force that a believed torque implies is worked out at the nominal engine, and the torque that "
            "the rods allow carries no band"
        )
    notes.append(
        "what the bands do not hold: a wrong card, a wrong plan of the parts, and whatever no model here knows"
    )
    return tuple(notes)
