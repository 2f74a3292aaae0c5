"""Both valves open at once: how much gas the piston moves to and fro through them, and how freely it runs through."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from boostwright.build import Build
from boostwright.components.valve_train import TRAPPING_LIFT, Cam, ValveEvents, cams_of_build, rod_ratio

__all__ = ["Overlap", "overlap_of_build", "overlap_of_cams", "stock_cams"]

_ANGLES = 721
_WEAKEST = 1.0e-9  # m2 rad, below which there is no overlap to speak of
# A petrol engine with four valves a cylinder, in the middle of its kind: own estimate. Heads of 0.35 to 0.37 and 0.28
# to 0.32 of the bore, lift of a quarter to a third of the head: from memory (Heywood 1988, ch. 6).
_INTAKE_HEAD, _INTAKE_LIFT = 0.37, 0.29
_EXHAUST_HEAD, _EXHAUST_LIFT = 0.31, 0.32


@dataclass(frozen=True)
class Overlap:
    """What the overlap of one cylinder does.

    area_angle  [m2 rad] effective area of both valves in series, over the overlap
    volume      [m3] burned gas that the piston pushes into the intake port before top dead centre and draws out of the
                exhaust port after it, with both manifolds at one pressure: it stays, as the clearance volume does
    resistance  [m2] (dV/dangle over the effective area of both valves)^2, mean over the overlap
    """

    area_angle: float
    volume: float
    resistance: float


def stock_cams(build: Build, events: ValveEvents) -> tuple[Cam, Cam]:
    """Intake and exhaust cam of an ordinary petrol engine of this bore, with these events and the build's own
    ``valve_overlap``, where it describes no cams."""
    breath, bore = build["breathing"], build["engine"].si("bore")
    half = 0.5 * breath.si("valve_overlap") if breath.has("valve_overlap") else 0.0
    intake = _cam(build, bore * _INTAKE_HEAD, _INTAKE_LIFT, -half, 2.0 * math.pi + events.intake_closing)
    exhaust = _cam(build, bore * _EXHAUST_HEAD, _EXHAUST_LIFT, events.exhaust_opening - 2.0 * math.pi, half)
    return intake, exhaust


def _cam(build: Build, diameter: float, lift_share: float, first: float, last: float) -> Cam:
    breath, lift = build["breathing"], lift_share * diameter
    stated = math.asin(math.sqrt(min(TRAPPING_LIFT / lift, 0.5))) / math.pi
    return Cam(
        count=2,
        diameter=diameter,
        full_lift=lift,
        middle=0.5 * (first + last),
        duration=(last - first) / (1.0 - 2.0 * stated),
        discharge_coefficient=breath.si("valve_discharge_coefficient"),
        throat_share=breath.si("port_area_share"),
    )


def overlap_of_build(build: Build, events: ValveEvents) -> Overlap:
    """Of the build's cams; of stock ones with these events where it has none."""
    engine = build["engine"]
    cams = cams_of_build(build) or stock_cams(build, events)
    return overlap_of_cams(*cams, engine.si("bore"), engine.si("stroke"), rod_ratio(build))


@lru_cache(maxsize=64)
def overlap_of_cams(intake: Cam, exhaust: Cam, bore: float, stroke: float, ratio: float) -> Overlap:
    """Of two cams in an engine of this bore and stroke [m], connecting rod over stroke ``ratio``."""
    first, last = intake.middle - 0.5 * intake.duration, exhaust.middle + 0.5 * exhaust.duration
    if last <= first:
        return Overlap(0.0, 0.0, 0.0)
    angle = np.linspace(first, last, _ANGLES)[1:-1]
    a, b = intake.area(angle), exhaust.area(angle)
    series = a * b / np.hypot(a, b)
    area_angle = float(np.trapezoid(series, angle))
    if area_angle < _WEAKEST:
        return Overlap(0.0, 0.0, 0.0)
    side = np.sin(angle) / (2.0 * ratio)
    swelling = 0.25 * math.pi * bore**2 * stroke * 0.5 * np.sin(angle)
    swelling *= 1.0 + np.cos(angle) / (2.0 * ratio * np.sqrt(1.0 - side * side))
    kept = np.where(angle < 0.0, -swelling * a, swelling * b) / (a + b)
    resistance = np.trapezoid((swelling / (a + b)) ** 2 * series, angle) / area_angle
    return Overlap(area_angle, float(np.trapezoid(np.maximum(kept, 0.0), angle)), float(resistance))
