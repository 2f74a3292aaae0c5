"""Pictures about rods, columns, bolts and limits."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from boostwright.build import read_build, with_settings
from boostwright.physics.cylinder import slider_crank
from boostwright.physics.strength import bolt, column
from boostwright.proof.case import Case
from boostwright.solve.problem import assemble
from boostwright.solve.rods import implied_force, rods_of_build
from boostwright.tasks.predict import predict
from boostwright.tasks.ready import cards_of
from tools.explain.sheet import Sheet, cases_of

__all__ = ["limits_picture", "rods_picture", "strength_picture"]

RPM = np.pi / 30.0
EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "hill_climb_estate"
_CLASSES = (("8.8", 640e6), ("10.9", 940e6), ("12.9", 1100e6))


def rods_picture() -> Sheet:
    """Force by speed at one peak pressure; force by phasing at one torque."""
    sheet = Sheet(2)
    rpm = np.linspace(1500.0, 8000.0, 100)
    inertia = slider_crank.inertia_force(np.radians(15.0), 0.55, 0.092, 0.148, rpm * RPM)
    gas = np.full(rpm.shape, float(slider_crank.gas_force(110e5, 1e5, 0.083)))
    along = slider_crank.rod_force_along(gas - inertia, np.radians(15.0), 0.092, 0.148)
    sheet.line(0, 0, rpm, gas / 1e3, "gas, 110 bar")
    sheet.line(0, 1, rpm, inertia / 1e3, "inertia at 15 deg, 0.55 kg")
    sheet.line(0, 2, rpm, along / 1e3, "along the rod")
    top = slider_crank.inertia_force(0.0, 0.55, 0.092, 0.148, rpm * RPM)
    sheet.line(0, 0, rpm, -np.asarray(top) / 1e3, "pull at overlap", alpha=0.5)
    sheet.axes[0].axhline(0.0, linewidth=0.8, color="black")
    sheet.finish(0, "engine speed, 1/min (83 x 92 mm)", "force, kN; pressing is positive")
    build = read_build(EXAMPLE)
    table = assemble(build, cards_of(build), np.array([3000.0 * RPM]), "target").cycle
    phasing = np.arange(4.0, 37.0, 2.0)
    for index, speed in enumerate((2500, 4000, 6000)):
        forces = []
        for ca50 in phasing:
            settings = (f"rods.believed_phasing={ca50} deg", f"rods.believed_speed={speed} rpm")
            there = with_settings(build, settings)
            rods = rods_of_build(there)
            if rods is not None:
                forces.append(implied_force(there, table, rods).force / 1e3)
        sheet.line(1, index, phasing, np.array(forces), f"430 Nm at {speed} 1/min")
    sheet.finish(1, "CA50, deg after top dead centre", "force in a strong cycle, kN")
    return sheet


def strength_picture() -> Sheet:
    """Critical stress by slenderness; preload of fine threads."""
    sheet = Sheet(2)
    slender = np.linspace(5.0, 160.0, 150)
    strength, modulus = 550e6, 207e9
    euler = column.column_force_euler(1.0, slender, 1.0, modulus, 1.0)
    sheet.line(0, 0, slender, np.where(euler < 2.0 * strength, euler, np.nan) / 1e6, "Euler")
    johnson = column.column_force_johnson(1.0, slender, 1.0, strength, modulus, 1.0)
    sheet.line(0, 1, slender, johnson / 1e6, "Johnson, then Euler")
    constant = column.rankine_constant(strength, modulus, 1.0)
    rankine = column.column_force_rankine(1.0, slender, 1.0, strength, constant)
    sheet.line(0, 2, slender, rankine / 1e6, "Rankine")
    sheet.finish(0, "length over radius of gyration, hinged", "MPa (yield 550 MPa)", ylim=(0.0, 800.0))
    diameter = np.linspace(7.0, 12.5, 60)
    for index, (name, strength_) in enumerate(_CLASSES):
        pitch = np.interp(diameter, [8.0, 10.0, 12.0], [1.0, 1.25, 1.25])
        load = bolt.assembly_preload_vdi_2230(diameter / 1e3, pitch / 1e3, strength_, 0.12)
        sheet.line(1, index, diameter, load / 1e3, f"class {name}")
        found = [
            case
            for case in cases_of("strength.bolt.assembly_preload_vdi_2230", "read")
            if case.inputs["yield_strength"] == strength_
        ]
        sheet.case_points(1, found, _millimetres, index=index)
    sheet.finish(1, "thread, mm (fine), friction 0.12", "preload at 90 % of yield, kN")
    return sheet


def limits_picture() -> Sheet:
    """Use of the limits of the hill-climb example by speed."""
    sheet = Sheet(2, height=3.6)
    found = predict(EXAMPLE)
    rpm = found.speeds / RPM
    shown = (
        ("torque-cap", "rod-force", "rod-column"),
        ("egt", "shaft-speed", "compressor-choke"),
    )
    for panel, names in enumerate(shown):
        for index, name in enumerate(names):
            limit = next(one for one in found.limits if one.name == name)
            sheet.line(panel, index, rpm, 100.0 * limit.utilisation, name)
        sheet.axes[panel].axhline(100.0, linewidth=0.8, color="black")
        sheet.finish(panel, "engine speed, 1/min", "use of the limit, %", ylim=(0.0, 110.0))
    return sheet


def _millimetres(case: Case) -> float:
    """Thread of a case of a bolt."""
    diameter = case.inputs["nominal_diameter"]
    return 1e3 * diameter if isinstance(diameter, float) else float("nan")
