"""What else the printed JSON says of itself: crankshaft, heat on the way, downpipe, breathing, ratios.

Mass, shaft and cycle are balanced in ``tests/laws/test_json_balances.py``; here the rest is recomputed from the JSON
alone, with the gas properties of an independent library.

The properties are those Cantera carries: nitrogen and oxygen from its nine-coefficient NASA set (airNASA9), the rest
from GRI-Mech 3.0, whose nitrogen is 0.2 % low at room temperature. The program has its own fits to the same tables,
evaluated by its own code. Enthalpies count from 298.15 K, as the file says. Where only numbers of the file are
compared the tolerance is 1e-6; 1e-3 leaves room for the difference of the property sets.
"""

from __future__ import annotations

import json
import math
from functools import cache
from pathlib import Path
from typing import Any

import cantera
import numpy as np
import pytest
from numpy.typing import NDArray

from boostwright.cli.main import main

Array = NDArray[np.float64]
GAS_CONSTANT = 8314.462618  # J/(kmol K), CODATA 2018
EXAMPLES = ("hill-climb-estate", "transverse-three")
MODES = ("spring", "target", "gate-open", "no-turbo")


class Printed:
    """What stands in the file, at the points that have a steady state; a null becomes nan."""

    def __init__(self, document: dict[str, Any]) -> None:
        self.document = document
        self.solved = np.array([outcome["solved"] for outcome in document["outcomes"]])

    def __getitem__(self, name: str) -> Array:
        return self.column(self.document["quantities"][name]["values"])

    def column(self, values: list[float | None]) -> Array:
        whole = np.array([math.nan if value is None else value for value in values], dtype=float)
        return np.asarray(whole[self.solved] if len(whole) > 1 else np.full(self.solved.sum(), whole[0]))

    def constant(self, name: str) -> Array:
        return self.column(self.document["constants"][name]["values"])

    def shares(self, stream: str) -> dict[str, Array]:
        return {species: self.column(values) for species, values in self.document["gases"][stream].items()}

    def enthalpy(self, stream: str, temperature: str) -> Array:
        """Sensible enthalpy [J/kg] above 298.15 K."""
        kelvin = self[temperature]
        molar = sum(
            share * np.array([rise_of(species, float(value)) for value in kelvin])
            for species, share in self.shares(stream).items()
        )
        return np.asarray(molar / sum(self.shares(stream).values()) / self.molar_mass(stream))

    def molar_mass(self, stream: str) -> Array:
        """kg/kmol."""
        shares = self.shares(stream)
        return np.asarray(
            sum(share * molar_mass_of(species) for species, share in shares.items()) / sum(shares.values())
        )


@cache
def _gas_with(species: str) -> tuple[cantera.Solution, str]:
    """The data set that holds a species, and the species' name in it."""
    name = {"Ar": "AR"}.get(species, species)
    return cantera.Solution("airNASA9.yaml" if species in ("N2", "O2") else "gri30.yaml"), name


@cache
def rise_of(species: str, kelvin: float) -> float:
    """Enthalpy above that at 298.15 K [J/kmol]."""
    gas, name = _gas_with(species)
    gas.TPX = kelvin, cantera.one_atm, {name: 1.0}
    hot = gas.enthalpy_mole
    gas.TP = 298.15, cantera.one_atm
    return float(hot - gas.enthalpy_mole)


def molar_mass_of(species: str) -> float:
    """kg/kmol."""
    gas, name = _gas_with(species)
    return float(gas.molecular_weights[gas.species_index(name)])


@cache
def _document(example: str, mode: str, folder: str) -> dict[str, Any]:
    build, out = Path(folder) / "car", Path(folder) / "out.json"
    assert main(["new", str(build), "--example", example]) == 0
    assert main(["predict", str(build), "--mode", mode, "--json", str(out)]) == 0
    document: dict[str, Any] = json.loads(out.read_text(encoding="utf-8"))
    return document


@pytest.fixture(
    scope="module", params=[(example, mode) for example in EXAMPLES for mode in MODES], ids="-".join
)
def printed(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Printed:
    example, mode = request.param
    found = Printed(_document(example, mode, str(tmp_path_factory.mktemp("balance"))))
    assert found.solved.sum() >= 5
    return found


def worst(left: Array, right: Array, scale: Array | None = None) -> float:
    """Largest difference relative to ``scale`` (the right side where none is given)."""
    error = np.abs(left - right) / np.abs(right if scale is None else scale)
    assert np.isfinite(error).all()
    return float(error.max())


def has_turbo(printed: Printed) -> bool:
    return bool(printed.document["mode"] != "no-turbo")


def test_crankshaft(printed: Printed) -> None:
    speed, power = printed["engine_speed"], printed["power"]
    assert worst(printed["torque"] * speed, power) < 1e-6
    cycles = printed.constant("displacement") * speed / (4 * math.pi)
    assert worst(printed["bmep"] * cycles, power) < 1e-6
    assert worst(printed["bsfc"] * power, printed["mass_flow_fuel"]) < 1e-6


def test_heat_on_the_way(printed: Printed) -> None:
    exhaust, released = printed["mass_flow_exhaust"], printed["released_heat_flow"]
    lost = printed.enthalpy("exhaust", "temperature_port") - printed.enthalpy("exhaust", "temperature_em")
    assert worst(exhaust * lost, printed["manifold_heat_flow"], released) < 1e-3
    taken = printed.enthalpy("intake_air", "temperature_2") - printed.enthalpy("intake_air", "temperature_bp")
    assert worst(printed["mass_flow_air"] * taken, printed["cooler_heat_flow"], released) < 1e-3


def test_downpipe(printed: Printed) -> None:
    if not has_turbo(printed):
        pytest.skip("nothing is mixed")
    exhaust = printed["mass_flow_exhaust"]
    mixed = exhaust * printed.enthalpy("exhaust", "temperature_4")
    parts = printed["mass_flow_turbine"] * printed.enthalpy("exhaust", "temperature_turbine_outlet")
    parts = parts + printed["mass_flow_gate"] * printed.enthalpy("exhaust", "temperature_g")
    assert worst(parts, mixed) < 1e-3


def test_breathing_and_ratios(printed: Printed) -> None:
    gas_constant = GAS_CONSTANT / printed.molar_mass("intake_air")
    density = printed["pressure_im"] / (gas_constant * printed["temperature_im"])
    swallowed = density * printed.constant("displacement") * printed["engine_speed"] / (4 * math.pi)
    assert worst(printed["mass_flow_air"] / swallowed, printed["volumetric_efficiency"]) < 1e-4
    assert (
        worst(printed["pressure_im"] - printed["pressure_amb"], printed["boost"], printed["pressure_im"])
        < 1e-9
    )
    assert worst(printed["pressure_em"] / printed["pressure_im"], printed["drive_pressure_ratio"]) < 1e-9
    if has_turbo(printed):
        assert (
            worst(printed["pressure_2"] / printed["pressure_1"], printed["compressor_pressure_ratio"]) < 1e-6
        )
        assert (
            worst(printed["pressure_em"] / printed["pressure_4"], printed["turbine_expansion_ratio"]) < 1e-6
        )
