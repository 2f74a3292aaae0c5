"""How burn duration goes with engine speed when turbulence draws a flame in: what a rule for it should lie beside.

One disc chamber with the plug in the middle of the roof; the charge burns as Blizard and Keck, and Tabaczynski, have
it: a spherical front takes unburned charge in at turbulence and laminar velocity, and what it took in burns up with the
time an eddy's fine structure takes. Turbulence goes with piston speed, and is squeezed with the charge. Adiabatic, one
specific heat ratio. Shares the laminar velocity of Rhodes and Keck with the package, written out again here, nothing
else. Run it to write result.csv.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
from numba import njit

BORE, STROKE, ROD, RATIO = 0.083, 0.092, 0.148, 9.0
AREA = 0.25 * np.pi * BORE**2
CLEARANCE = AREA * STROKE / (RATIO - 1.0)
GAMMA, GAS = 1.31, 290.0
CLOSING = np.radians(-140.0)
STEP = np.radians(0.2)
HALF_BURNED = 8.0
"""CA50 [deg] of every burn."""
PRESSURE, TEMPERATURE, LAMBDA, RESIDUAL = 150e3, 340.0, 0.9, 0.05
SPEEDS = (1000.0, 1500.0, 2000.0, 3000.0, 4500.0, 6000.0, 6500.0)
"""rpm."""
CHAMBERS = (
    (0.5, 0.1, 0.5),
    (0.5, 0.2, 0.3),
    (0.5, 0.2, 1.0),
    (0.5, 0.4, 0.3),
    (0.45, 0.2, 0.3),
    (0.6, 0.2, 2.0),
)
"""Turbulence over mean piston speed at ignition, eddy over twice the clearance height, factor on the burn-up time."""


@njit
def volume(angle: float) -> float:
    """Above the piston [m3]."""
    half = 0.5 * STROKE
    return CLEARANCE + AREA * (
        half * (1 - np.cos(angle)) + ROD - np.sqrt(ROD**2 - (half * np.sin(angle)) ** 2)
    )


@njit
def laminar(t: float, p: float) -> float:
    """Rhodes and Keck [m/s]."""
    phi = 1.0 / LAMBDA
    hot, dense = 2.4 - 0.271 * phi**3.51, -0.357 + 0.14 * phi**2.77
    still = 0.305 - 0.549 * (phi - 1.21) ** 2
    return still * (t / 298.0) ** hot * (p / 101325.0) ** dense * (1.0 - 2.06 * RESIDUAL**0.77)


@njit
def front(inside: float, height: float) -> float:
    """Area [m2] of a sphere about the plug, cut by piston and liner, that holds a volume."""
    wide = 0.5 * BORE
    low, high = 0.0, np.sqrt(wide**2 + height**2)
    radius = lower = upper = 0.0
    for _ in range(40):
        radius = 0.5 * (low + high)
        upper = min(radius, height)
        lower = min(np.sqrt(max(radius**2 - wide**2, 0.0)), upper)
        held = np.pi * (wide**2 * lower + radius**2 * (upper - lower) - (upper**3 - lower**3) / 3.0)
        if held < inside:
            low = radius
        else:
            high = radius
    return 2.0 * np.pi * radius * (upper - lower)


@njit
def burn_from(
    spark: float, speed: float, turbulence: float, eddy: float, burn_up: float
) -> tuple[float, float, float]:
    """Angles [deg] of 10, 50 and 90 % burned after a spark [deg] at a speed [rad/s]; 999 where never reached."""
    first = volume(CLOSING)
    mass = PRESSURE * first / (GAS * TEMPERATURE)
    heat = 42.5e6 / (14.6 * LAMBDA + 1.0) * (1.0 - RESIDUAL) * (1.0 - 1.05 * (1.0 - LAMBDA)) * 0.8
    angle, time = np.radians(spark), STEP / speed
    p = PRESSURE * (first / volume(angle)) ** GAMMA
    density_0 = mass / volume(angle)
    taken, burned, since = 1e-3 * mass, 1e-3 * mass, 0.0
    found = np.full(3, 999.0)
    passed = 0
    while angle < np.radians(120.0) and passed < 3:
        t = TEMPERATURE * (p / PRESSURE) ** ((GAMMA - 1.0) / GAMMA)
        density = p / (GAS * t)
        squeezed = (density / density_0) ** (1.0 / 3.0)
        u = turbulence * STROKE * speed / np.pi * squeezed
        size = eddy * 2.0 * CLEARANCE / AREA / squeezed
        s = laminar(t, p)
        fine = np.sqrt(15.0 * 1.46e-6 * t**1.5 / (t + 110.0) / density * size / u)
        tau = burn_up * fine / s
        now = volume(angle)
        inside = min(max(now - (mass - taken) / density, 1e-10), now)
        area = front(inside, now / AREA) if taken < mass else 0.0
        draws = min(density * area * (u * (1.0 - np.exp(-since / tau)) + s) * time, mass - taken)
        burns = min(density * area * s * time + (taken - burned) / tau * time, taken + draws - burned)
        taken += draws
        burned += burns
        p += ((GAMMA - 1.0) * heat * burns - GAMMA * p * (volume(angle + STEP) - now)) / now
        angle += STEP
        since += time
        while passed < 3 and burned / mass >= (0.1, 0.5, 0.9)[passed]:
            found[passed] = np.degrees(angle)
            passed += 1
    return found[0], found[1], found[2]


def durations(rpm: float, chamber: tuple[float, float, float]) -> tuple[float, float]:
    """Spark to 10 %, and 10 to 90 % burned [deg], half burned at HALF_BURNED."""
    early, late = -90.0, HALF_BURNED
    for _ in range(24):
        spark = 0.5 * (early + late)
        ten, half, ninety = burn_from(spark, rpm * np.pi / 30.0, *chamber)
        early, late = (early, spark) if half > HALF_BURNED else (spark, late)
    return ten - spark, ninety - ten


def write(path: Path) -> None:
    """The table of every chamber and speed."""
    with path.open("w", newline="", encoding="utf-8") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(
            ["turbulence", "eddy", "burn_up", "speed_rpm", "spark_to_10_deg", "from_10_to_90_deg",
             "spark_to_90_over_2000_rpm", "10_to_90_over_2000_rpm"]
        )  # fmt: skip
        for chamber in CHAMBERS:
            slow = durations(2000.0, chamber)
            for rpm in SPEEDS:
                first, main = durations(rpm, chamber)
                ratios = (first + main) / sum(slow), main / slow[1]
                table.writerow(
                    [*chamber, rpm, f"{first:.1f}", f"{main:.1f}", *(f"{ratio:.3f}" for ratio in ratios)]
                )


if __name__ == "__main__":
    write(Path(__file__).with_name("result.csv"))
