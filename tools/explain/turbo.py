"""Pictures about compressor, turbine, shaft, gate and the balance between them."""

from __future__ import annotations

import csv
from importlib import resources
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from boostwright import predict
from boostwright.cards.look_up import find_card
from boostwright.components.compressor import surface_of_lines
from boostwright.components.compressor_lines import speed_lines
from boostwright.physics.gas import fittings, orifice
from boostwright.physics.turbo import actuator, compression, poppet, shaft, turbine
from boostwright.solve.kernel.compressor import compressor_states
from tools.explain.sheet import Sheet, cases_of

__all__ = [
    "actuator_plumbing",
    "compressor",
    "gate_and_junctions",
    "shaft_picture",
    "solver",
    "turbine_picture",
]

Array = NDArray[np.float64]
ROOT = Path(__file__).resolve().parents[2]
RPM = np.pi / 30.0
_ENTHALPY = 1004.675 * 288.15
_POINTS = ("read", "reference library")
_AXIAL = "library/turbine/axial-cold-air-1974-total-to-static.csv"


def compressor() -> Sheet:
    """The open rig's lines with one inner line left out of the surface and found again."""
    sheet = Sheet(2)
    lines = speed_lines(find_card("compressor", "hecc-vaneless"))
    left_out = 1
    rest = [line for i, line in enumerate(lines) if i != left_out]
    surface = surface_of_lines(rest, rest[-1].speed, "highest line", float("nan"))
    for i, line in enumerate(lines):
        flow = np.linspace(line.flow[0], line.flow[-1], 120)
        ratio, work = compressor_states(surface.table, np.full(flow.size, line.speed), flow)
        index = 1 if i == left_out else 0
        label = ("line left out", "lines kept")[1 - index] if i < 2 else ""
        sheet.line(0, index, flow, ratio, label)
        sheet.line(1, index, flow, _ENTHALPY * (ratio ** (1.0 / 3.5) - 1.0) / work, label)
        sheet.read_points(0, line.flow, line.pressure_ratio, "harrison-2023", index)
        sheet.read_points(1, line.flow, line.efficiency, "harrison-2023", index)
    sheet.finish(0, "corrected flow, kg/s", "total pressure ratio")
    sheet.finish(1, "corrected flow, kg/s", "efficiency, total to total")
    return sheet


def _axial() -> dict[str, Array]:
    text = resources.files("boostwright").joinpath(_AXIAL).read_text(encoding="utf-8")
    rows = list(csv.DictReader([line for line in text.splitlines() if not line.startswith("#")]))[1:]
    return {key: np.array([float(row[key]) for row in rows]) for key in rows[0]}


def turbine_picture() -> Sheet:
    """One-number forms with the printed choked flow, on the measured axial turbine."""
    sheet = Sheet(2)
    points = _axial()
    ratio = np.linspace(1.2, 3.0, 200)
    choked = 2.30
    area = turbine.choked_effective_area(choked * np.sqrt(288.15) / 101325.0, 287.05, 1.4)
    nozzle = orifice.mass_flow_orifice(1.0, area, 101325.0, 288.15, 101325.0 / ratio, 287.05, 1.4)
    sheet.line(0, 0, ratio, nozzle, "one nozzle of the choked flow")
    sheet.line(0, 1, ratio, choked * np.sqrt(1.0 - ratio**-2.3633), "form of the diesel fit")
    sheet.read_points(
        0, points["expansion_ratio"], points["corrected_flow"], "kofskey-1974", 2, "measured, all speeds"
    )
    sheet.finish(0, "expansion ratio, total to static", "equivalent flow, kg/s")
    speed = turbine.blade_speed(0.207, points["corrected_speed"] * RPM)
    spouting = turbine.spouting_velocity(288.15, points["expansion_ratio"], 1004.5, 1.4)
    found = np.asarray(turbine.blade_speed_ratio(speed, spouting))
    blade = np.linspace(0.0, 1.0, 200)
    sheet.line(
        1,
        0,
        blade,
        turbine.turbine_efficiency_parabola(blade, 0.78, 0.535),
        "parabola, fitted: 0.78 at 0.535",
    )
    sheet.read_points(1, found, points["efficiency"], "kofskey-1974", 2, "measured, all speeds")
    sheet.finish(1, "blade-speed ratio", "efficiency, total to static", ylim=(0.0, 1.0))
    return sheet


def shaft_picture() -> Sheet:
    """Expansion ratio that a pressure ratio asks for; power left over along the shaft speed."""
    sheet = Sheet(1)
    ratio = np.linspace(1.1, 3.2, 100)
    for index, overall in enumerate((0.35, 0.45, 0.55)):
        work = compression.specific_work_compression(298.0, ratio, 1.0, 1007.0, 1.40)
        needed = shaft.expansion_ratio_needed(work, 1.08, 1223.0, overall, 1.0, 1210.0, 1.30)
        sheet.line(0, index, ratio, needed, f"overall efficiency {overall:.2f}")
    sheet.line(0, 0, ratio, ratio, "equal ratios", linewidth=0.7, alpha=0.6)
    sheet.finish(
        0, "compressor pressure ratio (all gas through the turbine, 1223 K)", "expansion ratio needed"
    )
    return sheet


def gate_and_junctions() -> Sheet:
    """Takeoff loss by angle and relation; the valve's effective area by lift."""
    sheet = Sheet(2)
    angle = np.linspace(10.0, 150.0, 141)
    rows = (
        (fittings.loss_branch_hager_bassett, "Hager, Bassett"),
        (fittings.loss_branch_gardel, "Gardel"),
        (fittings.loss_branch_idelchik, "Idelchik"),
    )
    for index, (relation, words) in enumerate(rows):
        sheet.line(0, index, angle, relation(0.3, 1.0, np.radians(angle)), words)
    for case in cases_of("gas.fittings.loss_branch_crane", *_POINTS):
        if case.inputs["area_ratio"] == 1.0 and case.inputs["flow_split"] == 0.3:
            sheet.case_points(0, [case], lambda c: np.degrees(c.inputs["angle"]))
    sheet.finish(0, "angle of the takeoff, deg (split 0.3, equal bores)", "loss on the collector's head")
    lift = np.linspace(0.0, 0.014, 200)
    area = poppet.effective_area_poppet(lift, 0.038, 0.008, 0.72, 0.72)
    sheet.line(1, 0, lift * 1e3, 1e6 * area, "joined")
    sheet.line(1, 1, lift * 1e3, 0.72e6 * poppet.curtain_area(0.038, lift), "curtain x 0.72")
    sheet.line(1, 2, lift * 1e3, 0.0 * lift + 0.72e6 * poppet.seat_area(0.038, 0.008), "seat x 0.72")
    sheet.finish(1, "lift, mm (38 mm valve)", "effective area, mm2", ylim=(0.0, 1000.0))
    return sheet


def actuator_plumbing() -> Sheet:
    """Boost at which the valve cracks, by the exhaust across it."""
    sheet = Sheet(1)
    diaphragm = np.pi / 4.0 * 0.060**2
    across = np.linspace(0.0, 100e3, 60)
    for index, valve in enumerate((0.032, 0.038, 0.044)):
        spring = actuator.preload_from_bench_rating(60e3, diaphragm)
        force = across * np.pi / 4.0 * valve**2
        crack = actuator.poppet_opening_pressure(spring, 9e3, 0.0, diaphragm, force, 0.0)
        sheet.line(0, index, across / 1e3, crack / 1e3, f"valve {valve * 1e3:.0f} mm")
    sheet.finish(
        0, "exhaust over outlet pressure, kPa (spring 0.6 bar, diaphragm 60 mm)", "signal that cracks it, kPa"
    )
    return sheet


def solver() -> Sheet:
    """The four states of the gate on one build, and how well each balance closes."""
    sheet = Sheet(1)
    speeds = np.arange(1200.0, 6601.0, 100.0) * RPM
    for index, mode in enumerate(("gate-shut", "spring", "gate-open")):
        found = predict(ROOT / "examples" / "hill_climb_estate", mode=mode, speeds=speeds)
        sheet.line(0, index, found.speeds / RPM, found["boost"] / 1e3, mode)
    sheet.finish(0, "engine speed, 1/min", "boost, kPa, where it is steady")
    return sheet
