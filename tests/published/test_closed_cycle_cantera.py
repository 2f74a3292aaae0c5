"""The closed cycle beside a general-purpose thermochemistry library, on the same burn law and frozen gases.

The library gives internal energies and gas constants of unburned and burned gas from its own species data; its burned
gas is complete combustion or, when rich, its own equilibrium at 1740 K, frozen. The cycle is integrated by a
general-purpose solver to a tight tolerance. Fuel: the mixture of iso-octane and toluene with the hydrogen of petrol,
with its own heating value. The two sets of species data differ by up to 0.2 % in specific heat: hence the tolerances.
"""

from __future__ import annotations

import dataclasses

import cantera as ct
import numpy as np
import pytest
from cycle_examples import DEGREE, RPM, full_load, model, petrol
from scipy.integrate import solve_ivp

from boostwright.components.closed_cycle import CycleModel, CycleWalls, cycle_fields
from boostwright.physics.cylinder import burn, wall_heat
from boostwright.solve.cycle_batch import closed_cycles

HYDROGEN = 1.87
OCTANE = (HYDROGEN - 8 / 7) / (9 / 4 - 8 / 7)  # carbon share of iso-octane
FUEL = {"C8H18,isooctane": OCTANE / 8, "C7H8": (1 - OCTANE) / 7}
AIR = {"N2": 0.7808, "O2": 0.2095, "Ar": 0.0097}
BURNED = ("N2", "O2", "Ar", "CO2", "H2O", "CO", "H2")


class Gases:
    """Unburned and burned gas of one mixture, per kilogram, from the library."""

    def __init__(self, lambda_value: float, residual: float) -> None:
        wanted = {*BURNED, *FUEL}
        species = [s for s in ct.Species.list_from_file("nasa_gas.yaml") if s.name in wanted]
        self.unburned = ct.Solution(thermo="ideal-gas", species=species)
        self.burned = ct.Solution(thermo="ideal-gas", species=[s for s in species if s.name in BURNED])
        fresh = self._fresh(lambda_value)
        self.burned.TPY = 1740.0, ct.one_atm, self._elements_burned(fresh)
        if lambda_value < 1.0:
            self.burned.equilibrate("TP")
        burned = np.zeros(self.unburned.n_species)
        for name, share in zip(self.burned.species_names, self.burned.Y, strict=True):
            burned[self.unburned.species_index(name)] = share
        self.unburned.TPY = 300.0, ct.one_atm, (1.0 - residual) * fresh + residual * burned
        self.fuel_share = sum(self.unburned.Y[self.unburned.species_index(n)] for n in FUEL)

    def _fresh(self, lambda_value: float) -> np.ndarray:
        self.unburned.set_equivalence_ratio(1.0 / lambda_value, FUEL, AIR)
        return self.unburned.Y.copy()

    def _elements_burned(self, fresh: np.ndarray) -> dict[str, float]:
        """Any composition of the burned species with the elements of the fresh charge."""
        self.unburned.TPY = 300.0, ct.one_atm, fresh
        moles = {e: self.unburned.elemental_mole_fraction(e) for e in ("C", "H", "O", "N", "Ar")}
        mix = {"N2": moles["N"] / 2.0, "Ar": moles["Ar"]}
        spare = moles["O"] - 2.0 * moles["C"] - moles["H"] / 2.0
        if spare > -1e-9:
            mix |= {"CO2": moles["C"], "H2O": moles["H"] / 2.0, "O2": max(spare, 0.0) / 2.0}
        else:
            water = min(moles["O"] - moles["C"], moles["H"] / 2.0)
            mix |= {"CO": moles["C"], "H2O": water, "H2": moles["H"] / 2.0 - water}
            mix["O2"] = (moles["O"] - moles["C"] - water) / 2.0
        self.burned.TPX = 300.0, ct.one_atm, mix
        return dict(zip(self.burned.species_names, self.burned.Y, strict=True))

    def energy(self, gas: ct.Solution, t: float) -> tuple[float, float]:
        """Internal energy and specific heat at constant volume."""
        gas.TP = t, 1e5
        return gas.int_energy_mass, gas.cv_mass


def lower_heating_value() -> float:
    """Of the vapour at 298.15 K, J/kg fuel, by the library."""
    gases = Gases(1.0, 0.0)
    gases.unburned.TP = gases.burned.TP = 298.15, ct.one_atm
    return (gases.unburned.enthalpy_mass - gases.burned.enthalpy_mass) / gases.fuel_share


def surrogate_model(**changes: object) -> CycleModel:
    molar = 1.0 / (OCTANE / 8 + (1 - OCTANE) / 7) * (12.011 + HYDROGEN * 1.008)
    fuel = petrol(lower_heating_value=lower_heating_value(), latent_heat=0.0, molar_mass=molar)
    return model(fuel=dataclasses.replace(fuel, combustion_efficiency=1.0), dissociation=False, **changes)


def reference(engine: CycleModel, state: dict[str, float]) -> tuple[float, float, float]:
    """Work [J], peak pressure [Pa], temperature at exhaust opening [K], by library and general-purpose solver."""
    gases = Gases(state["lambda_value"], state["residual_fraction"])
    r_u, r_b = (ct.gas_constant / g.mean_molecular_weight for g in (gases.unburned, gases.burned))
    fields = cycle_fields(engine, angle_step=0.01, **state)
    start, duration = float(fields["burn_start"][0]), float(fields["burn_duration"][0])
    geometry, m, omega = engine.geometry, state["mass"], state["engine_speed"]
    piston = geometry.stroke * omega / np.pi

    def burned(angle: float) -> float:
        return float(burn.burned_fraction_wiebe(angle, start, duration, 5.0, 2.0))

    def slope(angle: float, y: np.ndarray) -> list[float]:
        t = y[0]
        x = burned(angle)
        dx = (burned(angle + 1e-5) - burned(angle - 1e-5)) / 2e-5
        v = float(geometry.volume(angle))
        dv = float(geometry.volume(angle + 1e-5) - geometry.volume(angle - 1e-5)) / 2e-5
        (u_u, cv_u), (u_b, cv_b) = gases.energy(gases.unburned, t), gases.energy(gases.burned, t)
        p = m * ((1 - x) * r_u + x * r_b) * t / v
        lost = 0.0
        if engine.walls.author == "hohenberg":
            area = wall_heat.cylinder_wall_area(
                geometry.bore, v / (np.pi / 4 * geometry.bore**2), engine.walls.head_area_factor
            )
            h = wall_heat.wall_heat_hohenberg(v, p, t, piston)
            lost = engine.walls.factor * h * area * (t - engine.walls.temperature) / omega
        heat = m * (u_u - u_b) * dx - p * dv - lost
        return [heat / (m * ((1 - x) * cv_u + x * cv_b)), p * dv]

    angles = np.linspace(geometry.intake_closing, geometry.exhaust_opening, 2081)
    solution = solve_ivp(
        slope,
        (angles[0], angles[-1]),
        [state["temperature"], 0.0],
        method="LSODA",
        rtol=1e-7,
        atol=1e-6,
        max_step=0.02,
        dense_output=True,
    )
    t = solution.sol(angles)[0]
    x = burn.burned_fraction_wiebe(angles, start, duration, 5.0, 2.0)
    p = m * ((1 - x) * r_u + x * r_b) * t / geometry.volume(angles)
    return float(solution.y[1, -1]), float(p.max()), float(t[-1])


@pytest.mark.parametrize("author", ["none", "hohenberg"])
@pytest.mark.parametrize(
    "changes",
    [
        {"lambda_value": 1.0, "angle_half_burned": 8.0 * DEGREE},
        {"lambda_value": 0.82, "angle_half_burned": 22.0 * DEGREE, "engine_speed": 6000.0 * RPM},
        {"lambda_value": 1.1, "residual_fraction": 0.15, "mass": 0.4e-3, "engine_speed": 1500.0 * RPM},
    ],
    ids=["stoichiometric", "rich and late", "lean and diluted"],
)
def test_work_and_peak_pressure(author: str, changes: dict[str, float]) -> None:
    engine = surrogate_model(walls=CycleWalls(author=author))
    state = full_load(**changes)
    own = closed_cycles(engine, **state)[0]
    work, peak, temperature = reference(engine, state)
    assert own["work"] == pytest.approx(work, rel=0.002)
    assert own["peak_pressure"] == pytest.approx(peak, rel=0.002)
    assert own["temperature_opening"] == pytest.approx(temperature, abs=3.0)
