"""How well the cylinders fill: from a table, from valves and cams, or from what a known curve was turned back into."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.components.valve_train import (
    TRAPPING_LIFT,
    Cam,
    ValveEvents,
    cams_of_build,
    rod_ratio,
    valve_events,
    valve_loss_of_cams,
)
from boostwright.errors import BuildError, Fault
from boostwright.physics.cylinder import breathing, pumping, valves

__all__ = [
    "BREATHING_FORMS",
    "BREATHING_GAMMA",
    "Filling",
    "ValveEvents",
    "backpressure_factor",
    "breathing_fields",
    "filling_of_cams",
    "filling_words",
    "valve_events",
    "valve_loss_share",
]

Array = NDArray[np.float64]

BREATHING_FORMS = ("eriksson", "heywood")
BREATHING_GAMMA = 1.3  # of the residual gas, in the back-pressure factor
_BAR = 1.0e5
_AIR_GAS_CONSTANT = 287.05
_AIR_GAMMA = 1.4
_FACTORS = {
    "eriksson": breathing.backpressure_factor_eriksson,
    "heywood": breathing.backpressure_factor_heywood,
}


@dataclass(frozen=True)
class Filling:
    """Volumetric efficiency found at some engine speeds, and the state it was found in; all (k,).

    speeds [rad/s] rising; volumetric_efficiency [-]; pressure_ratio p_em/p_im [-]; temperature_im [K]
    """

    speeds: Array
    volumetric_efficiency: Array
    pressure_ratio: Array
    temperature_im: Array


def backpressure_factor(build: Build, pressure_ratio: float | Array) -> Array:
    """The build's relation for the loss with exhaust pressure at p_em/p_im (...,) [-]; 1 at ratio 1."""
    relation = _FACTORS[build["breathing"].text("backpressure_relation")]
    ratio = build["engine"].si("compression_ratio")
    return np.asarray(relation(pressure_ratio, ratio, BREATHING_GAMMA), dtype=float)


def filling_of_cams(build: Build, cams: tuple[Cam, Cam], speeds: Array) -> Array:
    """Volumetric efficiency (n,) [-] estimated from valves and cams at engine speeds (n,) [rad/s].

    Slow filling x what late closing keeps x what the valves' resistance leaves. Band: 0.08 on the first, 0.03 on the
    last, and whatever the runners do, which is in none of them.
    """
    breath, engine = build["breathing"], build["engine"]
    intake = cams[0]
    sound = math.sqrt(_AIR_GAMMA * _AIR_GAS_CONSTANT * breath.si("reference_temperature"))
    index = valves.inlet_mach_index_taylor(
        engine.si("bore"),
        intake.diameter,
        float(intake.count),
        intake.mean_flow_coefficient,
        engine.si("stroke") * speeds / math.pi,
        sound,
    )
    closing = intake.middle + intake.half_duration(TRAPPING_LIFT) - math.pi
    kept = valves.share_kept_at_closing(max(closing, 0.0), rod_ratio(build))
    return np.asarray(
        breath.si("slow_filling") * kept * valves.filling_factor_taylor(index, intake.duration), dtype=float
    )


def breathing_fields(build: Build, speeds: Array, filling: Filling | None = None) -> dict[str, float | Array]:
    """Point fields of the breathing at engine speeds (n,) [rad/s].

    filling  what a known curve was turned back into; needed with ``source = "known-curve"`` and used with no other
    Raises BuildError when it is needed and not there.
    """
    breath = build["breathing"]
    source = breath.text("source")
    reference: float | Array = breath.si("reference_pressure_ratio")
    temperature: float | Array = breath.si("reference_temperature")
    if source == "known-curve":
        if filling is None:
            raise BuildError([_not_turned_back(build)])
        efficiency = np.interp(speeds, filling.speeds, filling.volumetric_efficiency)
        reference = np.interp(speeds, filling.speeds, filling.pressure_ratio)
        temperature = np.interp(speeds, filling.speeds, filling.temperature_im)
    elif source == "cams":
        cams = cams_of_build(build)
        if cams is None:  # the check of the build has refused this; a build made by hand may still do it
            raise BuildError([_no_cams(build)])
        efficiency = filling_of_cams(build, cams, speeds)
    else:
        efficiency = breath.curve("volumetric_efficiency").along(speeds)
    return {
        "volumetric_efficiency": efficiency,
        "breathing_form": float(BREATHING_FORMS.index(breath.text("backpressure_relation"))),
        "breathing_reference": backpressure_factor(build, reference),
        "breathing_temperature": temperature,
        "breathing_exponent": breath.si("temperature_exponent"),
    }


def valve_loss_share(build: Build, piston_speed: Array) -> Array:
    """Pressure lost in the valves over that of the intake manifold (n,) [-] at mean piston speeds (n,) [m/s].

    From cams and valves where the build describes both; a valve_loss_factor that is written counts before them.
    """
    cylinder = build["cylinder"]
    cams = cams_of_build(build)
    if cams is not None and not cylinder.written("valve_loss_factor"):
        return valve_loss_of_cams(build, cams, piston_speed)
    loss = cylinder.si("valve_loss_factor") * _BAR
    return np.asarray(pumping.valve_loss(piston_speed, 1.0, loss), dtype=float)


def filling_words(build: Build) -> tuple[str, str]:
    """Where the filling comes from and how well it is known, in words."""
    source = build["breathing"].text("source")
    if source == "cams":
        return "cams: inlet Mach index and late closing, no tuning of runners; +-0.08", "own estimate"
    if source == "known-curve":
        at, air = (build["breathing"].text(f"known_curve_{key}") for key in ("at", "air"))
        words = f"known-curve: turned back through the model, at the {at}, {air}"
        if build["prediction"].text("mode") == "no-turbo":
            words += "; without turbo on the intake, exhaust and mixture of that curve"
        return words, ""
    return "table", ""


def _not_turned_back(build: Build) -> Fault:
    return Fault(
        build.path.name,
        "breathing.source",
        '"known-curve"',
        "the known curve has not been turned back into volumetric efficiency.",
        remedy="Predict the build; a component alone cannot do it.",
    )


def _no_cams(build: Build) -> Fault:
    message = "valves and cams are not described in full."
    return Fault(build.path.name, "breathing.source", '"cams"', message, remedy="Run the check of the build.")
