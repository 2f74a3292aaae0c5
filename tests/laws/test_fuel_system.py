"""Margins of the fuel system: by hand, by their trends, and as limits that bind."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from fuel_system_example import FUEL_SYSTEM, SOUND_WITH_FUEL_SYSTEM
from sound_build import write_build

from boostwright.cards.look_up import find_card
from boostwright.physics import fuel_system
from boostwright.solve.operating_point import Prediction
from boostwright.tasks.predict import predict

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "hill_climb_estate"
RPM = np.pi / 30.0
SPEEDS = tuple(np.array([2500.0, 4500.0, 6500.0]) * RPM)
LITRE_PER_HOUR = 1.0 / 3.6e6


@pytest.fixture(scope="module")
def estate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The estate with the fuel system of these tests in the place of its own."""
    text = (EXAMPLE / "build.toml").read_text(encoding="utf-8")
    text = re.sub(r"\n\[fuel_system\]\n.*?(?=\n\[)", FUEL_SYSTEM, text, count=1, flags=re.DOTALL)
    assert text.count("[fuel_system]") == 1
    folder = write_build(tmp_path_factory.mktemp("estate") / "build", text)
    (folder / "cards").symlink_to(EXAMPLE / "cards")
    return folder


@cache
def run(folder: Path, *settings: str, mode: str = "target") -> Prediction:
    return predict(folder, mode=mode, settings=settings, speeds=SPEEDS)


def test_without_a_fuel_system_nothing_is_said_of_it(estate: Path) -> None:
    bare = run(estate, "fuel_system.injection=none")
    assert not {"injector_duty", "pump_margin", "volume_flow_fuel"} & set(bare.quantities)
    assert not {"injector", "pump"} & {limit.name for limit in bare.limits}


def test_duty_and_pump_margin_by_hand(estate: Path) -> None:
    """Every number from the build's own text, worked out beside the program."""
    found = run(estate)
    density = 750.0  # of the card
    fuel = found["mass_flow_fuel"]
    # 550 cm3/min of n-heptane, 684 kg/m3, at 300 kPa; here a heavier fuel at the same drop
    static = 550e-6 / 60.0 * 684.0 * np.sqrt(density / 684.0)
    cycle = 120.0 / np.array([2500.0, 4500.0, 6500.0])
    dead = 1.2e-3 - 0.3e-3 * 1.5 / 2.0  # 13.5 V, between 12 and 14 V
    np.testing.assert_allclose(found["injector_duty"], fuel / (5 * static) + dead / cycle, rtol=1e-9)
    np.testing.assert_allclose(found["injector_margin"], 1.0 - found["injector_duty"] / 0.85)
    np.testing.assert_allclose(found["injector_pressure_difference"], 300e3)
    np.testing.assert_allclose(found["rail_pressure"], 300e3 + found["boost"])
    rail = found["rail_pressure"] / 1e3
    at_curve = np.interp(rail, [200, 300, 400, 500], [265, 245, 220, 190])
    free = 305.0  # L/h, the first line carried to no pressure
    pump = (at_curve + free * (13.0 - 13.5) / 13.5) * LITRE_PER_HOUR
    np.testing.assert_allclose(found["pump_flow"], pump, rtol=1e-9)
    np.testing.assert_allclose(found["volume_flow_fuel"], fuel / density)
    np.testing.assert_allclose(found["pump_margin"], 1.0 - fuel / density / pump)


def test_injector_flow_by_mass_is_the_same_injector(estate: Path) -> None:
    grams = 550e-6 / 60.0 * 684.0 * 1e3
    by_mass = run(estate, f"fuel_system.injector_flow={grams!r} g/s")
    np.testing.assert_allclose(by_mass["injector_duty"], run(estate)["injector_duty"], rtol=1e-12)


@pytest.mark.parametrize("share", [1.0, 4.0 / 3.0, 2.0])
def test_flow_goes_with_the_root_of_pressure_and_density(share: float) -> None:
    # Bernoulli: 43.5 psi to 58 psi is the trade's own example, a factor 1.155 on 550 (common practice)
    flow = float(fuel_system.injector_mass_flow(0.006, share * 3e5, 3e5, 745.0, 745.0))
    assert flow == pytest.approx(0.006 * np.sqrt(share))
    volume = float(fuel_system.injector_mass_flow(0.006, 3e5, 3e5, share * 745.0, 745.0)) / (share * 745.0)
    assert volume == pytest.approx(0.006 / 745.0 / np.sqrt(share))


def test_a_rail_that_does_not_follow_boost_loses_drop_and_spares_the_pump(estate: Path) -> None:
    follows, fixed = run(estate), run(estate, "fuel_system.rail_reference=air")
    np.testing.assert_allclose(fixed["injector_pressure_difference"], 300e3 - fixed["boost"])
    assert (fixed["injector_duty"] > follows["injector_duty"]).all()
    assert (fixed["pump_flow"] > follows["pump_flow"]).all()
    np.testing.assert_allclose(fixed["rail_pressure"], 300e3)


def test_low_voltage_costs_more_than_its_share_of_the_pumps_flow(estate: Path) -> None:
    full, low = run(estate, "fuel_system.pump_voltage=13.5 V"), run(estate, "fuel_system.pump_voltage=12 V")
    assert (low["pump_flow"] / full["pump_flow"] < 12.0 / 13.5).all()
    assert (low["pump_margin"] < full["pump_margin"]).all()


def test_dead_time_rises_as_voltage_falls_and_counts_every_pulse(estate: Path) -> None:
    once = run(estate)["injector_duty"]
    low = run(estate, "fuel_system.injector_voltage=11 V")["injector_duty"]
    twice = run(estate, "fuel_system.injections_per_cycle=2")["injector_duty"]
    cycle = 120.0 / np.array([2500.0, 4500.0, 6500.0])
    np.testing.assert_allclose(low - once, (1.4e-3 - 0.975e-3) / cycle, rtol=1e-9)
    np.testing.assert_allclose(twice - once, 0.975e-3 / cycle, rtol=1e-9)


def test_direct_injection_has_its_window_and_its_feed_pump(estate: Path) -> None:
    direct = (
        "fuel_system.injection=direct",
        "fuel_system.injection_window=240 deg",
        "fuel_system.feed_pressure=500 kPa gauge",
        "fuel_system.rail_reference=air",
        "fuel_system.rail_pressure=20 MPa gauge",
        "fuel_system.injector_flow_pressure=10 MPa",
    )
    port, found = run(estate, "fuel_system.rail_reference=air"), run(estate, *direct)
    np.testing.assert_allclose(found["pump_outlet_pressure"], 500e3)
    np.testing.assert_allclose(found["injector_pressure_difference"], 20e6 - found["boost"])
    # three times the share of a third of the cycle, on a root of pressure that hardly hears the boost
    static = 550e-6 / 60.0 * 684.0 * np.sqrt(750.0 / 684.0 * found["injector_pressure_difference"] / 10e6)
    cycle = 120.0 / np.array([2500.0, 4500.0, 6500.0])
    by_hand = 3.0 * (found["mass_flow_fuel"] / (5 * static) + 0.975e-3 / cycle)
    np.testing.assert_allclose(found["injector_duty"], by_hand, rtol=1e-9)
    assert port["pump_outlet_pressure"][0] == pytest.approx(300e3)


def test_a_small_injector_and_a_small_pump_are_named_when_they_bind(estate: Path) -> None:
    small = run(estate, "fuel_system.injector_flow=340 cm3/min")
    assert small.binding_limit[0] == "boost-target"
    assert small.binding_limit[-1] == "injector"
    assert "limit-injector" in {flag.code for flag in small.flags[-1]}
    weak = '{ pressure = [200, 500], unit = "kPa", basis = "gauge", value = [110, 85], value_unit = "L/h" }'
    starved = run(estate, f"fuel_system.pump_flow={weak}")
    assert starved.binding_limit[-1] == "pump"
    limit = next(limit for limit in starved.limits if limit.name == "pump")
    assert limit.utilisation[-1] > 1.0
    assert "common practice" in limit.source


def test_beyond_its_curve_the_pump_is_not_predicted_and_that_is_said(estate: Path) -> None:
    short = '{ pressure = [200, 350], unit = "kPa", basis = "gauge", value = [265, 230], value_unit = "L/h" }'
    found = run(estate, f"fuel_system.pump_flow={short}")
    beyond = found["rail_pressure"] > 350e3
    assert beyond.any()
    np.testing.assert_array_equal(np.isnan(found["pump_margin"]), beyond)
    for point, flags in enumerate(found.flags):
        assert ("pump-beyond-curve" in {flag.code for flag in flags}) == bool(beyond[point])


def test_below_its_curve_the_pump_gives_no_more_than_at_its_first_point(estate: Path) -> None:
    high = '{ pressure = [450, 600], unit = "kPa", basis = "gauge", value = [200, 150], value_unit = "L/h" }'
    found = run(estate, f"fuel_system.pump_flow={high}", "fuel_system.pump_voltage=13.5 V")
    np.testing.assert_allclose(found["pump_flow"], 200 * LITRE_PER_HOUR)
    assert all("pump-below-curve" in {flag.code for flag in flags} for flags in found.flags)


def test_a_rail_below_the_boost_passes_nothing_and_that_is_a_limit(estate: Path) -> None:
    settings = ("fuel_system.rail_reference=air", "fuel_system.rail_pressure=54 kPa gauge")
    found = run(estate, *settings, "wastegate.spring_rating=0.75 bar gauge", mode="spring")
    dry = found["injector_pressure_difference"] <= 0.0
    assert dry.any()
    assert not dry.all()
    np.testing.assert_array_equal(np.isnan(found["injector_duty"]), dry)
    for point, flags in enumerate(found.flags):
        assert ("injector-no-pressure" in {flag.code for flag in flags}) == bool(dry[point])


@pytest.mark.parametrize(
    ("card", "mass", "volume"), [("e85", 1.49, 1.42), ("ethanol", 1.62, 1.54), ("methanol", 2.26, 2.13)]
)
def test_alcohol_needs_more_fuel_at_the_same_lambda(
    estate: Path, card: str, mass: float, volume: float
) -> None:
    """By mass the ratio of the stoichiometric ratios; the trade's 1.3 to 1.45 is the volume of E85."""
    petrol, other = run(estate), run(estate, f"fuel.card={card}")
    ratio = (
        other["mass_flow_fuel"] / other["mass_flow_air"] * petrol["mass_flow_air"] / petrol["mass_flow_fuel"]
    )
    np.testing.assert_allclose(ratio, mass, rtol=0.005)
    by_volume = ratio * 750.0 / find_card("fuel", card).si("density")
    np.testing.assert_allclose(by_volume, volume, rtol=0.006)
    if card == "e85":
        assert ((by_volume > 1.3) & (by_volume < 1.45)).all()
    # the injector sees the mass over the root of the density
    static = np.sqrt(find_card("fuel", card).si("density") / 750.0)
    dead = 0.975e-3 * np.array([2500.0, 4500.0, 6500.0]) / 120.0
    flows = (other["injector_duty"] - dead) / (petrol["injector_duty"] - dead)
    air = other["mass_flow_air"] / petrol["mass_flow_air"]
    np.testing.assert_allclose(flows, ratio * air / static, rtol=1e-9)


def test_points_without_a_steady_state_have_no_margins(tmp_path: Path) -> None:
    folder = write_build(tmp_path, SOUND_WITH_FUEL_SYSTEM)
    found = predict(folder, mode="gate-shut", speeds=tuple(np.array([2000.0, 3500.0, 6500.0]) * RPM))
    assert not found.solved.all()
    for name in ("injector_duty", "pump_flow", "pump_margin", "rail_pressure", "volume_flow_fuel"):
        np.testing.assert_array_equal(np.isnan(found[name]), ~found.solved)


def test_no_turbo_has_a_fuel_system_too(estate: Path) -> None:
    found = run(estate, mode="no-turbo")
    assert (found["injector_duty"] > 0.0).all()
    assert (found["rail_pressure"] < 300e3).all()  # the manifold stands below the air outside
