"""Make the invented family of turbochargers through the mean lines.

Run from the top folder: ``python -m studies.invented_turbos.make_cards``. Three compressor wheels of 50, 58 and 67 mm,
each with a turbine and two housings. No such machines exist; dimensions are usual ones (README.md).
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from boostwright.components.compressor_mean_line import compressor_lines_of_wheel
from boostwright.components.compressor_wheel import CompressorWheel
from boostwright.components.turbine_mean_line import turbine_lines_of_wheel
from boostwright.components.turbine_wheel import TurbineWheel

__all__ = ["COMPRESSORS", "TURBINES", "compressor_card", "turbine_card"]

LIBRARY = Path(__file__).resolve().parents[2] / "src" / "boostwright" / "library"
_DEGREE = float(np.pi / 180.0)
_INCH = 0.0254
TIP_SPEEDS = np.array([180.0, 250.0, 310.0, 360.0, 410.0, 460.0, 510.0])
TIP_LIMIT = 530.0

COMPRESSORS = {
    size: CompressorWheel(
        inducer_hub_diameter=0.23 * size * 1e-3,
        inducer_tip_diameter=inducer * 1e-3,
        exducer_diameter=size * 1e-3,
        tip_width=0.069 * size * 1e-3,
        full_blades=6,
        splitter_blades=6,
        inducer_blade_angle=60.0 * _DEGREE,
        backsweep=38.0 * _DEGREE,
        clearance=0.25e-3,
        axial_length=0.38 * size * 1e-3,
        blade_thickness=0.8e-3,
        splitter_share=0.7,
        diffuser_radius_ratio=1.6,
        diffuser_width_start=1.0,
        diffuser_width_end=0.9,
        volute=True,
    )
    for size, inducer in ((50, 37.1), (58, 43.0), (67, 49.7))
}
"""Exducer [mm] -> wheel; the trim is 55, a usual one."""

TURBINES = {
    (wheel, a_r): TurbineWheel(
        inlet_diameter=wheel * 1e-3,
        inlet_width=0.135 * wheel * 1e-3,
        exit_tip_diameter=0.90 * wheel * 1e-3,
        exit_hub_diameter=0.28 * wheel * 1e-3,
        exit_blade_angle=54.0 * _DEGREE,
        blades=11,
        a_over_r=a_r * _INCH,
        clearance=0.35e-3,
    )
    for wheel, a_r in ((47, 0.49), (47, 0.64), (54, 0.64), (54, 0.83), (62, 0.82), (62, 1.05))
}
"""(Wheel [mm], stamped A/R [inch]) -> wheel in its housing."""

_HEAD = """\
# Made by studies/invented_turbos/make_cards.py; change that, not this file.
kind = "{kind}"
schema_version = 1
name = "{name}"
source = "made up: usual dimensions put through the project's own mean line (studies/invented_turbos)"
licence = "facts and figures, free to use"
status = "invented for the demo"
notes = "{notes}"
"""
_COMPRESSOR = """
[compressor]
reference_pressure = "101325 Pa absolute"
reference_temperature = "288.15 K"
wheel_diameter = "{size} mm"
tip_speed_limit = "{limit:.0f} m/s"

[provenance.tip_speed_limit]
source = "usual limit of a milled aluminium wheel"
status = "from memory"

[table]
file = "{name}.csv"
"""
_TURBINE = """
[turbine]
form = "radial"
given_as = "speed-lines"
wheel_diameter = "{size} mm"
expansion_ratio_basis = "total-to-static"
reference_temperature = "288.15 K"
reference_pressure = "101.325 kPa absolute"
gas_heat_capacity_ratio = {gamma:g}
gas_constant = "{constant:g} J/(kg*K)"
a_r = {a_r:g}
speed_limit = "{limit:.0f} rpm"

[table]
file = "{name}.csv"
"""


def compressor_card(size: int) -> tuple[str, str, str]:
    """Name, card text and table text of a compressor of the family, by its exducer [mm]."""
    wheel = COMPRESSORS[size]
    made = compressor_lines_of_wheel(wheel, TIP_SPEEDS)
    name = f"invented-{size}mm-trim-55"
    rows = ["line,corrected_speed,corrected_flow,pressure_ratio,efficiency", ",rpm,kg/s,-,-"]
    for number, line in enumerate(made.lines, start=1):
        rpm = line.speed * 30.0 / np.pi
        rows += [
            f"{number},{rpm:.0f},{w:.5f},{r:.4f},{e:.4f}"
            for w, r, e in zip(line.flow, line.pressure_ratio, line.efficiency, strict=True)
        ]
    inducer = 1e3 * wheel.inducer_tip_diameter
    notes = (
        f"No such machine exists. Exducer {size} mm, inducer {inducer:g} mm, 6 blades and 6 splitters, 38 degrees of"
        f" backsweep. An estimate of its kind would carry {100 * made.flow_band:.0f} % of flow,"
        f" {100 * made.ratio_band:.0f} % of pressure rise and {100 * made.efficiency_band:.0f} points of efficiency,"
        " rather below than above what is shown; the surge end may stand a third of its flow too far left."
    )
    head = _HEAD.format(kind="compressor", name=name, notes=notes)
    return name, head + _COMPRESSOR.format(size=size, limit=TIP_LIMIT, name=name), "\n".join(rows) + "\n"


def turbine_card(size: int, a_r: float) -> tuple[str, str, str]:
    """Name, card text and table text of a turbine of the family, by its wheel [mm] and stamped A/R [inch]."""
    wheel = TURBINES[size, a_r]
    ratios = np.array([1.1, 1.2, 1.35, 1.5, 1.75, 2.0, 2.3, 2.6, 3.0, 3.5])
    speeds = np.array([70.0, 100.0, 130.0, 160.0, 190.0, 220.0]) * 2.0 / wheel.inlet_diameter
    made = turbine_lines_of_wheel(wheel, speeds, ratios)
    name = f"invented-turbine-{size}mm-{a_r:.2f}"
    rows = ["corrected_speed,expansion_ratio,corrected_flow,efficiency", "rpm,-,kg/s,-"]
    rows += [
        f"{s * 30.0 / np.pi:.0f},{r:g},{w:.5f},{e:.4f}"
        for s, r, w, e in zip(
            made.corrected_speed, made.expansion_ratio, made.corrected_flow, made.efficiency, strict=True
        )
    ]
    notes = f"No such machine exists; {made.words}. A/R in inch; it is no area. Tip speed limit 500 m/s."
    limit = 500.0 * 2.0 / wheel.inlet_diameter * 30.0 / np.pi
    body = _TURBINE.format(
        size=size, gamma=made.gas.ratio, constant=made.gas.constant, a_r=a_r, limit=limit, name=name
    )
    return name, _HEAD.format(kind="turbine", name=name, notes=notes) + body, "\n".join(rows) + "\n"


def main() -> None:
    """Write all cards of the family."""
    made = [("compressor", compressor_card(size)) for size in COMPRESSORS]
    made += [("turbine", turbine_card(size, a_r)) for size, a_r in TURBINES]
    for kind, (name, text, table) in made:
        (LIBRARY / kind / f"{name}.toml").write_text(text, encoding="utf-8", newline="\n")
        (LIBRARY / kind / f"{name}.csv").write_text(table, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
