"""A radial turbine without a map: lines from the dimensions of its wheel and the A/R of its housing. Unproven."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.components.turbine_wheel import (
    TURBINE_CONSTANTS,
    Gas,
    TurbineConstants,
    TurbineWheel,
    turbine_state,
)
from boostwright.errors import Fault, FaultyInput
from boostwright.physics.turbo.corrected import REFERENCE_PRESSURE, REFERENCE_TEMPERATURE

__all__ = [
    "UNPROVEN",
    "TurbineLines",
    "best_point",
    "check_turbine_wheel",
    "choked_swallowing_of_wheel",
    "flow_sensitivity_to_a_over_r",
    "turbine_lines_of_wheel",
]

Array = NDArray[np.float64]

UNPROVEN = "unproven: estimate from dimensions, not checked on a measured radial turbine"


@dataclass(frozen=True)
class TurbineLines:
    """Lines of corrected speed, in the columns of a turbine card, corrected to 288.15 K and 101 325 Pa.

    corrected_speed  (n,) [rad/s]
    expansion_ratio  (n,) [-] total to static
    corrected_flow   (n,) [kg/s]
    efficiency       (n,) [-] total to static
    gas              the gas for which they hold
    words            how far they can be trusted
    """

    corrected_speed: Array
    expansion_ratio: Array
    corrected_flow: Array
    efficiency: Array
    gas: Gas
    words: str = UNPROVEN


def check_turbine_wheel(wheel: TurbineWheel) -> list[Fault]:
    """What is impossible about a wheel or its housing, in the user's words; empty when nothing is."""
    faults: list[Fault] = []

    def refuse(key: str, message: str, remedy: str) -> None:
        faults.append(Fault("turbine wheel", key, f"{getattr(wheel, key):g}", message, remedy=remedy))

    for key in ("inlet_diameter", "inlet_width", "exit_tip_diameter", "exit_hub_diameter"):
        if not 0.0 < getattr(wheel, key) < 1.0:
            refuse(key, "is no length of a wheel in metres.", "Lengths go in as metres: 0.055 for 55 mm.")
    if faults:
        return faults
    if wheel.exit_tip_diameter >= wheel.inlet_diameter:
        refuse(
            "exit_tip_diameter", f"is not smaller than the inlet's {wheel.inlet_diameter:g} m.",
            "Gas enters a radial turbine at the larger diameter; are the two exchanged?",
        )  # fmt: skip
    if wheel.exit_hub_diameter >= wheel.exit_tip_diameter or wheel.exit_annulus <= 0.0:
        refuse("exit_hub_diameter", "leaves no opening for the gas.", "Measure the nut end of the wheel.")
    share = wheel.a_over_r / wheel.inlet_diameter
    if not 0.02 < share < 1.5:
        refuse(
            "a_over_r", f"m is {share:.3g} wheel diameters; housings lie near 0.15 to 0.6.",
            "A/R is a length: a housing stamped 0.63 is 0.63 inch, 0.016 m.",
        )  # fmt: skip
    if not 6 <= wheel.blades <= 24:
        refuse("blades", "is no usual count of blades.", "Radial turbines have 8 to 14.")
    if not 0.0 <= wheel.clearance < 0.3 * wheel.inlet_width:
        refuse("clearance", "does not fit the width of the blade.", "Usual is 0.3 to 0.5 mm.")
    angle = float(np.rad2deg(wheel.exit_blade_angle))
    if not 20.0 <= angle <= 75.0:
        refuse("exit_blade_angle", f"is {angle:.3g} degrees; usual is 50 to 60.", "Angles go in as radians.")
    return faults


def _checked(wheel: TurbineWheel) -> TurbineWheel:
    faults = check_turbine_wheel(wheel)
    if faults:
        raise FaultyInput(faults)
    return wheel


def turbine_lines_of_wheel(
    wheel: TurbineWheel,
    corrected_speeds: Array,
    expansion_ratios: Array,
    gas: Gas | None = None,
    constants: TurbineConstants = TURBINE_CONSTANTS,
) -> TurbineLines:
    """Lines of corrected speed of a turbine from its dimensions.

    wheel             dimensions
    corrected_speeds  (n,) [rad/s] at 288.15 K
    expansion_ratios  (m,) [-] total to static, above 1
    gas               None: exhaust at 1123 K and 200 kPa
    constants         the set of constants
    Returns TurbineLines; points at which the wheel takes no flow or brakes are left out. Raises FaultyInput naming
    every dimension that cannot be.
    """
    _checked(wheel)
    gas = gas or Gas()
    warm = float(np.sqrt(gas.temperature / REFERENCE_TEMPERATURE))
    rows: list[tuple[float, float, float, float]] = []
    for speed in corrected_speeds:
        state = turbine_state(
            wheel, float(speed) * warm, np.asarray(expansion_ratios, dtype=float), gas, constants
        )
        flow = state.flow * warm * REFERENCE_PRESSURE / gas.pressure
        rows += [
            (float(speed), float(r), float(w), float(e))
            for r, w, e in zip(state.expansion_ratio, flow, state.efficiency, strict=True)
            if w > 0.0 and e > 0.05
        ]
    table = np.array(rows, dtype=float).reshape(-1, 4)
    return TurbineLines(table[:, 0], table[:, 1], table[:, 2], table[:, 3], gas)


def best_point(
    wheel: TurbineWheel,
    expansion_ratio: float,
    gas: Gas | None = None,
    constants: TurbineConstants = TURBINE_CONSTANTS,
) -> tuple[float, float, float]:
    """Blade-speed ratio [-], efficiency [-] and flow [kg/s] at the best speed for an expansion ratio.

    wheel            dimensions
    expansion_ratio  [-] total to static
    gas, constants   as in turbine_lines_of_wheel
    """
    gas = gas or Gas()
    spouting = _spouting(gas, expansion_ratio)
    found = []
    for blade in np.linspace(0.3, 1.1, 41):
        speed = 2.0 * blade * spouting / wheel.inlet_diameter
        state = turbine_state(wheel, speed, np.array([expansion_ratio]), gas, constants)
        found.append((float(blade), float(state.efficiency[0]), float(state.flow[0])))
    top = int(np.argmax([f[1] for f in found]))
    if not 0 < top < len(found) - 1:
        return found[top]
    near = np.array(found[top - 1 : top + 2])
    a, b, _ = np.polyfit(near[:, 0], near[:, 1], 2)
    best = float(-b / (2.0 * a))
    state = turbine_state(
        wheel, 2.0 * best * spouting / wheel.inlet_diameter, np.array([expansion_ratio]), gas, constants
    )
    return best, float(state.efficiency[0]), float(state.flow[0])


def _spouting(gas: Gas, ratio: float) -> float:
    drop = 1.0 - ratio ** (-(gas.ratio - 1.0) / gas.ratio)
    return float(np.sqrt(2.0 * gas.heat * gas.temperature * drop))


def flow_sensitivity_to_a_over_r(
    wheel: TurbineWheel, expansion_ratio: float, blade_speed_ratio: float = 0.65, gas: Gas | None = None
) -> float:
    """d ln(flow) / d ln(A/R) [-] at an expansion ratio and a blade-speed ratio; far below 1, for A/R is no area.

    wheel              dimensions
    expansion_ratio    [-] total to static
    blade_speed_ratio  [-]
    gas                None: exhaust at 1123 K and 200 kPa
    """
    gas = gas or Gas()
    speed = 2.0 * blade_speed_ratio * _spouting(gas, expansion_ratio) / wheel.inlet_diameter
    step = 0.05
    flows = [
        float(
            turbine_state(
                replace(wheel, a_over_r=wheel.a_over_r * factor), speed, np.array([expansion_ratio]), gas
            ).flow[0]
        )
        for factor in (1.0 - step, 1.0 + step)
    ]
    return float(np.log(flows[1] / flows[0]) / np.log((1.0 + step) / (1.0 - step)))


def choked_swallowing_of_wheel(
    wheel: TurbineWheel, gas: Gas | None = None, blade_speed_ratio: float = 0.5
) -> float:
    """Largest m sqrt(T)/p [kg sqrt(K)/(s Pa)] at an expansion ratio of 5, at a blade-speed ratio.

    wheel              dimensions
    gas                None: exhaust at 1123 K and 200 kPa
    blade_speed_ratio  [-] on the spouting velocity of that ratio
    Raises FaultyInput naming every dimension that cannot be.
    """
    _checked(wheel)
    gas = gas or Gas()
    speed = 2.0 * blade_speed_ratio * _spouting(gas, 5.0) / wheel.inlet_diameter
    flow = float(turbine_state(wheel, speed, np.array([5.0]), gas).flow[0])
    return flow * float(np.sqrt(gas.temperature)) / gas.pressure
