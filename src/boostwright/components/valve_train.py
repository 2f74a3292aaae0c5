"""Valves and cams of a build: where they open and close at any lift, their effective area, and what follows from it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, Section
from boostwright.physics.cylinder import pumping, valves

__all__ = ["CHECK_LIFTS", "TRAPPING_LIFT", "Cam", "ValveEvents", "cams_of_build", "rod_ratio",
           "valve_events", "valve_loss_of_cams"]  # fmt: skip

Array = NDArray[np.float64]

CHECK_LIFTS = {"seat": 0.0, "1-mm": 1.0e-3, "0.050-inch": 1.27e-3}
"""Lift [m] at which a cam's angles may be stated."""

TRAPPING_LIFT = 1.0e-3
"""Lift [m] below which a closing valve counts as shut: see studies/filling."""

_DEGREE = math.pi / 180.0
_NO_CAMS_CLOSING = 40.0 * _DEGREE  # after bottom dead centre at 1 mm of lift: own estimate
_NO_CAMS_OPENING = 45.0 * _DEGREE  # before bottom dead centre at 1 mm of lift: own estimate
_ROD_RATIO = 1.6  # connecting rod over stroke where it is not given: own estimate
_ANGLES = 721
_LEAST_AREA = (
    0.02  # of the heads: a valve nearly shut at a dead centre would have no flow and a boundless loss
)
_AIR_GAS_CONSTANT = 287.05
_EXHAUST_GAS_CONSTANT = 288.0
_EXHAUST_TEMPERATURE = 1150.0  # K, of the gas the piston pushes out at full load: own estimate


@dataclass(frozen=True)
class Cam:
    """The valves of one side of a cylinder and their cam.

    count, diameter and full_lift [m] of the valves; middle [rad] after the top dead centre of gas exchange; duration
    [rad] from seat to seat; discharge_coefficient and throat_share as in ``valve_effective_area``
    """

    count: int
    diameter: float
    full_lift: float
    middle: float
    duration: float
    discharge_coefficient: float
    throat_share: float

    @property
    def head_area(self) -> float:
        """Of all the heads of the side [m2]."""
        return self.count * 0.25 * math.pi * self.diameter**2

    def half_duration(self, lift: float) -> float:
        """Half the crank angle [rad] for which the valve is above a lift [m]."""
        return self.duration * (0.5 - math.asin(math.sqrt(lift / self.full_lift)) / math.pi)

    def area(self, angle: Array) -> Array:
        """Effective area [m2] of the side at crank angles (n,) [rad] after the top dead centre of gas exchange."""
        share = np.clip((np.asarray(angle) - self.middle) / self.duration + 0.5, 0.0, 1.0)
        lift = valves.valve_lift_sine_squared(share, self.full_lift)
        one = valves.valve_effective_area(lift, self.diameter, self.discharge_coefficient, self.throat_share)
        return np.asarray(self.count * one, dtype=float)

    @property
    def mean_flow_coefficient(self) -> float:
        """Effective area over that of the heads, mean over the time the valve is open."""
        angle = self.middle + self.duration * np.linspace(-0.5, 0.5, _ANGLES)
        return float(np.trapezoid(self.area(angle), angle) / self.duration / self.head_area)


@dataclass(frozen=True)
class ValveEvents:
    """What the closed cycle and the gas exchange need of the valves.

    intake_closing      [rad] after firing top dead centre, negative: where intake lift falls below 1 mm
    exhaust_opening     [rad] after firing top dead centre: where exhaust lift passes 1 mm
    """

    intake_closing: float
    exhaust_opening: float


def _cam(breath: Section, side: str) -> Cam:
    """One side; its angles are carried from the lift they are stated at down to the seat by the shape of the lift."""
    lift = breath.si(f"{side}_valve_lift")
    sign = 1.0 if side == "intake" else -1.0
    if breath.has(f"{side}_centreline"):
        middle, duration = sign * breath.si(f"{side}_centreline"), breath.si(f"{side}_duration")
    else:
        opening, closing = breath.si(f"{side}_opening"), breath.si(f"{side}_closing")
        first, last = (-opening, math.pi + closing) if side == "intake" else (-math.pi - opening, closing)
        middle, duration = 0.5 * (first + last), last - first
    stated = math.asin(math.sqrt(CHECK_LIFTS[breath.text("cam_lift_basis")] / lift)) / math.pi
    return Cam(
        count=breath.integer(f"{side}_valves"),
        diameter=breath.si(f"{side}_valve_diameter"),
        full_lift=lift,
        middle=middle,
        duration=duration / (1.0 - 2.0 * stated),
        discharge_coefficient=breath.si("valve_discharge_coefficient"),
        throat_share=breath.si("port_area_share"),
    )


def cams_of_build(build: Build) -> tuple[Cam, Cam] | None:
    """Intake and exhaust cam; None where the build does not describe both in full."""
    breath = build["breathing"]
    needed = ["cam_lift_basis"]
    for side in ("intake", "exhaust"):
        needed += [f"{side}_valve_diameter", f"{side}_valve_lift"]
        ends = ("centreline", "duration") if breath.has(f"{side}_centreline") else ("opening", "closing")
        needed += [f"{side}_{end}" for end in ends]
    if not all(breath.has(key) for key in needed):
        return None
    return _cam(breath, "intake"), _cam(breath, "exhaust")


def valve_events(build: Build) -> ValveEvents:
    """Intake closing and exhaust opening; where there are no cams our own estimate: 40 deg after bottom dead centre,
    45 deg before it."""
    cams = cams_of_build(build)
    if cams is None:
        return ValveEvents(_NO_CAMS_CLOSING - math.pi, math.pi - _NO_CAMS_OPENING)
    intake, exhaust = cams
    closing = intake.middle + intake.half_duration(TRAPPING_LIFT) - 2.0 * math.pi
    opening = exhaust.middle - exhaust.half_duration(TRAPPING_LIFT) + 2.0 * math.pi
    return ValveEvents(closing, opening)


def rod_ratio(build: Build) -> float:
    """Connecting rod, centre to centre, over stroke [-]; 1.6 where it is not given (own estimate)."""
    engine = build["engine"]
    if not engine.has("connecting_rod_length"):
        return _ROD_RATIO
    return max(engine.si("connecting_rod_length") / engine.si("stroke"), 0.51)


def _piston_over_valve_area(cam: Cam, bore: float, first: float) -> float:
    """Area of the piston over the area of the valves [-], the mean that gives the loss of one stroke.

    first [rad]: where the stroke begins. The loss goes with the piston's speed cubed over the area squared.
    """
    angle = first + np.linspace(0.0, math.pi, _ANGLES)
    weight = np.sin(angle - first) ** 3
    area = np.maximum(cam.area(angle), _LEAST_AREA * cam.head_area)
    mean = np.trapezoid(weight / area**2, angle) / np.trapezoid(weight, angle)
    return float(0.25 * math.pi * bore**2 * math.sqrt(mean))


def valve_loss_of_cams(build: Build, cams: tuple[Cam, Cam], piston_speed: Array) -> Array:
    """Pressure lost in both valves over the pressure of the intake manifold (n,) [-] at mean piston speeds (n,) [m/s].

    Density of the charge at the reference temperature of the breathing; of the exhaust at 1150 K and the reference
    pressure ratio.
    """
    breath, bore = build["breathing"], build["engine"].si("bore")
    intake, exhaust = cams
    charge = 1.0 / (_AIR_GAS_CONSTANT * breath.si("reference_temperature"))
    burned = breath.si("reference_pressure_ratio") / (_EXHAUST_GAS_CONSTANT * _EXHAUST_TEMPERATURE)
    inward = pumping.valve_loss_orifice(piston_speed, charge, _piston_over_valve_area(intake, bore, 0.0))
    outward = pumping.valve_loss_orifice(
        piston_speed, burned, _piston_over_valve_area(exhaust, bore, -math.pi)
    )
    return np.asarray(inward + outward, dtype=float)
