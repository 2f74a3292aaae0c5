"""Friction by author on one grid, and what each leaves at full boost of the demo engine; writes result.csv."""

from __future__ import annotations

import csv
import sys
from pathlib import Path

import numpy as np

from boostwright.build import read_build
from boostwright.components.friction import friction_pressure
from boostwright.tasks.predict import predict

ROOT = Path(__file__).resolve().parents[2]
BUILD = ROOT / "examples" / "hill_climb_estate"
AUTHORS = ("sandoval-heywood", "chen-flynn", "barnes-moss")
SPEEDS = np.arange(1000.0, 7001.0, 1000.0)
PEAKS = (40.0, 80.0, 120.0)
PEAK_OVER_BOOST = 45.0
"""Peak pressure over that of the intake manifold, for the author that goes by the latter."""


def rows() -> list[list[str]]:
    """Author, speed, peak pressure, friction [bar], and mechanical efficiency at full boost [-] beside it."""
    found = []
    for author in AUTHORS:
        setting = f"cylinder.friction={author}"
        build = read_build(BUILD, [setting])
        omega = SPEEDS * np.pi / 30.0
        piston = build["engine"].si("stroke") * omega / np.pi
        boosted = predict(BUILD, settings=[setting], speeds=tuple(omega[1:-1]))
        share = boosted["power"] / (boosted["power"] + boosted["friction_power"])
        for peak in PEAKS:
            p_max = np.full(omega.shape, peak * 1e5)
            pressure = friction_pressure(build, p_max, p_max / PEAK_OVER_BOOST, piston, omega)
            for i, speed in enumerate(SPEEDS):
                left = f"{share[i - 1]:.3f}" if peak == PEAKS[1] and 0 < i < len(SPEEDS) - 1 else ""
                found.append([author, f"{speed:.0f}", f"{peak:.0f}", f"{pressure[i] / 1e5:.3f}", left])
    return found


if __name__ == "__main__":
    out = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).with_name("result.csv")
    with out.open("w", newline="", encoding="utf-8") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(
            ["author", "speed_rpm", "peak_pressure_bar", "friction_bar", "mechanical_efficiency_full_boost"]
        )
        table.writerows(rows())
