"""Three housings on one invented turbine wheel: writes housings.csv.

Run from the top folder: python -m studies.mean_line.turbine_housings
"""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np

from boostwright.components.turbine_mean_line import best_point, flow_sensitivity_to_a_over_r
from boostwright.components.turbine_wheel import Gas, turbine_state
from studies.invented_turbos.make_cards import TURBINES

HERE = Path(__file__).resolve().parent
A_OVER_R = (0.48, 0.64, 0.83)
FLOW = 0.06
"""kg/s at 1123 K and 200 kPa, at which drive pressure and power are compared."""


def rows() -> list[list[str]]:
    """One row a housing: sensitivities, best points, and what happens at one flow and blade speed (300 m/s)."""
    gas, ratios = Gas(), np.linspace(1.05, 3.5, 120)
    table = []
    for a_r in A_OVER_R:
        wheel = replace(TURBINES[54, 0.64], a_over_r=a_r * 0.0254)
        state = turbine_state(wheel, 2.0 * 300.0 / wheel.inlet_diameter, ratios, gas)
        ratio = float(np.interp(FLOW, state.flow, ratios))
        efficiency = float(np.interp(ratio, ratios, state.efficiency))
        drop = gas.heat * gas.temperature * (1.0 - ratio ** (-(gas.ratio - 1.0) / gas.ratio))
        row = [f"{a_r:.2f}"]
        for r in (1.4, 2.0, 2.6):
            best, eta, flow = best_point(wheel, r)
            row += [
                f"{flow_sensitivity_to_a_over_r(wheel, r):.2f}",
                f"{best:.2f}",
                f"{eta:.3f}",
                f"{flow:.4f}",
            ]
        table.append([*row, f"{ratio:.3f}", f"{efficiency:.3f}", f"{1e-3 * FLOW * efficiency * drop:.2f}"])
    return table


def main() -> None:
    """Write the table."""
    header = ["a_r_inch"]
    for r in ("1.4", "2.0", "2.6"):
        header += [
            f"{name}_at_{r}" for name in ("dln_flow_dln_a_r", "best_blade_speed_ratio", "efficiency", "flow")
        ]
    header += ["ratio_at_0.06_kg_s", "efficiency_there", "power_kW_there"]
    with (HERE / "housings.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(header)
        writer.writerows(rows())


if __name__ == "__main__":
    main()
