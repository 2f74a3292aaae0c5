"""Friction of an engine by the relation its build names, without pumping."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.components.breathing import valve_loss_share
from boostwright.physics.cylinder import friction, friction_by_place

__all__ = ["friction_pressure"]

Array = NDArray[np.float64]

_BAR = 1.0e5
_JOURNAL = 0.65  # main bearing over bore: common practice
_CRANKPIN = 0.58  # big end over bore: common practice
_BEARING_LENGTH = 0.27  # of either, over bore: common practice
_USUAL_LIFT = 9.0e-3  # m, of a valve where it is not given: own estimate


def friction_pressure(
    build: Build, peak: Array, pressure_im: Array, piston_speed: Array, speeds: Array
) -> Array:
    """Friction mean effective pressure (n,) [Pa] without pumping.

    peak (n,) [Pa] in the cylinder, pressure_im (n,) [Pa] absolute, piston_speed (n,) [m/s] mean, speeds (n,) [rad/s].
    Barnes-Moss gives friction with the pumping of an unboosted engine at full throttle: the valve loss at 100 kPa is
    taken off it, since the solver counts pumping itself. The build's friction_factor multiplies what comes out.
    """
    section = build["cylinder"]
    author, factor = section.text("friction"), section.si("friction_factor")
    if author == "sandoval-heywood":
        return factor * _by_place(build, pressure_im, piston_speed, speeds)
    if author == "barnes-moss":
        pumped = valve_loss_share(build, piston_speed) * _BAR
        return factor * np.asarray(friction.friction_barnes_moss(speeds) - pumped, dtype=float)
    return factor * np.asarray(
        friction.friction_chen_flynn(
            peak,
            piston_speed,
            section.si("friction_constant"),
            section.si("friction_peak_pressure_factor"),
            section.si("friction_speed_factor") * _BAR,
            section.si("friction_speed_squared_factor") * _BAR,
        ),
        dtype=float,
    )


def _by_place(build: Build, pressure_im: Array, piston_speed: Array, speeds: Array) -> Array:
    """Crankshaft, pistons, gas load, valve gear and auxiliaries by Sandoval and Heywood."""
    engine, breath = build["engine"], build["breathing"]
    bore, stroke, cylinders = engine.si("bore"), engine.si("stroke"), engine.integer("cylinders")
    mains = cylinders + 1 if engine.text("layout") == "inline" else cylinders // 2 + 1
    camshafts = 2 if engine.text("layout") == "inline" else 4
    per_camshaft = cylinders + 1 if engine.text("layout") == "inline" else cylinders // 2 + 1
    lifts = [
        breath.si(f"{side}_valve_lift") for side in ("intake", "exhaust") if breath.has(f"{side}_valve_lift")
    ]
    lift = float(np.mean(lifts)) if lifts else _USUAL_LIFT
    valve_count = breath.integer("intake_valves") + breath.integer("exhaust_valves")
    length = _BEARING_LENGTH * bore
    places = (
        friction_by_place.friction_crankshaft_sandoval_heywood(
            bore, stroke, cylinders, _JOURNAL * bore, length, mains, speeds
        ),
        friction_by_place.friction_pistons_sandoval_heywood(
            bore, stroke, cylinders, _CRANKPIN * bore, length, speeds, piston_speed
        ),
        friction_by_place.friction_gas_load_sandoval_heywood(
            pressure_im, engine.si("compression_ratio"), piston_speed
        ),
        friction_by_place.friction_valve_gear_sandoval_heywood(
            bore, stroke, cylinders, valve_count, lift, camshafts * per_camshaft, speeds
        ),
        friction_by_place.friction_auxiliaries_sandoval_heywood(speeds),
    )
    return np.asarray(sum(np.asarray(place, dtype=float) for place in places), dtype=float)
