"""Predict: what an engine, a turbo, a housing, a gate and an exhaust do together, over engine speed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, read_build
from boostwright.cards.card import Card
from boostwright.components.breathing import Filling, filling_words
from boostwright.errors import BuildError, Fault
from boostwright.physics.gas.species import SPECIES
from boostwright.solve.cycle_words import cylinder_choices
from boostwright.solve.kernel.layout import TARGET
from boostwright.solve.limits import binding_limits, limits_of
from boostwright.solve.map_picture import map_picture
from boostwright.solve.native import is_compiled
from boostwright.solve.operating_point import Choice, Prediction, Remark, Values
from boostwright.solve.outcomes import flags_of, outcomes_of
from boostwright.solve.problem import Problem, assemble
from boostwright.solve.quantities import quantities_of
from boostwright.solve.remarks import estimates, gate_knee, rules_of_thumb, runaway_speed
from boostwright.solve.run import solve
from boostwright.solve.threshold import threshold
from boostwright.tasks.beside import Beside, beside_all, joined_flags
from boostwright.tasks.fuel_figures import fuel_system_figures
from boostwright.tasks.knock_band import knock_band
from boostwright.tasks.known_curve import engine_of_the_known_curve, filling_of_known_curve
from boostwright.tasks.names import QUANTITIES
from boostwright.tasks.own_limits import refuse_own_limits
from boostwright.tasks.power_figures import corrected_figures, wheel_figures
from boostwright.tasks.probe_figures import probe_figures
from boostwright.tasks.ready import cards_of, speed_limit_of
from boostwright.tasks.rod_figures import rod_figures
from boostwright.tasks.runner_figures import runner_figures

__all__ = ["needs_compiling", "predict", "predict_build"]

Array = NDArray[np.float64]

_CAUTIONS = (
    "A prediction is no proof that an engine will survive: approach its numbers in steps, with every sensor read.",
    "Turbo, manifold and downpipe glow under load and compressed charge stores energy: keep people and fuel away.",
)


def needs_compiling() -> bool:
    """True when the next prediction will first compile the solver."""
    return not is_compiled()


def predict(
    folder: Path,
    *,
    mode: str | None = None,
    settings: Sequence[str] = (),
    speeds: Sequence[float] | None = None,
) -> Prediction:
    """Predict a build folder.

    mode      one of 'gate-shut', 'spring', 'target', 'gate-open', 'no-turbo'; None takes the build's
    settings  'key=value' laid over the build for this run
    speeds    engine speeds [rad/s], rising; None takes the build's
    Returns a Prediction. Raises BuildError or CardError with every fault found.
    """
    settings = [*settings, f"prediction.mode={mode}"] if mode is not None else list(settings)
    return predict_build(read_build(folder, settings), speeds=speeds, settings=settings)


def predict_build(
    build: Build,
    *,
    speeds: Sequence[float] | None = None,
    settings: Sequence[str] = (),
    change: Callable[[Problem], Problem] | None = None,
) -> Prediction:
    """Predict a build that was read already; see ``predict``.

    change  what is done to every problem before it is solved, such as the spark at one end of the knock band
    """
    cards = cards_of(build)
    mode = build["prediction"].text("mode")
    _refuse_missing_target(build, mode)
    refuse_own_limits(build)
    chosen = np.array(build["prediction"].speeds("speeds") if speeds is None else speeds, dtype=float)
    filling = filling_of_known_curve(build, cards, chosen)
    build = engine_of_the_known_curve(build)

    def at(these: Array, this_mode: str) -> Problem:
        problem = assemble(build, cards, these, this_mode, filling)
        return problem if change is None else change(problem)

    problem = at(chosen, mode)
    states = solve(problem)
    limit, limit_source = speed_limit_of(build, cards, problem)
    turbo = mode != "no-turbo"
    outcomes = outcomes_of(problem, states, limit)
    q = quantities_of(build, problem, states, limit)
    beside = _beside(build, cards, problem, states, q, limit, filling)
    q |= beside.quantities
    limits = limits_of(build, q, problem.compressor.speed_lowest_measured, limit, limit_source)
    limits += beside.limits
    flags = flags_of(build, problem, q, outcomes, limits, turbo)
    return Prediction(
        name=build.name,
        mode=mode,
        speeds=chosen,
        quantities={
            name: Values(name, unit, q[name], words, basis)
            for name, (unit, words, basis) in QUANTITIES.items()
            if name in q
        },
        outcomes=outcomes,
        binding_limit=binding_limits(mode, states, problem.points, limits, outcomes),
        flags=joined_flags(flags, beside.flags),
        limits=limits,
        remarks=beside.remarks
        + (_remarks(build, problem, states, at, mode) + rules_of_thumb(build, q) if turbo else ()),
        choices=(*_choices(build, cards, problem), *beside.choices),
        gases=_gases(problem),
        settings=tuple(settings),
        defaults_used=tuple(
            (d.key, d.value, d.status)
            for d in build.defaults_used
            if not d.key.startswith(("plan.", "clearance.", "dyno.", "vehicle.", "transient."))
        ),
        cautions=_CAUTIONS,
        warnings=tuple(str(fault) for fault in build.warnings),
        compressor_map=map_picture(problem.compressor, _compressor_name(cards)) if turbo else None,
        constants={**_constants(build, problem), **beside.constants},
        cylinders=beside.cylinders,
    )


def _beside(
    build: Build,
    cards: Mapping[str, Card],
    problem: Problem,
    states: NDArray[np.void],
    q: Mapping[str, Array],
    speed_limit: float,
    filling: Filling | None,
) -> Beside:
    """What the build asks for besides: reference air, wheel figures, margins of the fuel system, the band of knock."""
    mode = build["prediction"].text("mode")

    def predicted(other: Build) -> Mapping[str, Array]:
        these = assemble(other, cards, problem.speeds, mode, filling)
        return quantities_of(other, these, solve(these), speed_limit)

    held = states["mode_held"] == TARGET
    return beside_all(
        corrected_figures(build, q, held, predicted),
        wheel_figures(build, q),
        fuel_system_figures(build, cards["fuel"], q),
        knock_band(build, problem, q, speed_limit),
        rod_figures(build, problem, q),
        probe_figures(build, q),
        runner_figures(build, cards["fuel"], problem, q),
    )


def _refuse_missing_target(build: Build, mode: str) -> None:
    if mode != "target" or build["boost_control"].has("target"):
        return
    fault = Fault(
        build.path.name,
        "prediction.mode",
        "target",
        "there is no boost target to hold",
        "spring, gate-shut, gate-open, no-turbo; or target with boost_control.target",
        "add boost_control.target or choose another mode",
    )
    raise BuildError([fault])


def _remarks(
    build: Build,
    problem: Problem,
    states: NDArray[np.void],
    at: Callable[[Array, str], Problem],
    mode: str,
) -> tuple[Remark, ...]:
    """Threshold, knee of the gate and runaway speed."""
    found = [
        *estimates(problem),
        threshold(build, at),
        gate_knee(problem, states, at, mode),
        runaway_speed(problem, states, at, mode),
    ]
    return tuple(remark for remark in found if remark is not None)


def _compressor_name(cards: Mapping[str, Card]) -> str:
    """What the map is called on a plot."""
    return cards["compressor"].name if "compressor" in cards else "estimate from the wheel's dimensions"


def _choices(build: Build, cards: Mapping[str, Card], problem: Problem) -> tuple[Choice, ...]:
    found = [
        Choice(f"{kind} card", card.name, card.found_in, card.header.status, card.header.source)
        for kind, card in cards.items()
    ]
    if "compressor" not in cards:
        words = "wheel: speed lines estimated from its dimensions by a mean line"
        found.append(Choice("compressor", words, "build", "estimate", "build, compressor.given_as"))
    if "turbine" not in cards:
        source = "own estimate of efficiency"
        if build["turbine"].text("given_as") == "wheel":
            source = "build, turbine.given_as"
        found.append(Choice("turbine", problem.turbine.words, "build", "unproven", source))
    elif problem.turbine.flow_error > 0.0:
        words = (
            f"{problem.turbine.words}; points about the table: flow {100 * problem.turbine.flow_error:.1f} %, "
            f"efficiency {100 * problem.turbine.efficiency_error:.1f} points (root mean square)"
        )
        found.append(Choice("turbine", words, "card", "unproven"))
    found.append(_pulses(build, problem))
    found += cylinder_choices(build, problem)
    gate = build["wastegate"]
    words, status = filling_words(build)
    found.append(Choice("filling", words, "build", status))
    found.append(Choice("back-pressure relation", build["breathing"].text("backpressure_relation")))
    found.append(Choice("friction relation", build["cylinder"].text("friction")))
    if gate.text("kind") != "none":
        relation = "stated number" if gate.has("takeoff_loss") else gate.text("takeoff_relation")
        found.append(Choice("take-off loss relation", relation, "", "from memory"))
    return tuple(found)


def _pulses(build: Build, problem: Problem) -> Choice:
    """How the pulses at the turbine are taken."""
    amplitude = problem.pulse_amplitude
    if not amplitude.any():
        return Choice("pulses at the turbine", "none: the turbine is taken as steady")
    words = f"relative amplitude {amplitude.max():.2f} to {amplitude.min():.2f}, quasi-steady average of the turbine"
    if build["turbine"].has("pulse_amplitude"):
        return Choice("pulses at the turbine", words, "build", "", "build, turbine.pulse_amplitude")
    return Choice("pulses at the turbine", words, "", "own estimate", "rule by engine speed and cylinders")


def _gases(problem: Problem) -> dict[str, dict[str, Array]]:
    n = problem.speeds.size
    air = {name: np.full(n, problem.ambient.mole_fractions[k]) for k, name in enumerate(SPECIES)}
    burned = {name: problem.mixture.mole_fractions[:, k] for k, name in enumerate(SPECIES)}
    return {"intake_air": air, "exhaust": burned}


def _constants(build: Build, problem: Problem) -> dict[str, Values]:
    """Numbers a reader needs to redo the balances from the output alone."""
    one = problem.points[:1]
    single = {
        "displacement": ("m3", one["displacement"], "swept volume of the engine"),
        "shaft_mechanical_efficiency": ("1", one["mechanical_efficiency"], "of the turbocharger's bearings"),
        "lower_heating_value": ("J/kg", [problem.mixture.lower_heating_value], "of the fuel, liquid"),
        "humidity_ratio": ("1", [problem.ambient.humidity_ratio], "water over dry air, by mass"),
        "stoichiometric_ratio": ("1", [problem.mixture.stoichiometric_ratio], "dry air over fuel, by mass"),
        "enthalpy_reference": ("K", [298.15], "temperature from which sensible enthalpies count"),
    }
    found = {
        name: Values(name, unit, np.array(values, dtype=float), words)
        for name, (unit, values, words) in single.items()
    }
    found["unburned_energy"] = Values(
        "unburned_energy",
        "J/kg",
        problem.mixture.unburned_energy,
        "energy that leaves as carbon monoxide and hydrogen, per kg exhaust, one a point",
    )
    return found
