"""What a fresh charge takes up from port and cylinder on its way in: what a rule for its warming should follow.

One cylinder filled from top dead centre to the closing of the intake valve at the manifold's pressure, by crank angle:
Woschni's coefficient for gas exchange to piston, head and bared liner, a turbulent pipe for the port. Beside it the
same filling without heat: the difference over that to the walls is the share. Only the coefficient of the cylinder's
walls is taken from the package. Run it to write result.csv.
"""

from __future__ import annotations

import csv
import itertools
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from boostwright.physics.cylinder.wall_heat import wall_heat_woschni

BORE, STROKE, ROD, RATIO = 0.083, 0.092, 0.148, 9.0
AREA = 0.25 * np.pi * BORE**2
CLEARANCE = AREA * STROKE / (RATIO - 1.0)
CLOSING = np.radians(220.0)
"""Of the intake valve, after the top dead centre of exchange [rad]."""
GAS, HEAT = 287.0, 1030.0
WALL, PORT_WALL = 450.0, 400.0
"""Mean of piston, head and liner; of port and back of the valve, warm engine at full load [K], own estimates."""
RESIDUAL = 950.0
"""Temperature of what stays in the clearance [K]."""
EXCHANGE_FACTOR = 6.18
PORT_BORE, PORT_LENGTH = 0.40 * BORE, 1.0 * BORE
VISCOSITY, CONDUCTIVITY = 1.9e-5, 0.027  # of air at 310 K
MANIFOLDS = ((60e3, 293.0), (100e3, 293.0), (170e3, 310.0), (230e3, 325.0))
"""Pressure [Pa] and temperature [K] in the intake manifold."""
SPEEDS = (1000.0, 1500.0, 2000.0, 3000.0, 4000.0, 5000.0, 6000.0)
"""rpm."""


@dataclass(frozen=True)
class Found:
    """warmer_in_port [K]; temperatures [K] when the valve closes without and with heat; share of the way to the walls;
    filling over that without heat."""

    warmer_in_port: float
    without: float
    warm: float
    share: float
    filling: float


def swept(angle: float) -> float:
    """Volume [m3] above the piston."""
    half = 0.5 * STROKE
    return float(
        CLEARANCE + AREA * (half * (1 - np.cos(angle)) + ROD - np.sqrt(ROD**2 - (half * np.sin(angle)) ** 2))
    )


def in_port(pressure: float, temperature: float, speed: float) -> float:
    """Warming [K] in the port: Nu = 0.07 Re^0.75 (Depcik and Assanis, SAE 2002-01-0372, from memory)."""
    time = CLOSING / speed
    mass = 0.92 * pressure * AREA * STROKE / (GAS * temperature)
    reynolds = 4.0 * mass / time / (np.pi * PORT_BORE * VISCOSITY)
    coefficient = 0.07 * reynolds**0.75 * CONDUCTIVITY / PORT_BORE
    units = coefficient * np.pi * PORT_BORE * PORT_LENGTH * time / (mass * HEAT)
    return float((PORT_WALL - temperature) * -np.expm1(-units))


def fill(
    pressure: float, fresh: float, speed: float, factor: float, steps: int = 2200
) -> tuple[float, float]:
    """Temperature [K] and mass [kg] in the cylinder when the valve closes, gas coming in at ``fresh`` [K]."""
    angle = np.linspace(0.0, CLOSING, steps + 1)
    piston, step = STROKE * speed / np.pi, CLOSING / steps / speed
    volume = [swept(a) for a in angle]
    temperature, mass = RESIDUAL, pressure * CLEARANCE / (GAS * RESIDUAL)
    for now, then in itertools.pairwise(volume):
        coefficient = float(wall_heat_woschni(BORE, pressure, temperature, EXCHANGE_FACTOR * piston))
        walls = 2.15 * AREA + 4.0 * now / BORE
        warmed = factor * coefficient * walls * (WALL - temperature) * step / HEAT
        swelling = pressure * (then - now) / GAS
        # what is pushed back at the end has the temperature of what stays
        drawn = (swelling - warmed) / fresh if swelling > 0.0 else 0.0
        temperature += ((fresh - temperature) * drawn + warmed) / mass
        mass += drawn
    return temperature, mass


def run(pressure: float, temperature: float, rpm: float, factor: float = 1.0) -> Found:
    """One state; ``factor`` on the heat of the cylinder's walls."""
    speed = rpm * np.pi / 30.0
    port = in_port(pressure, temperature, speed)
    without, full = fill(pressure, temperature, speed, 0.0)
    warm, less = fill(pressure, temperature + port, speed, factor)
    return Found(port, without, warm, (warm - without) / (WALL - without), less / full)


def write(path: Path) -> None:
    """The table of every manifold and speed."""
    with path.open("w", newline="", encoding="utf-8") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(
            ["pressure_im_kpa", "temperature_im_k", "speed_rpm", "warmer_in_port_k", "temperature_without_heat_k",
             "temperature_k", "share", "filling"]
        )  # fmt: skip
        for pressure, temperature in MANIFOLDS:
            for rpm in SPEEDS:
                f = run(pressure, temperature, rpm)
                table.writerow(
                    [pressure / 1e3, temperature, rpm, f"{f.warmer_in_port:.2f}", f"{f.without:.1f}", f"{f.warm:.1f}",
                     f"{f.share:.4f}", f"{f.filling:.4f}"]
                )  # fmt: skip


if __name__ == "__main__":
    write(Path(__file__).with_name("result.csv"))
