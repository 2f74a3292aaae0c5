"""What every component owes: the point its numbers were stated at comes back, and each key moves what it names."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.build import Build, read_build, with_settings
from boostwright.cards.look_up import find_card
from boostwright.cards.turbine import choked_swallowing
from boostwright.components.air import ambient_air
from boostwright.components.charge import charge_fields
from boostwright.components.cylinders import Engine, engine, friction_pressure
from boostwright.components.exhaust import exhaust_fields
from boostwright.components.fuel import burned_mixture
from boostwright.components.probe import probe_reading
from boostwright.components.turbine import turbine_from_card, turbine_from_one_number
from boostwright.components.wastegate import signal_shares, wastegate_fields
from boostwright.solve.kernel.layout import POINT
from boostwright.solve.problem import assemble
from boostwright.solve.run import solve

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = tuple(
    sorted(folder.name for folder in (ROOT / "examples").iterdir() if (folder / "build.toml").is_file())
)
RPM = np.pi / 30.0
SPEEDS = np.array([1500.0, 3000.0, 4500.0, 6000.0]) * RPM


def example(name: str, *settings: str) -> Build:
    return read_build(ROOT / "examples" / name, list(settings))


@pytest.fixture(params=EXAMPLES)
def build(request: pytest.FixtureRequest) -> Build:
    return example(request.param)


def test_there_are_both_examples() -> None:
    assert EXAMPLES == ("hill_climb_estate", "transverse_three")


def test_components_fill_every_field_of_a_point_and_no_other(build: Build) -> None:
    cards = {kind: find_card(kind, build[kind].text("card"), build.folder) for kind in ("fuel", "compressor")}
    problem = assemble(build, cards, SPEEDS, "spring")
    # an index, a first choice, an ideal or an absent part
    set_to_zero = {"compressor_index", "turbine_index", "breathing_form", "takeoff_form", "takeoff_loss"}
    set_to_zero |= {
        "trapped_temperature_shift",
        "friction_force",
        "signal_from_plenum",
        "gate_open_outlet",
        "signal_share_low",
        "gate_stem_diameter",
    }
    for name in POINT.names or ():
        values = np.asarray(problem.points[name])
        assert np.isfinite(values).all(), name
        assert name in set_to_zero or (np.abs(values) > 0.0).any(), name
    assert (solve(problem)["outcome"] == 0).all()


@pytest.mark.parametrize("section", ["intake", "charge_cooler"])
def test_a_known_point_comes_back_from_upstream(build: Build, section: str) -> None:
    field = {"intake": "intake_loss", "charge_cooler": "cooler_loss"}[section]
    point = build[section]
    flow, kelvin, pressure = (point.si(key) for key in ("at_mass_flow", "at_temperature", "at_pressure"))
    assert charge_fields(build)[field] * flow**2 * kelvin / pressure == pytest.approx(
        point.si("pressure_drop")
    )


def test_the_exhausts_known_point_comes_back_from_the_air_it_blows_into(build: Build) -> None:
    point = build["exhaust"]
    flow, kelvin = point.si("at_mass_flow"), point.si("at_temperature")
    half = 0.5 * point.si("at_pressure")
    ahead = half + np.sqrt(half**2 + exhaust_fields(build)["exhaust_loss"] * flow**2 * kelvin)
    assert ahead - point.si("at_pressure") == pytest.approx(point.si("pressure_drop"), rel=1e-9)


def test_cooler_has_its_effectiveness_at_the_stated_flow(build: Build) -> None:
    fields = charge_fields(build)
    assert fields["cooler_flow"] == build["charge_cooler"].si("at_mass_flow")
    assert -np.expm1(-fields["cooler_transfer_units"]) == pytest.approx(
        build["charge_cooler"].si("effectiveness")
    )
    warm = build["charge_cooler"].si("coolant_rise")
    assert fields["cooler_temperature"] - build["ambient"].si("temperature") == pytest.approx(warm)
    bare = charge_fields(example("hill_climb_estate", "charge_cooler.kind=none"))
    assert (bare["cooler_transfer_units"], bare["cooler_loss"]) == (0.0, 0.0)
    fan = charge_fields(example("hill_climb_estate", "charge_cooler.air_side=dyno-fan"))
    assert fan["cooler_derating"] < 1.0


def test_throttle_loses_its_dynamic_head() -> None:
    """Bernoulli through bore and discharge coefficient, 0.2 kg/s at 180 kPa and 40 degC through 64 mm and 0.9."""
    fields = charge_fields(
        example("hill_climb_estate", "throttle.bore=64 mm", "throttle.discharge_coefficient=0.9")
    )
    area = 0.9 * np.pi / 4 * 0.064**2
    wanted = 0.2**2 / (2.0 * 180e3 / (287.05 * 313.15) * area**2)
    assert fields["throttle_loss"] * 0.2**2 * 313.15 / 180e3 == pytest.approx(wanted)
    assert 1e3 < wanted < 2e3


def test_lift_is_stated_at_the_valve_also_for_a_flap() -> None:
    build = example("transverse_three")
    fields, gate = wastegate_fields(build), build["wastegate"]
    lever = gate.si("lever_arm_flap") / gate.si("lever_arm_actuator")
    assert fields["gate_lever"] == pytest.approx(lever)
    assert fields["gate_full_lift"] * fields["gate_lever"] == pytest.approx(gate.si("full_lift"))
    assert fields["gate_stem_diameter"] == 0.0
    poppet = wastegate_fields(example("hill_climb_estate"))
    assert poppet["gate_full_lift"] == pytest.approx(
        example("hill_climb_estate")["wastegate"].si("full_lift")
    )


def test_a_running_rating_counts_the_exhaust_that_helped() -> None:
    bench = wastegate_fields(example("hill_climb_estate"))
    running = wastegate_fields(
        example(
            "hill_climb_estate",
            "wastegate.spring_rating_basis=running",
            "wastegate.running_pressure_difference=50 kPa",
        )
    )
    assert running["spring_force"] - bench["spring_force"] == pytest.approx(50e3 * bench["head_area"])


def test_no_gate_is_no_gate() -> None:
    build = example("hill_climb_estate", "wastegate.kind=none", "prediction.mode=gate-shut")
    assert wastegate_fields(build)["gate_count"] == 0.0


@pytest.mark.parametrize("plumbing", ["lower", "upper", "both"])
def test_signal_shares(plumbing: str) -> None:
    assert signal_shares(plumbing, 0.0, "connected")[0] == 1.0
    assert signal_shares(plumbing, 0.7, "lost")[0] == 0.0
    least = signal_shares(plumbing, 0.0, "connected")[1]
    assert signal_shares(plumbing, 1.0, "connected")[0] == pytest.approx(least)


def test_mixture_keeps_mass_and_atoms(build: Build) -> None:
    ambient = ambient_air(build["ambient"])
    card = find_card("fuel", build["fuel"].text("card"), build.folder)
    burned = burned_mixture(build["fuel"], card, ambient, SPEEDS)
    dry = 1.0 / (1.0 + ambient.humidity_ratio)
    assert dry / burned.fuel_air_ratio == pytest.approx(burned.lambda_value * burned.stoichiometric_ratio)
    assert burned.mole_fractions.sum(axis=1) == pytest.approx(1.0)
    assert (burned.mole_fractions >= 0.0).all()
    # what is released and what is left over is the heating value
    left = burned.unburned_energy * (1.0 + 1.0 / burned.fuel_air_ratio)
    assert burned.released_heat + left == pytest.approx(burned.lower_heating_value)


def motor_of(build: Build) -> Engine:
    ambient = ambient_air(build["ambient"])
    card = find_card("fuel", build["fuel"].text("card"), build.folder)
    return engine(build, card, ambient, burned_mixture(build["fuel"], card, ambient, SPEEDS), SPEEDS)


def test_engine_fields_follow_the_speeds(build: Build) -> None:
    motor = motor_of(build)
    assert motor.mean_piston_speed == pytest.approx(
        2.0 * build["engine"].si("stroke") * SPEEDS / (2.0 * np.pi)
    )
    curve = build["breathing"].curve("volumetric_efficiency")
    assert motor.fields["volumetric_efficiency"] == pytest.approx([curve.at(speed) for speed in SPEEDS])
    port = np.asarray(motor.fields["port_conductance"])
    assert (np.diff(port) < 0.0).all()  # less time for each charge


def test_a_cylinders_volumes_are_those_of_its_geometry(build: Build) -> None:
    fields = motor_of(build).fields
    swept = float(fields["displacement"]) / float(fields["cylinders"])
    clearance = float(fields["clearance_volume"])
    assert (swept + clearance) / clearance == pytest.approx(build["engine"].si("compression_ratio"))
    for name in ("volume_closing", "volume_opening"):
        assert clearance + 0.8 * swept < float(fields[name]) < clearance + swept


def test_the_fresh_charge_is_air_with_its_fuel(build: Build) -> None:
    fields = motor_of(build).fields
    assert np.asarray(fields["gas_constant_fresh"]) == pytest.approx(np.full(4, 275.0), abs=8.0)
    assert np.asarray(fields["fresh_heat"]) == pytest.approx(np.full(4, 1130.0), abs=60.0)
    assert (np.asarray(fields["evaporation_heat"]) > 0.0).all()


@pytest.mark.parametrize("author", ["sandoval-heywood", "chen-flynn", "barnes-moss"])
def test_friction_rises_with_speed_and_load(build: Build, author: str) -> None:
    these = with_settings(build, [f"cylinder.friction={author}"])
    motor = motor_of(these)
    low, high = (
        friction_pressure(these, np.full(4, peak), np.full(4, p_im), motor.mean_piston_speed, SPEEDS)
        for peak, p_im in ((40e5, 100e3), (90e5, 180e3))
    )
    for friction in (low, high):
        assert (np.diff(friction) > 0.0).all()
    # Barnes-Moss knows speed alone
    assert (high == low).all() if author == "barnes-moss" else (high > low).all()


def test_probe_reads_low_and_less_so_in_a_faster_stream(build: Build) -> None:
    flow = np.array([0.03, 0.08, 0.2])
    shown = probe_reading(
        build["probe"], np.full(3, 1200.0), np.full(3, 180e3), flow, np.full(3, 290.0), 0.050
    ).reading
    assert (shown < 1200.0).all()
    assert shown[1] > shown[0]
    assert 1200.0 - shown[1] == pytest.approx(70.0, abs=40.0)


def test_one_number_and_its_card_are_the_same_turbine() -> None:
    card = find_card("turbine", "invented-radial-55mm-0.78")
    made = turbine_from_card(card)
    again = turbine_from_one_number(
        choked_swallowing(card),
        card.si("wheel_diameter"),
        card.si("efficiency_peak"),
        card.si("best_blade_speed_ratio"),
    )
    assert made.choked_swallowing == pytest.approx(again.choked_swallowing)
    assert made.table == pytest.approx(again.table)
