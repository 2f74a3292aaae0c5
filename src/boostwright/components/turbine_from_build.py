"""The turbine of a build as a table for the solver: from its card, its one number, or wheel and housing."""

from __future__ import annotations

import functools
import math

import numpy as np
from numpy.typing import NDArray

from boostwright.build.build import Section
from boostwright.cards.card import Card
from boostwright.components.how_known import HowKnown
from boostwright.components.turbine import (
    TurbineTable,
    pack_turbine,
    turbine_from_card,
    turbine_from_one_number,
    turbine_grid,
)
from boostwright.components.turbine_mean_line import check_turbine_wheel, choked_swallowing_of_wheel
from boostwright.components.turbine_wheel import TURBINE_CONSTANTS, Gas, TurbineWheel, turbine_state
from boostwright.components.wheel_faults import fault_in_section
from boostwright.errors import BuildError, FaultyInput
from boostwright.numerics.uniform_grid import finer_grid

__all__ = ["TIP_SPEED_LIMIT", "turbine_from_wheel", "turbine_of_build", "turbine_wheel_of_build"]

Array = NDArray[np.float64]

TIP_SPEED_LIMIT = 500.0
"""m/s; usual limit of a cast turbine wheel, from memory."""
_COARSE = (25, 29)  # nodes that are worked out; the surface through them is within 0.15 % of the mean line
_NEAREST = 0.01  # ln(ratio) that stands for a ratio of 1, where flow and ideal drop vanish together
# Half widths of an estimate that no measured radial turbine has proved: own estimate, half as wide again as one number
# read off a curve. Below SMALL clearance and Reynolds number take their larger share.
_BAND = (0.12, 0.10)
_BAND_SMALL = (0.15, 0.12)
_SMALL = 0.060
_ANGLE_FLOW = 0.06  # of flow for 5 degrees of an exducer angle nobody measured: half of tan(54 deg) x 0.087
_CLEARANCE_DOUBT = 1.5e-4  # m by which a clearance nobody measured may be off; own estimate


def turbine_wheel_of_build(section: Section) -> TurbineWheel:
    """Wheel and housing that [turbine] describes with given_as = "wheel"."""
    return TurbineWheel(
        inlet_diameter=section.si("wheel_diameter"),
        inlet_width=section.si("tip_width"),
        exit_tip_diameter=section.si("exducer_diameter"),
        exit_hub_diameter=section.si("exducer_hub_diameter"),
        exit_blade_angle=section.si("exducer_blade_angle"),
        blades=section.integer("blades"),
        a_over_r=section.si("a_over_r"),
        clearance=section.si("clearance"),
        blade_thickness=section.si("blade_thickness"),
    )


def turbine_of_build(section: Section, card: Card | None) -> TurbineTable:
    """The turbine's table with how well it is known.

    section  [turbine]
    card     its card, None when there is none
    Raises BuildError for a wheel that cannot be.
    """
    if card is not None:
        return turbine_from_card(card)
    if section.text("given_as") == "wheel":
        measured = tuple(key for key in ("exducer_blade_angle", "clearance") if section.written(key))
        try:
            return turbine_from_wheel(turbine_wheel_of_build(section), measured)
        except FaultyInput as error:
            raise BuildError([fault_in_section(section, fault) for fault in error.faults]) from error
    return turbine_from_one_number(
        section.si("choked_flow"),
        section.si("wheel_diameter"),
        section.si("efficiency_peak"),
        section.si("best_blade_speed_ratio"),
        section.si("efficiency_width"),
    )


@functools.lru_cache(maxsize=16)  # a sweep asks for the same wheel dozens of times
def turbine_from_wheel(wheel: TurbineWheel, measured: tuple[str, ...] = ()) -> TurbineTable:
    """A turbine from the dimensions of its wheel and the A/R of its housing. Unproven.

    wheel     dimensions
    measured  which of 'exducer_blade_angle' and 'clearance' somebody has measured; the others widen the band
    Returns a TurbineTable. Raises FaultyInput naming every dimension that cannot be.
    """
    faults = check_turbine_wheel(wheel)
    if faults:
        raise FaultyInput(faults)
    gas = Gas()
    flow, efficiency = _coarse(wheel, gas)
    nodes = turbine_grid()[0].shape
    flow, efficiency = finer_grid(flow, *nodes), finer_grid(efficiency, *nodes)
    known = _known(wheel, measured)
    return TurbineTable(
        table=pack_turbine(np.maximum(flow, 0.02 * flow.max()), efficiency),
        wheel_diameter=wheel.inlet_diameter,
        choked_swallowing=choked_swallowing_of_wheel(wheel, gas),
        flow_error=0.0,
        efficiency_error=0.0,
        ratio_range=(1.0, 4.0),
        blade_range=(0.0, 1.25),
        words="wheel and housing: mean line from dimensions and A/R, total-to-static",
        known=known,
    )


def _coarse(wheel: TurbineWheel, gas: Gas) -> tuple[Array, Array]:
    """Flow shape and efficiency at every second node of the grid of the tables."""
    log_ratio, blade = turbine_grid()
    x = np.linspace(0.0, float(log_ratio[-1, 0]), _COARSE[0])
    x[0] = _NEAREST
    at_x, at_b = np.meshgrid(x, np.linspace(0.0, float(blade[0, -1]), _COARSE[1]), indexing="ij")
    drop = -np.expm1(-at_x * (gas.ratio - 1.0) / gas.ratio)
    speed = 2.0 * at_b * np.sqrt(2.0 * gas.heat * gas.temperature * drop) / wheel.inlet_diameter
    state = turbine_state(wheel, speed.ravel(), np.exp(at_x.ravel()), gas, TURBINE_CONSTANTS)
    swallow = state.flow.reshape(at_x.shape) * math.sqrt(gas.temperature) / gas.pressure
    return swallow / np.sqrt(-np.expm1(-at_x)), state.efficiency.reshape(at_x.shape)


def _known(wheel: TurbineWheel, measured: tuple[str, ...]) -> HowKnown:
    """The band of an estimate, and the sentence that goes with every result."""
    small = wheel.inlet_diameter < _SMALL
    flow, efficiency = _BAND_SMALL if small else _BAND
    doubts = []
    if "exducer_blade_angle" not in measured:
        flow = math.hypot(flow, _ANGLE_FLOW)
        doubts.append("the angle of its exducer is not measured")
    if "clearance" not in measured:
        share = TURBINE_CONSTANTS.clearance_factor * _CLEARANCE_DOUBT / wheel.inlet_width
        efficiency = math.hypot(efficiency, share)
        doubts.append("its clearance is not measured")
    words = (
        f"turbine: ESTIMATE from the dimensions of its wheel ({1e3 * wheel.inlet_diameter:.1f} mm) and an A/R of "
        f"{wheel.a_over_r / 0.0254:.2f} inch, UNPROVEN: no measured radial turbine was there to check it; band: flow "
        f"{100 * flow:.0f} %, efficiency {100 * efficiency:.0f} % of itself"
    )
    if small:
        words += "; wider since the wheel is small, where clearance and Reynolds number count more"
    if doubts:
        words += f"; wider{' still,' if small else ''} since {' and '.join(doubts)}"
    return HowKnown("dimensions of wheel and housing", flow, 0.0, efficiency, words)
