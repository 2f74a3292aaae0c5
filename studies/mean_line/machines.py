"""The three open machines by their dimensions; what was printed and what had to be assumed stands at each."""

from __future__ import annotations

import numpy as np

from boostwright.components.compressor_wheel import CompressorWheel

__all__ = ["MACHINES"]

_INCH = 0.0254
_DEGREE = float(np.pi / 180.0)

CC3 = CompressorWheel(
    inducer_hub_diameter=0.210 - 2 * 0.064,  # printed: tip diameter 210 mm, blade height 64 mm
    inducer_tip_diameter=0.210,  # printed
    exducer_diameter=0.431,  # printed
    tip_width=0.017,  # printed
    full_blades=15,  # printed
    splitter_blades=15,  # printed
    inducer_blade_angle=60
    * _DEGREE,  # assumed: usual at the tip, and the flow's angle at the printed design flow
    backsweep=50 * _DEGREE,  # printed
    clearance=0.203e-3,  # from memory
    axial_length=0.132,  # from memory
    blade_thickness=2.0e-3,  # assumed
    splitter_share=0.7,  # from memory: splitters begin at 30 % of the blade
    diffuser_radius_ratio=1.18,  # printed: where it was measured
    diffuser_width_start=1.0,
    diffuser_width_end=1.0,  # assumed parallel
    volute=False,
)
HECC = CompressorWheel(
    inducer_hub_diameter=2 * 1.60 * _INCH,  # printed
    # The wall taps of the readings stand at 4.21 in just ahead of the blades and 4.27 in just behind their edge. The
    # table's 4.73 in is not the edge's: the wall has that radius four inches upstream.
    inducer_tip_diameter=2 * 4.24 * _INCH,
    exducer_diameter=17.0 * _INCH,  # printed
    tip_width=0.61 * _INCH,  # printed
    full_blades=15,  # printed
    splitter_blades=15,  # printed
    inducer_blade_angle=60
    * _DEGREE,  # assumed: usual at the tip, and the flow's angle at the printed design flow
    backsweep=30 * _DEGREE,  # printed
    clearance=0.305e-3,  # printed: 12 mil
    axial_length=4.95 * _INCH,  # from the taps
    blade_thickness=1.5e-3,  # assumed
    splitter_share=0.7,  # assumed
    diffuser_radius_ratio=1.41,  # from the taps: outlet rakes behind the bend at 12 in
    diffuser_width_start=1.0,
    diffuser_width_end=0.376 / 0.609,  # from the taps
    volute=False,
)
ECKARDT_O = CompressorWheel(
    inducer_hub_diameter=0.090,  # from memory, as all of this machine but its diameter and radial blades
    inducer_tip_diameter=0.280,
    exducer_diameter=0.400,
    tip_width=0.026,
    full_blades=20,
    splitter_blades=0,
    inducer_blade_angle=63 * _DEGREE,
    backsweep=0.0,
    clearance=0.372e-3,
    axial_length=0.130,
    blade_thickness=2.1e-3,
    diffuser_radius_ratio=1.69,
    diffuser_width_start=1.0,
    diffuser_width_end=1.0 / 1.69,  # constant area
    volute=False,
)
MACHINES = {"cc3-vaneless": CC3, "hecc-vaneless": HECC, "eckardt-o": ECKARDT_O}
"""Card of the measured map -> dimensions."""
