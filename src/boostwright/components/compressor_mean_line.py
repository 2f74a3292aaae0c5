"""A compressor without a map: speed lines from the dimensions of its wheel, with the band they carry."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.components.compressor_lines import SpeedLine
from boostwright.components.compressor_wheel import (
    LOSS_SET,
    CompressorWheel,
    LossSet,
    WheelState,
    throat_flow,
    wheel_state,
)
from boostwright.errors import Fault, FaultyInput

__all__ = [
    "STALL_ANGLE",
    "CompressorLines",
    "check_wheel",
    "compressor_lines_of_wheel",
    "flow_at_pressure_ratio",
]

Array = NDArray[np.float64]

STALL_ANGLE = float(np.deg2rad(80.0))
"""Flow angle from radial at the wheel's exit at which a line is ended on the left: a vaneless diffuser stalls between
about 76 and 82 degrees by its width (Senoo and Kinoshita, J. Fluids Eng. 99 (1977) 104, from memory); one value for all
widths, own estimate."""
SURGE_SHARE = 0.998
"""A line that rises with flow is ended on the left where it comes within this share of its top: hardly further to the
left can an engine hold it. Own estimate."""
CHOKED_EFFICIENCY = 0.55
"""Efficiency down to which the upright stretch of a choked line is followed; maps end about here."""
_BAND_LARGE = (0.05, 0.08, 0.04)
"""Band of flow, of pressure ratio less one, and of efficiency for wheels of the size checked: see the study."""
_BAND_SMALL = (0.08, 0.12, 0.07)
"""The same for wheels of 40 to 100 mm: no open map to check; own estimate, wider."""


@dataclass(frozen=True)
class CompressorLines:
    """Speed lines of a mean line. An estimate; it says so.

    lines            corrected to 288.15 K and 101 325 Pa, for ``components.compressor.surface_of_lines``
    flow_band        [-] half width, share of flow
    ratio_band       [-] half width, share of the pressure ratio less one
    efficiency_band  [-] half width, in efficiency
    words            what the band rests on
    """

    lines: tuple[SpeedLine, ...]
    flow_band: float
    ratio_band: float
    efficiency_band: float
    words: str


def check_wheel(wheel: CompressorWheel) -> list[Fault]:
    """What is impossible about a wheel, in the user's words; empty when nothing is."""
    faults: list[Fault] = []

    def refuse(key: str, value: float, message: str, remedy: str) -> None:
        faults.append(Fault("compressor wheel", key, f"{value:g}", message, remedy=remedy))

    lengths = {
        key: getattr(wheel, key)
        for key in (
            "inducer_hub_diameter", "inducer_tip_diameter", "exducer_diameter", "tip_width", "axial_length"
        )
    }  # fmt: skip
    for key, value in lengths.items():
        if not 0.0 < value < 2.0:
            refuse(
                key, value, "is no length of a wheel in metres.", "Lengths go in as metres: 0.06 for 60 mm."
            )
    if faults:
        return faults
    if wheel.exducer_diameter <= wheel.inducer_tip_diameter:
        refuse(
            "exducer_diameter", wheel.exducer_diameter,
            f"is not larger than the inducer's {wheel.inducer_tip_diameter:g} m: a centrifugal wheel grows outward.",
            "The inducer is where air enters. On a turbine wheel it is the larger one; are the two exchanged?",
        )  # fmt: skip
    if wheel.inducer_hub_diameter >= wheel.inducer_tip_diameter:
        refuse(
            "inducer_hub_diameter", wheel.inducer_hub_diameter, "leaves no opening for the air.",
            "Measure the nose of the wheel where the blades begin.",
        )  # fmt: skip
    if not 2 <= wheel.full_blades + wheel.splitter_blades <= 60 or wheel.full_blades < 2:
        refuse(
            "full_blades", wheel.full_blades, "is no count of blades.", "Count long and short blades apart."
        )
    if not 0.0 <= wheel.clearance < 0.3 * wheel.tip_width:
        refuse(
            "clearance", wheel.clearance, f"does not fit a tip width of {wheel.tip_width:g} m.",
            "Usual is 0.2 to 0.4 mm on a turbocharger.",
        )  # fmt: skip
    for key, high in (("inducer_blade_angle", 80.0), ("backsweep", 70.0)):
        angle = float(np.rad2deg(getattr(wheel, key)))
        if not 0.0 <= angle <= high:
            refuse(key, angle, f"degrees lie outside 0 to {high:g}.", "Angles go in as radians.")
    return faults


def compressor_lines_of_wheel(
    wheel: CompressorWheel, tip_speeds: Array, points: int = 16, constants: LossSet = LOSS_SET
) -> CompressorLines:
    """Speed lines of a wheel from its dimensions.

    wheel       dimensions
    tip_speeds  (n,) [m/s] at the exducer, at 288.15 K; one line each, rising
    points      of each line
    constants   the one set of loss constants
    Returns CompressorLines. Raises FaultyInput naming every dimension that cannot be.
    """
    faults = check_wheel(wheel)
    if faults:
        raise FaultyInput(faults)
    lines = tuple(
        _line(wheel, 2.0 * float(u) / wheel.exducer_diameter, points, constants) for u in tip_speeds
    )
    small = wheel.exducer_diameter < 0.2
    band = _BAND_SMALL if small else _BAND_LARGE
    words = "estimate from dimensions; "
    words += (
        "a small wheel, of which no open map exists: clearance, roughness and Reynolds number widen the band"
        if small
        else "band of the three open machines checked"
    )
    words += "; the surge end is its weakest part, up to a third of flow off, mostly too far left"
    return CompressorLines(lines, *band, words)


def _longest_run(good: NDArray[np.bool_]) -> tuple[int, int]:
    """First and last index of the longest unbroken run of True; (0, 0) where there is none."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], good, [False]]).astype(np.int8)))
    starts, ends = edges[::2], edges[1::2]
    if starts.size == 0:
        return 0, 0
    longest = int(np.argmax(ends - starts))
    return int(starts[longest]), int(ends[longest]) - 1


def _line(wheel: CompressorWheel, speed: float, points: int, constants: LossSet) -> SpeedLine:
    """One line: from stall or top to choke, then upright down to CHOKED_EFFICIENCY."""
    choke = throat_flow(wheel, speed)
    flow = choke * np.linspace(0.08, 0.9995, 240)
    state = wheel_state(wheel, speed, flow, constants=constants)
    good = np.isfinite(state.pressure_ratio) & (state.pressure_ratio > 1.002)
    good &= (state.efficiency > CHOKED_EFFICIENCY) & (state.flow_angle < STALL_ANGLE)
    left, right = _longest_run(good)
    if right - left < 8:
        message = f"gives no speed line at {speed * 30.0 / np.pi:.0f} rpm."
        remedy = (
            "Check tip width and inducer against each other: one of the two swallows far less than the other."
        )
        raise FaultyInput(
            [Fault("compressor wheel", "tip_width", f"{wheel.tip_width:g}", message, "", remedy)]
        )
    ratio = state.pressure_ratio[left : right + 1]
    left += int(np.flatnonzero(ratio >= SURGE_SHARE * ratio.max())[0])
    left = min(left, right - 4)
    share = np.sin(
        0.5 * np.pi * np.linspace(0.0, 1.0, points)
    )  # closer towards the right end, where lines bend
    chosen = flow[left] + (flow[right] - flow[left]) * share
    state = wheel_state(wheel, speed, chosen, constants=constants)
    if right < flow.size - 1:
        # next to an exit that chokes a state now and then does not settle
        there = np.isfinite(state.pressure_ratio)
        return SpeedLine(speed, chosen[there], state.pressure_ratio[there], state.efficiency[there])
    down = _upright(wheel, speed, state, constants)
    return SpeedLine(
        speed,
        np.concatenate([chosen, down.flow]),
        np.concatenate([state.pressure_ratio, down.pressure_ratio]),
        np.concatenate([state.efficiency, down.efficiency]),
    )


def _upright(wheel: CompressorWheel, speed: float, state: WheelState, constants: LossSet) -> WheelState:
    """Three points down a choked line: the loss behind the throat grows while the flow does not."""
    last, eta = float(state.flow[-1]), float(state.efficiency[-1])
    flow: Array = last * (1.0 + 5e-4 * np.array([1.0, 2.0, 3.0]) / 3.0)
    wanted = eta + (CHOKED_EFFICIENCY - eta) * np.array([0.2, 0.55, 1.0])
    shock = (eta - wanted) * float(state.work[-1])
    for _ in range(8):
        found = wheel_state(wheel, speed, np.full(3, last), shock, constants)
        shock = np.maximum(shock + 0.7 * (found.efficiency - wanted) * found.work, 0.0)
    falls = np.diff(found.pressure_ratio, prepend=state.pressure_ratio[-1]) < -0.005
    keep = np.logical_and.accumulate(np.isfinite(found.pressure_ratio) & falls)
    return WheelState(
        np.asarray(flow[keep], dtype=float), found.pressure_ratio[keep], found.efficiency[keep], found.work[keep],
        found.flow_angle[keep], found.incidence[keep], {},
    )  # fmt: skip


def flow_at_pressure_ratio(line: SpeedLine, pressure_ratio: float) -> float:
    """Flow [kg/s] at which the falling side of a line has a pressure ratio; nan where it never comes down to it."""
    top = int(np.argmax(line.pressure_ratio))
    ratio, flow = line.pressure_ratio[top:], line.flow[top:]
    if not ratio[-1] <= pressure_ratio <= ratio[0]:
        return float("nan")
    return float(np.interp(-pressure_ratio, -ratio, flow))
