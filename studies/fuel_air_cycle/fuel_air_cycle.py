"""What mixture strength does to the work of a cycle: the constant-volume fuel-air cycle with dissociating products.

    .venv/bin/python studies/fuel_air_cycle/fuel_air_cycle.py

A simple model of the cylinder states its gross efficiency on the heat released in it. A rich mixture releases
less heat per kg of air, yet loses hardly any work, since it makes more molecules and dissociates less. This script
computes by how much the efficiency on released heat must rise so that the work per kg of air comes out right. Writes
result.csv and prints the fit.
"""

from __future__ import annotations

import csv
from pathlib import Path

import cantera
import numpy as np

from boostwright.physics.cylinder.air_standard import mixture_efficiency_factor
from boostwright.physics.gas import exhaust, fuel

HERE = Path(__file__).resolve().parent
NAMES = ("N2", "O2", "Ar", "CO2", "H2O", "CO", "H2", "OH", "O", "H", "NO")
AIR = {"N2": 0.7808, "O2": 0.2095, "Ar": 0.0097}
CARBON_DIOXIDE, WATER = -393.51e6, -241.826e6  # J/kmol of formation, CODATA key values
HYDROGEN, HEATING_VALUE = 1.87, 43.4e6  # of petrol: per carbon atom, J/kg
FUEL_HEAT, FUEL_MOLAR_MASS = 2200.0, 100.0  # J/(kg K) and kg/kmol of its vapour, from memory
FROZEN = 1740.0  # K, below which the products no longer react; as in physics.gas.exhaust
R = cantera.gas_constant
LAMBDAS = (
    0.70,
    0.75,
    0.78,
    0.80,
    0.82,
    0.85,
    0.88,
    0.90,
    0.92,
    0.95,
    0.98,
    1.0,
    1.02,
    1.05,
    1.10,
    1.15,
    1.20,
)
# compression ratio, start temperature [K], start pressure [Pa]
STATES = ((9.0, 340.0, 1.6e5), (8.0, 340.0, 1.6e5), (11.0, 340.0, 1.0e5), (9.0, 400.0, 2.2e5))


def products() -> cantera.Solution:
    species = [s for s in cantera.Species.list_from_file("nasa_gas.yaml") if s.name in NAMES]
    return cantera.Solution(thermo="ideal-gas", species=species)


def work_per_air(gas: cantera.Solution, lam: float, ratio: float, start: float, pressure: float) -> float:
    """Net work [J] of one cycle per kg of dry air; adiabatic, burned at constant volume, no residual gas."""
    moles = {name: lam * (1.0 + HYDROGEN / 4.0) * share / AIR["O2"] for name, share in AIR.items()}
    weights = dict(zip(gas.species_names, gas.molecular_weights, strict=True))
    air = sum(n * weights[name] for name, n in moles.items())
    fuel_mass = 12.011 + 1.008 * HYDROGEN
    vapour = fuel_mass / FUEL_MOLAR_MASS
    total = sum(moles.values()) + vapour
    volume = total * R * start / pressure

    def heat_capacity(kelvin: float) -> float:
        gas.TPX = kelvin, 1e5, moles
        return float(gas.cv_mass * air + FUEL_HEAT * fuel_mass - vapour * R)

    kelvin, taken = start, 0.0
    step = np.log(ratio) / 400
    for _ in range(400):
        rise = total * R * kelvin / heat_capacity(kelvin) * step
        middle = kelvin + 0.5 * rise
        heat = heat_capacity(middle)
        rise = total * R * middle / heat * step
        taken += heat * rise
        kelvin += rise
    gas.TPX = kelvin, 1e5, moles
    formed = CARBON_DIOXIDE + HYDROGEN / 2.0 * WATER + HEATING_VALUE * fuel_mass
    energy = (
        gas.int_energy_mass * air + formed + FUEL_HEAT * fuel_mass * (kelvin - 298.15) - vapour * R * kelvin
    )
    mass = air + fuel_mass
    spare = (2.0 * moles["O2"] - 1.0) / 2.0
    gas.TPX = 2500.0, 5e6, {**moles, "O2": spare, "CO": 1.0, "H2": HYDROGEN / 2.0}
    gas.UV = energy / mass, volume / ratio / mass
    gas.equilibrate("UV", rtol=1e-9)
    burned, entropy = gas.int_energy_mass, gas.entropy_mass
    for at in np.geomspace(volume / ratio / mass, volume / mass, 200)[1:]:
        gas.SV = entropy, at
        if gas.T > FROZEN:
            gas.equilibrate("SV")
    return float(((burned - gas.int_energy_mass) * mass - taken) / air)


def released_per_air(lam: float) -> float:
    """Heat [J] that the program says is released per kg of dry air."""
    fresh = np.zeros((1, 7))
    fresh[0, :3] = AIR["N2"], AIR["O2"], AIR["Ar"]
    gas = exhaust.exhaust_mole_fractions(np.array([lam]), HYDROGEN, 0.0, fresh)
    stoichiometric = float(fuel.stoichiometric_air_fuel_ratio(HYDROGEN, 0.0))
    per_fuel = exhaust.exhaust_per_fuel_mass(lam, stoichiometric, 0.0)
    heat = exhaust.released_heat_per_fuel_mass(HEATING_VALUE, per_fuel, exhaust.chemical_energy(gas)[0])
    return float(heat) / (lam * stoichiometric)


def rows() -> list[dict[str, float]]:
    gas, found = products(), []
    for ratio, start, pressure in STATES:
        at_one = work_per_air(gas, 1.0, ratio, start, pressure)
        for lam in LAMBDAS:
            work = work_per_air(gas, lam, ratio, start, pressure) / at_one
            heat = released_per_air(lam) / released_per_air(1.0)
            found.append(
                {
                    "compression_ratio": ratio,
                    "start_k": start,
                    "start_kpa": pressure / 1e3,
                    "lambda": lam,
                    "work_per_air": work,
                    "released_per_air": heat,
                    "factor": work / heat,
                    "fit": float(mixture_efficiency_factor(lam)),
                }
            )
    return found


def main() -> None:
    found = rows()
    with (HERE / "result.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(found[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows({k: f"{v:.5g}" for k, v in row.items()} for row in found)
    worst = max(found, key=lambda row: abs(row["fit"] - row["factor"]))
    print(
        f"largest miss of the fit {100 * (worst['fit'] - worst['factor']):.2f} % at lambda {worst['lambda']}"
    )
    for rich in (True, False):
        here = [row for row in found if (row["lambda"] < 1.0 if rich else row["lambda"] > 1.0)]
        away = np.array([abs(1.0 - row["lambda"]) for row in here])
        factor = np.array([row["factor"] for row in here])
        terms = np.stack([away, away**2, away**3] if rich else [away, away**2], axis=-1)
        print("rich" if rich else "lean", np.linalg.lstsq(terms, factor - 1.0, rcond=None)[0].round(4))


if __name__ == "__main__":
    main()
