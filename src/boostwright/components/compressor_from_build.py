"""The compressor of a build: from its card or the dimensions of its wheel; and the same at the edges of its band."""

from __future__ import annotations

import functools
import math
from dataclasses import replace

import numpy as np

from boostwright.build.build import Section
from boostwright.cards.card import Card
from boostwright.components.compressor import (
    CompressorSurface,
    SpeedLine,
    compressor_surface,
    surface_of_lines,
)
from boostwright.components.compressor_mean_line import compressor_lines_of_wheel
from boostwright.components.compressor_wheel import CompressorWheel
from boostwright.components.how_known import HowKnown
from boostwright.components.wheel_faults import fault_in_section
from boostwright.errors import BuildError, FaultyInput

__all__ = ["compressor_at_edge", "compressor_of_build", "compressor_wheel_of_build"]

_TIP_SPEEDS = (180.0, 250.0, 310.0, 360.0, 410.0, 460.0, 510.0)  # m/s, of the lines that are worked out
_TIP_SPEED_LIMIT = 530.0  # m/s; usual limit of a milled aluminium wheel, from memory
_ANGLE_FLOW = 0.11  # of choked flow for 5 degrees of an inducer angle nobody measured (studies/mean_line)
_CLEARANCE_EFFICIENCY = 1.0  # points of efficiency a per cent of tip width, from the same model
_CLEARANCE_DOUBT = 1e-4  # m by which a clearance nobody measured may be off; own estimate
_LARGE = 0.2  # m; the open machines that were checked are larger


def compressor_wheel_of_build(section: Section) -> CompressorWheel:
    """The wheel that [compressor] describes with given_as = "wheel"."""
    return CompressorWheel(
        inducer_hub_diameter=section.si("inducer_hub_diameter"),
        inducer_tip_diameter=section.si("inducer_tip_diameter"),
        exducer_diameter=section.si("exducer_diameter"),
        tip_width=section.si("tip_width"),
        full_blades=section.integer("full_blades"),
        splitter_blades=section.integer("splitter_blades"),
        inducer_blade_angle=section.si("inducer_blade_angle"),
        backsweep=section.si("backsweep"),
        clearance=section.si("clearance"),
        axial_length=section.si("axial_length"),
        blade_thickness=section.si("blade_thickness"),
        splitter_share=section.si("splitter_share"),
        diffuser_radius_ratio=section.si("diffuser_radius_ratio"),
    )


def compressor_of_build(section: Section, card: Card | None) -> CompressorSurface:
    """The compressor's surface with how well it is known.

    section  [compressor]
    card     its card, None when it is given as a wheel
    Raises BuildError for a wheel that gives no speed line.
    """
    if card is not None:
        return compressor_surface(card)
    measured = tuple(key for key in ("inducer_blade_angle", "clearance") if section.written(key))
    try:
        return _of_wheel(compressor_wheel_of_build(section), measured)
    except FaultyInput as error:
        raise BuildError([fault_in_section(section, fault) for fault in error.faults]) from error


@functools.lru_cache(
    maxsize=16
)  # a sweep asks for the same wheel dozens of times, and it costs a quarter of a second
def _of_wheel(wheel: CompressorWheel, measured: tuple[str, ...]) -> CompressorSurface:
    """Surface of a wheel; ``measured`` names the keys of weight that somebody has measured."""
    made = compressor_lines_of_wheel(wheel, np.array(_TIP_SPEEDS))
    limit = 2.0 * _TIP_SPEED_LIMIT / wheel.exducer_diameter
    status = f"from memory: {_TIP_SPEED_LIMIT:.0f} m/s at the tip of a milled aluminium wheel"
    surface = surface_of_lines(made.lines, limit, status, wheel.exducer_diameter)
    known = HowKnown("dimensions of the wheel", made.flow_band, made.ratio_band, made.efficiency_band)
    doubts = []
    flow = efficiency = 0.0
    if "inducer_blade_angle" not in measured:
        flow = _ANGLE_FLOW
        doubts.append("the angle of its inducer is not measured")
    if "clearance" not in measured:
        efficiency = _CLEARANCE_EFFICIENCY * _CLEARANCE_DOUBT / wheel.tip_width
        doubts.append("its clearance is not measured")
    flow, efficiency = known.widened(flow, efficiency)
    small = wheel.exducer_diameter < _LARGE
    words = (
        f"compressor: ESTIMATE from the dimensions of its wheel ({1e3 * wheel.exducer_diameter:.1f} mm, trim "
        f"{100.0 * (wheel.inducer_tip_diameter / wheel.exducer_diameter) ** 2:.0f}); band: flow {100 * flow:.0f} %, "
        f"pressure rise {100 * made.ratio_band:.0f} %, efficiency {100 * efficiency:.0f} points, rather too high than "
        "too low; surge line up to a third of its flow off, mostly too far left"
    )
    if small:
        words += (
            "; wider since the wheel is small: clearance, roughness and Reynolds number count, and no open map of one "
            "was there to check them"
        )
    if doubts:
        words += f"; wider still, since {' and '.join(doubts)}"
    return replace(surface, known=replace(known, flow=flow, efficiency=efficiency, estimate=words))


def compressor_at_edge(
    surface: CompressorSurface, flow: float = 0.0, pressure: float = 0.0, efficiency: float = 0.0
) -> CompressorSurface:
    """The same compressor with its lines moved.

    surface     as known
    flow        [-] share by which every flow is larger
    pressure    [-] share by which every pressure ratio less one is larger
    efficiency  [-] added to every efficiency, which stays between 0.2 and 0.95
    """

    def moved(line: SpeedLine) -> SpeedLine:
        return SpeedLine(
            line.speed,
            line.flow * (1.0 + flow),
            1.0 + (line.pressure_ratio - 1.0) * (1.0 + pressure),
            np.clip(line.efficiency + efficiency, 0.2, 0.95),
        )

    lines = tuple(moved(line) for line in surface.lines)
    made = surface_of_lines(lines, surface.speed_limit, surface.speed_limit_status, surface.wheel_diameter)
    return replace(made, known=surface.known) if math.isfinite(float(made.table.sum())) else surface
