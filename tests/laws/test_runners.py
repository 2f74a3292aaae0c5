"""Cylinders apart: like the mean cylinder where they are alike, and each with its own mixture, charge, spark and heat.

How exhaust temperature goes with mixture is common practice: highest near lambda 1, within 0.95 to 1.05, falling both
ways. Enthalpies of the energy balance are Cantera's (GRI-Mech 3.0), not the program's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import cantera
import numpy as np
import pytest
from numpy.typing import NDArray
from sound_build import swap, write_build

from boostwright.build import Build, read_build
from boostwright.cards.card import Card
from boostwright.cards.look_up import find_card
from boostwright.components.fuel import mixture_of_lambda
from boostwright.physics.gas.species import SPECIES
from boostwright.solve.problem import Problem, assemble
from boostwright.solve.quantities import quantities_of
from boostwright.solve.run import solve
from boostwright.solve.runners import Shares, cylinders_apart

Array = NDArray[np.float64]
ROOT = Path(__file__).parents[2]
EXAMPLES = ("hill_climb_estate", "transverse_three")
DEGREE = math.pi / 180.0
GRI = cantera.Solution("gri30.yaml")
LIKE_THE_ENGINE = {
    "temperature_port": "temperature_port",
    "temperature_runner_end": "temperature_em",
    "egt_reading": "egt_reading",
    "trapped_mass": "trapped_mass",
    "trapped_temperature": "trapped_temperature",
    "residual_fraction": "residual_fraction",
    "angle_half_burned": "angle_half_burned",
    "gross_work": "gross_work",
    "wall_heat": "cylinder_wall_heat",
    "peak_pressure": "peak_pressure",
    "knock_integral": "knock_integral",
    "knock_limited_phasing": "knock_limited_phasing",
    "lambda": "lambda",
}
WITH_CAMS = swap(
    (
        'volumetric_efficiency = { speed = [1500, 4500, 7000], unit = "rpm", value = [0.82, 0.97, 0.86] }',
        'source = "cams"\nintake_valve_diameter = "32 mm"\nexhaust_valve_diameter = "28 mm"\n'
        'intake_valve_lift = "9.5 mm"\nexhaust_valve_lift = "9.0 mm"\ncam_lift_basis = "1-mm"\n'
        'intake_opening = "12 deg"\nintake_closing = "45 deg"\n'
        'exhaust_opening = "45 deg"\nexhaust_closing = "12 deg"',
    )
)


@dataclass(frozen=True)
class Solved:
    """A solved build, and what is needed to take its cylinders apart."""

    build: Build
    card: Card
    problem: Problem
    q: dict[str, Array]

    def apart(
        self, air: list[float], fuel: list[float], later: list[float] | None = None
    ) -> dict[str, Array]:
        return cylinders_apart(
            self.build, self.card, self.problem, self.q, Shares.of(air, fuel, later or [0.0] * len(air))
        )

    @property
    def steady(self) -> NDArray[np.bool_]:
        return np.isfinite(self.q["torque"])


def solved(folder: Path, *settings: str) -> Solved:
    build = read_build(folder, ("probe.place=runner", *settings))
    cards = {
        kind: find_card(kind, build[kind].text("card"), folder)
        for kind in ("fuel", "compressor", "turbine", "wastegate")
        if build[kind].has("card")
    }
    speeds = np.array(build["prediction"].speeds("speeds"))
    problem = assemble(build, cards, speeds, build["prediction"].text("mode"))
    return Solved(build, cards["fuel"], problem, quantities_of(build, problem, solve(problem), 2.0e4))


@cache
def example(name: str, *settings: str) -> Solved:
    return solved(ROOT / "examples" / name, *settings)


def same(apart: Array, whole: Array, steady: NDArray[np.bool_], name: str) -> None:
    """Far within the 0.1 K that would do: the relations are the same."""
    np.testing.assert_allclose(apart[steady], whole[steady], rtol=1e-9, atol=1e-12, err_msg=name)


@pytest.mark.parametrize("set_by", ["knock-limit", "phasing", "best-torque"])
@pytest.mark.parametrize("name", EXAMPLES)
def test_a_cylinder_with_its_even_share_is_the_one_the_solver_balanced(name: str, set_by: str) -> None:
    case = example(name, f"spark.set_by={set_by}")
    found = case.apart([1.0, 1.03], [1.0, 0.98])
    assert case.steady.sum() > 10
    for apart, whole in LIKE_THE_ENGINE.items():
        same(found[apart][0], case.q[whole], case.steady, apart)
        assert np.isfinite(found[apart][1, case.steady]).all()
        assert np.isnan(found[apart][:, ~case.steady]).all()


@pytest.mark.parametrize(
    "extra", ["", '[spark]\nset_by = "advance"\nadvance = "18 deg"\n'], ids=["knock", "advance"]
)
def test_the_same_with_gas_that_runs_through_in_overlap(extra: str, tmp_path: Path) -> None:
    case = solved(write_build(tmp_path / "b", f"{WITH_CAMS}\n{extra}"))
    assert float(case.problem.points["overlap_opening"][0]) > 0.0
    found = case.apart([1.0], [1.0])
    for apart, whole in LIKE_THE_ENGINE.items():
        same(found[apart][0], case.q[whole], case.steady, apart)


def _enthalpy(fractions: Array, temperature: float) -> float:
    """Specific enthalpy [J/kg] with that of formation, by Cantera; argon and the like by name."""
    shares = dict(zip((name.upper() for name in SPECIES), fractions, strict=True))
    GRI.TPX = temperature, 1e5, shares
    return float(GRI.enthalpy_mass)


@pytest.mark.parametrize("name", EXAMPLES)
def test_energy_of_every_cylinder_balances_with_the_enthalpies_of_an_independent_library(name: str) -> None:
    case = example(name)
    air_share, fuel_share = [1.0, 1.04, 0.97, 0.99], [1.0, 0.97, 1.05, 0.90]
    found = case.apart(air_share, fuel_share, [0.0, 0.0, 0.0, 3.0 * DEGREE])
    q, points, ambient = case.q, case.problem.points, case.problem.ambient
    efficiency = case.build["cylinder"].si("combustion_efficiency")
    lower_heating_value = case.card.si("lower_heating_value")
    worst = 0.0
    for i in np.flatnonzero(case.steady)[::5]:
        for k in range(4):
            cycles = 4.0 * math.pi / case.problem.speeds[i]
            air, fuel = found["mass_flow_air"][k, i] * cycles, found["mass_flow_fuel"][k, i] * cycles
            lam = np.array([found["lambda"][k, i]])
            burned = mixture_of_lambda(lam, case.card, ambient).mole_fractions[0]
            complete = mixture_of_lambda(np.array([1.0]), case.card, ambient)
            # the fuel's own enthalpy from its heating value: burned at lambda 1, everything at 298.15 K
            kilograms_air = 1.0 / complete.fuel_air_ratio[0]
            fuel_enthalpy = (
                lower_heating_value
                + (1.0 + kilograms_air) * _enthalpy(complete.mole_fractions[0], 298.15)
                - kilograms_air * _enthalpy(ambient.mole_fractions, 298.15)
            )
            cold = _enthalpy(burned, 298.15)
            released = (
                fuel * fuel_enthalpy + air * _enthalpy(ambient.mole_fractions, 298.15) - (air + fuel) * cold
            )
            inlet = air * (
                _enthalpy(ambient.mole_fractions, q["temperature_im"][i])
                - _enthalpy(ambient.mole_fractions, 298.15)
            )
            pumping = (
                q["pressure_em"][i] - q["pressure_im"][i] + points["valve_loss"][i] * q["pressure_im"][i]
            )
            pumping *= points["displacement"][i] / points["cylinders"][i]
            left = efficiency * released + inlet + pumping
            left -= found["gross_work"][k, i] + found["wall_heat"][k, i] + found["port_heat"][k, i]
            leaves = (air + fuel) * (_enthalpy(burned, found["temperature_port"][k, i]) - cold)
            worst = max(worst, abs(left - leaves) / released)
    assert worst < 5e-4


def test_five_per_cent_leaner_reads_hotter_while_rich_and_cooler_beyond_the_peak() -> None:
    rich = example("hill_climb_estate", "fuel.lambda_target=0.85").apart([1.0, 1.0], [1.0, 1 / 1.05])
    lean = example("hill_climb_estate", "fuel.lambda_target=1.05").apart([1.0, 1.0], [1.0, 1 / 1.05])
    for name in ("temperature_port", "egt_reading"):
        hotter, cooler = rich[name][1] - rich[name][0], lean[name][1] - lean[name][0]
        assert np.nanmin(hotter) > 10.0  # trade: tens of kelvin
        assert np.nanmax(hotter) < 80.0
        assert np.nanmax(cooler) < -5.0


@pytest.mark.parametrize("name", EXAMPLES)
def test_lambda_of_the_highest_reading_lies_near_one(name: str) -> None:
    case = example(name, "fuel.lambda_target=0.95")
    tried = np.linspace(0.75, 1.15, 81)
    found = case.apart([1.0] * 81, list(0.95 / tried))
    for i in np.flatnonzero(case.steady):
        for reading in (found["egt_reading"][:, i], found["temperature_port"][:, i]):
            highest = tried[int(np.argmax(reading))]
            assert 0.95 <= highest <= 1.05
            # rich and lean of the peak read alike: one reading, two mixtures
            assert reading[0] < reading.max() - 20.0
            assert reading[-1] < reading.max() - 20.0


def test_more_air_and_fuel_alike_reads_hotter_slightly_at_the_same_phasing() -> None:
    case = example("hill_climb_estate", "spark.set_by=phasing")
    found = case.apart([1.0, 1.05, 1.05], [1.0, 1.05, 1.05], [0.0, 0.0, DEGREE])
    mean, sooner, later = found["angle_half_burned"]
    share = (mean - sooner) / (later - sooner)
    common = found["egt_reading"][1] - found["egt_reading"][0]
    rise = common + share * (found["egt_reading"][2] - found["egt_reading"][1])
    assert np.nanmin(rise) > 0.0
    assert np.nanmax(rise) < 8.0
    # with the spark left alone a denser charge burns sooner, and the two nearly cancel
    assert np.nanmax(np.abs(common)) < 5.0
    assert np.nanmax(common - rise) < 0.0


def test_a_later_spark_heats_the_exhaust_and_holds_knock_off() -> None:
    found = example("hill_climb_estate").apart([1.0] * 3, [1.0] * 3, [-2 * DEGREE, 0.0, 2 * DEGREE])
    for name, sign in (("temperature_port", 1), ("knock_integral", -1), ("peak_pressure", -1)):
        steps = sign * np.diff(found[name], axis=0)
        assert np.nanmin(steps) > 0.0, name


def test_richer_lies_further_from_knock_and_more_charge_nearer() -> None:
    found = example("hill_climb_estate").apart([1.0, 1.0, 1.05], [1.0, 1.06, 1.05])
    # one spark for all: a rich charge is cooled by its fuel, a dense one is compressed harder
    assert np.nanmin(found["knock_integral"][2] - found["knock_integral"][0]) > 0.0
    assert np.nanmax(found["trapped_temperature"][1] - found["trapped_temperature"][0]) < 0.0


def test_order_of_the_cylinders_is_only_their_names() -> None:
    case = example("transverse_three")
    there = case.apart([1.03, 0.99, 0.98], [0.98, 1.01, 1.01], [0.0, DEGREE, 0.0])
    back = case.apart([0.98, 0.99, 1.03], [1.01, 1.01, 0.98], [0.0, DEGREE, 0.0])
    for name, values in there.items():
        np.testing.assert_allclose(values, back[name][::-1], rtol=1e-11, err_msg=name)


def test_many_at_once_are_what_they_are_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    case = example("hill_climb_estate")
    given = ([1.03, 0.99, 0.98, 1.0, 1.0], [0.98, 1.01, 1.01, 1.0, 1.0], [0.0, DEGREE, 0.0, 0.0, 0.0])
    together = case.apart(*given)
    for size in (1, 50):
        monkeypatch.setattr("boostwright.solve.runners._BATCH", size)
        for name, values in case.apart(*given).items():
            np.testing.assert_allclose(values, together[name], rtol=1e-11, err_msg=name)


def test_air_and_fuel_of_all_cylinders_are_those_of_the_engine() -> None:
    case = example("transverse_three")
    found = case.apart([1.03, 0.99, 0.98], [0.98, 1.01, 1.01])
    for name in ("mass_flow_air", "mass_flow_fuel"):
        np.testing.assert_allclose(found[name].sum(axis=0), case.q[name], rtol=1e-9)


def test_no_steady_point_gives_no_cylinder_a_number() -> None:
    case = example("transverse_three")
    none = dict(case.q) | {"trapped_mass": np.full(case.problem.speeds.shape, math.nan)}
    assert cylinders_apart(case.build, case.card, case.problem, none, Shares.of([1.0], [1.0], [0.0])) == {}
