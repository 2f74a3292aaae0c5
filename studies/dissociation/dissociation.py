"""Closed cycles with burned gas in equilibrium against the same with frozen burned gas.

    .venv/bin/python studies/dissociation/dissociation.py

Writes ``result.csv``. Same burn law, same wall heat (Hohenberg), same unburned gas; the burned gas alone differs.
"""

from __future__ import annotations

import csv
from pathlib import Path

import cantera as ct
import numpy as np

from boostwright.physics.cylinder import burn, slider_crank, wall_heat

DEGREE, RPM = np.pi / 180.0, np.pi / 30.0
BORE, STROKE, ROD, RATIO = 0.083, 0.092, 0.148, 9.0
WALL, FROZEN_BELOW = 450.0, 1400.0
OCTANE = (1.87 - 8 / 7) / (9 / 4 - 8 / 7)
FUEL = {"C8H18,isooctane": OCTANE / 8, "C7H8": (1 - OCTANE) / 7}
AIR = {"N2": 0.7808, "O2": 0.2095, "Ar": 0.0097}
STABLE = ("N2", "O2", "Ar", "CO2", "H2O", "CO", "H2")
RADICALS = ("OH", "O", "H", "NO")
LAMBDAS = (0.70, 0.75, 0.80, 0.85, 0.90, 0.94, 0.97, 1.00, 1.03, 1.06, 1.10, 1.15)
STATES = ((3000.0, 0.95e-3, 10.0), (3000.0, 0.95e-3, 25.0), (1500.0, 0.5e-3, 10.0), (6000.0, 1.3e-3, 10.0))


def volume(angle: np.ndarray) -> np.ndarray:
    area = np.pi / 4 * BORE**2
    return area * (STROKE / (RATIO - 1.0) + slider_crank.piston_travel(angle, STROKE, ROD))


class Gas:
    """Fresh charge with 5 % residual, and what it burns to."""

    def __init__(self, lambda_value: float) -> None:
        every = {s.name: s for s in ct.Species.list_from_file("nasa_gas.yaml")}
        self.unburned = ct.Solution(thermo="ideal-gas", species=[every[n] for n in (*STABLE, *FUEL)])
        self.burned = ct.Solution(thermo="ideal-gas", species=[every[n] for n in (*STABLE, *RADICALS)])
        stable = ct.Solution(thermo="ideal-gas", species=[every[n] for n in STABLE])
        self.unburned.set_equivalence_ratio(1.0 / lambda_value, FUEL, AIR)
        fresh = self.unburned.Y.copy()
        products = dict.fromkeys(STABLE, 0.0)
        share = {e: self.unburned.elemental_mole_fraction(e) for e in ("C", "H", "O", "N", "Ar")}
        spare = max(share["O"] - 2 * share["C"] - share["H"] / 2, 0.0)
        lacking = max(2 * share["C"] + share["H"] / 2 - share["O"], 0.0)
        products |= {"CO2": share["C"] - lacking, "CO": lacking, "H2O": share["H"] / 2, "O2": spare / 2}
        products |= {"N2": share["N"] / 2, "Ar": share["Ar"]}
        stable.TPX = 1740.0, ct.one_atm, products
        if lambda_value < 1.0:
            stable.equilibrate("TP")
        self.frozen = np.concatenate([stable.Y, np.zeros(len(RADICALS))])
        residual = np.concatenate([stable.Y, np.zeros(len(FUEL))])
        self.unburned.TPY = 300.0, 1e5, 0.95 * fresh + 0.05 * residual

    def state(
        self, t: float, p: float, x: float, v: float, mass: float, equilibrium: bool
    ) -> tuple[float, float]:
        """Internal energy [J/kg] and pressure [Pa] of the charge."""
        self.unburned.TP = t, p
        r_unburned = ct.gas_constant / self.unburned.mean_molecular_weight
        if x <= 0.0:
            return self.unburned.int_energy_mass, mass * r_unburned * t / v
        for _ in range(3):
            self.burned.TPY = t, p, self.frozen
            if equilibrium and t > FROZEN_BELOW:
                self.burned.equilibrate("TP")
            r = (1 - x) * r_unburned + x * ct.gas_constant / self.burned.mean_molecular_weight
            p = mass * r * t / v
        return (1 - x) * self.unburned.int_energy_mass + x * self.burned.int_energy_mass, p


def cycle(gas: Gas, speed: float, mass: float, angle: float, equilibrium: bool) -> tuple[float, float, float]:
    """Work [J], peak pressure [Pa], temperature at exhaust opening [K]."""
    step, omega, duration = 0.5 * DEGREE, speed * RPM, 50.0 * DEGREE
    angles = np.arange(-130.0 * DEGREE, 130.0 * DEGREE + 1e-9, step)
    v, start = volume(angles), burn.burn_start_wiebe(angle * DEGREE, duration, 5.0, 2.0)
    x = burn.burned_fraction_wiebe(angles, start, duration, 5.0, 2.0)
    area = wall_heat.cylinder_wall_area(BORE, v / (np.pi / 4 * BORE**2), 1.15)
    t, work = 360.0, 0.0
    u, p = gas.state(t, 2e5, 0.0, v[0], mass, False)
    peak = p
    for k in range(1, len(angles)):
        h = float(wall_heat.wall_heat_hohenberg(v[k - 1], p, t, STROKE * omega / np.pi))
        lost = h * area[k] * (t - WALL) * step / omega

        def surplus(
            guess: float, k: int = k, lost: float = lost, p: float = p, u: float = u
        ) -> tuple[float, float, float]:
            new, pressure = gas.state(guess, p, x[k], v[k], mass, equilibrium)
            return mass * (new - u) + 0.5 * (p + pressure) * (v[k] - v[k - 1]) + lost, new, pressure

        before, (miss_before, _, _) = t, surplus(t)
        guess = t + (5.0 if miss_before < 0.0 else -5.0)
        for _ in range(8):
            miss, new, pressure = surplus(guess)
            if abs(guess - before) < 1e-6 or miss == miss_before:
                break
            before, miss_before, guess = guess, miss, guess - miss * (guess - before) / (miss - miss_before)
        work += 0.5 * (p + pressure) * (v[k] - v[k - 1])
        t, u, p = guess, new, pressure
        peak = max(peak, p)
    return work, peak, t


def main() -> None:
    rows = []
    for lam in LAMBDAS:
        gas = Gas(lam)
        for state in STATES:
            frozen, even = cycle(gas, *state, False), cycle(gas, *state, True)
            row = [lam, *state, even[0] / frozen[0], even[1] / frozen[1], even[2] - frozen[2]]
            rows.append([f"{value:.6g}" for value in row])
            print(*rows[-1], flush=True)
    with (Path(__file__).parent / "result.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        head = ["lambda", "rpm", "mass_kg", "ca50_deg", "work_ratio", "peak_pressure_ratio", "opening_K"]
        writer.writerow(head)
        writer.writerows(rows)


if __name__ == "__main__":
    main()
