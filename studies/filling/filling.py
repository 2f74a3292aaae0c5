"""Quasi-steady filling of one cylinder through its intake valves: what a rule from the inlet Mach index should follow.

A cylinder breathes from a manifold at constant pressure through valves of the same lift and effective area as in
``physics/cylinder/valves.py``. Compressible orifice flow both ways, perfect gas, no heat, no runner. The integration
is written apart from the package; only the two relations of the valve are taken from it, so that the rule alone is
tested. Run it to write result.csv.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from boostwright.physics.cylinder.valves import valve_effective_area, valve_lift_sine_squared

Array = NDArray[np.float64]

GAMMA, GAS, PRESSURE, TEMPERATURE, RESIDUAL = 1.4, 287.05, 1.0e5, 298.15, 1000.0
BORE, STROKE, COMPRESSION, ROD_RATIO = 0.083, 0.092, 9.0, 1.6
VALVES, DIAMETER, LIFT, CURTAIN, THROAT = 2, 0.032, 0.0095, 0.65, 0.70
CAMS = ((10.0, 30.0), (15.0, 50.0), (20.0, 70.0))
"""Opening before top and closing after bottom dead centre, at the seat [deg]."""
SPEEDS = np.array([1500.0, 2500.0, 3500.0, 4500.0, 5500.0, 6500.0, 7500.0, 9000.0, 11000.0, 14000.0])
"""rpm; the last ones only to reach high inlet Mach indices."""


def flux(ratio: Array) -> Array:
    """Flow function of the compressible orifice at throat over upstream pressure, choked below the critical ratio."""
    critical = (2.0 / (GAMMA + 1.0)) ** (GAMMA / (GAMMA - 1.0))
    r = np.clip(ratio, critical, 1.0)
    return np.asarray(
        r ** (1.0 / GAMMA) * np.sqrt(2.0 * GAMMA / (GAMMA - 1.0) * (1.0 - r ** ((GAMMA - 1.0) / GAMMA)))
    )


def volume(angle: float) -> float:
    """Of the cylinder [m3] at an angle [rad] after top dead centre."""
    swept = 0.25 * np.pi * BORE**2 * STROKE
    side = np.sin(angle) / (2.0 * ROD_RATIO)
    travel = 0.5 * (1.0 - np.cos(angle)) + ROD_RATIO * (1.0 - np.sqrt(1.0 - side * side))
    return float(swept / (COMPRESSION - 1.0) + swept * travel)


def fill(opening: float, closing: float, steps: int = 3000) -> tuple[Array, Array]:
    """Volumetric efficiency [-] and intake pumping loss [Pa] at SPEEDS for a cam of those angles [deg]."""
    omega = SPEEDS * np.pi / 30.0
    first, duration = np.radians(opening), np.radians(180.0 + opening + closing)
    end = np.pi + np.radians(closing)
    swept = 0.25 * np.pi * BORE**2 * STROKE

    def rates(angle: float, state: Array) -> tuple[Array, Array, float]:
        mass, energy, fresh = state
        slope = (volume(angle + 1e-5) - volume(angle - 1e-5)) / 2e-5
        pressure = energy * (GAMMA - 1.0) / volume(angle)
        inside = pressure * volume(angle) / (mass * GAS)
        share = min(max((angle + first) / duration, 0.0), 1.0)
        lift = valve_lift_sine_squared(share, LIFT)
        area = VALVES * float(valve_effective_area(lift, DIAMETER, CURTAIN, THROAT))
        inward = area * PRESSURE / np.sqrt(GAS * TEMPERATURE) * flux(np.minimum(pressure / PRESSURE, 1.0))
        outward = area * pressure / np.sqrt(GAS * inside) * flux(np.minimum(PRESSURE / pressure, 1.0))
        heat = GAMMA / (GAMMA - 1.0) * GAS
        energy_rate = (inward * TEMPERATURE - outward * inside) * heat / omega - pressure * slope
        change = [(inward - outward) / omega, energy_rate, (inward - outward * fresh / mass) / omega]
        return np.array(change), pressure, slope

    clearance = volume(0.0)
    ones = np.ones_like(omega)
    state = np.array([PRESSURE * clearance / (GAS * RESIDUAL) * ones, PRESSURE * clearance / (GAMMA - 1.0) * ones,
                      0.0 * ones])  # fmt: skip
    step, loss = end / steps, np.zeros_like(omega)
    for i in range(steps):
        angle = i * step
        slope, pressure, swelling = rates(angle, state)
        if angle < np.pi:
            loss += (PRESSURE - pressure) * swelling * step
        middle, _, _ = rates(angle + 0.5 * step, state + 0.5 * step * slope)
        state = state + step * middle
    return state[2] * GAS * TEMPERATURE / (PRESSURE * swept), loss / swept


def write(path: Path) -> None:
    """The table of every cam and speed."""
    with path.open("w", newline="", encoding="utf-8") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(
            ["opening_deg", "closing_deg", "speed_rpm", "volumetric_efficiency", "intake_loss_kpa"]
        )
        for opening, closing in CAMS:
            for speed, filling, loss in zip(SPEEDS, *fill(opening, closing), strict=True):
                table.writerow([opening, closing, speed, f"{filling:.4f}", f"{loss / 1e3:.3f}"])


if __name__ == "__main__":
    write(Path(__file__).with_name("result.csv"))
