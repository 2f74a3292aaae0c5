"""Compressor and turbine of a build by the dimensions of their wheels, and how well each is known."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from sound_build import line_of, swap, write_build

from boostwright.build import read_build
from boostwright.cards.look_up import find_card
from boostwright.components.compressor import compressor_surface
from boostwright.components.compressor_from_build import (
    compressor_at_edge,
    compressor_of_build,
    compressor_wheel_of_build,
)
from boostwright.components.how_known import HowKnown, known_compressor_card, known_turbine_card
from boostwright.components.turbine_from_build import (
    turbine_from_wheel,
    turbine_of_build,
    turbine_wheel_of_build,
)
from boostwright.components.turbine_lookup import turbine_at
from boostwright.components.turbine_mean_line import choked_swallowing_of_wheel
from boostwright.components.turbine_wheel import Gas, TurbineWheel, turbine_state
from boostwright.errors import BuildError, FaultyInput

COMPRESSOR = """given_as = "wheel"
inducer_tip_diameter = "43 mm"
inducer_hub_diameter = "13 mm"
exducer_diameter = "58 mm"
tip_width = "4.0 mm"
full_blades = 6
splitter_blades = 6
"""
TURBINE = """given_as = "wheel"
wheel_diameter = "54 mm"
tip_width = "7.3 mm"
exducer_diameter = "48.6 mm"
exducer_hub_diameter = "15.1 mm"
blades = 11
a_over_r = "0.64 in"
"""
TEXT = swap(
    ('card = "scaled-cc3-60mm"\n', COMPRESSOR),
    ('choked_flow = "0.022 kg/s*sqrt(K)/kPa"\nwheel_diameter = "55 mm"\n', TURBINE),
)


def build_of(folder: Path, *settings: str):  # type: ignore[no-untyped-def]
    return read_build(write_build(folder, TEXT), settings)


def test_dimensions_reach_the_wheels_in_metres_and_radians(tmp_path: Path) -> None:
    build = build_of(tmp_path, "turbine.exducer_blade_angle=55 deg", "compressor.backsweep=40 deg")
    wheel = compressor_wheel_of_build(build["compressor"])
    assert (wheel.inducer_tip_diameter, wheel.exducer_diameter) == pytest.approx((0.043, 0.058))
    assert (wheel.full_blades, wheel.splitter_blades) == (6, 6)
    assert wheel.backsweep == pytest.approx(np.deg2rad(40.0))
    assert wheel.axial_length == pytest.approx(0.38 * 0.058)
    turbine = turbine_wheel_of_build(build["turbine"])
    assert turbine.a_over_r == pytest.approx(0.64 * 0.0254)
    assert turbine.exit_blade_angle == pytest.approx(np.deg2rad(55.0))
    assert "compressor.axial_length" in {d.key for d in build.defaults_used}


def test_defaults_of_a_wheel_are_listed_only_where_a_wheel_counts(tmp_path: Path) -> None:
    with_wheels = {d.key for d in build_of(tmp_path / "a").defaults_used}
    without = {d.key for d in read_build(write_build(tmp_path / "b")).defaults_used}
    assert {
        "compressor.inducer_blade_angle",
        "compressor.clearance",
        "turbine.exducer_blade_angle",
    } <= with_wheels
    assert not {"compressor.inducer_blade_angle", "compressor.clearance", "turbine.clearance"} & without
    assert "turbine.efficiency_peak" in without
    assert "turbine.efficiency_peak" not in with_wheels


@pytest.mark.parametrize(("diameter", "a_over_r"), [(0.047, 0.49), (0.054, 0.64), (0.062, 1.05)])
def test_table_of_a_wheel_is_its_mean_line(diameter: float, a_over_r: float) -> None:
    wheel = TurbineWheel(
        diameter, 0.135 * diameter, 0.9 * diameter, 0.28 * diameter, np.deg2rad(54.0), 11, a_over_r * 0.0254, 0.35e-3
    )  # fmt: skip
    rng, gas = np.random.default_rng(3), Gas()
    ratio, blade = np.exp(rng.uniform(0.03, np.log(4.0), 300)), rng.uniform(0.02, 1.2, 300)
    spouting = np.sqrt(2.0 * gas.heat * gas.temperature * (1.0 - ratio ** (-(gas.ratio - 1.0) / gas.ratio)))
    state = turbine_state(wheel, 2.0 * blade * spouting / diameter, ratio, gas)
    found = turbine_from_wheel(wheel)
    flow, efficiency = turbine_at(found.table, ratio, blade)
    assert flow == pytest.approx(state.flow * np.sqrt(gas.temperature) / gas.pressure, rel=2e-3)
    assert efficiency == pytest.approx(state.efficiency, abs=1e-3)
    assert found.choked_swallowing == pytest.approx(choked_swallowing_of_wheel(wheel))


def test_many_speeds_at_once_are_one_speed_at_a_time() -> None:
    wheel = TurbineWheel(0.054, 0.0073, 0.0486, 0.0151, np.deg2rad(54.0), 11, 0.016, 0.35e-3)
    speed, ratio = np.array([3000.0, 8000.0, 12000.0]), np.array([1.2, 1.7, 2.5])
    together = turbine_state(wheel, speed, ratio, Gas())
    for i in range(3):
        alone = turbine_state(wheel, float(speed[i]), ratio[i : i + 1], Gas())
        assert together.flow[i] == pytest.approx(alone.flow[0], rel=1e-9)
        assert together.efficiency[i] == pytest.approx(alone.efficiency[0], rel=1e-9)


def test_what_nobody_measured_widens_the_band_and_a_small_wheel_does(tmp_path: Path) -> None:
    plain = build_of(tmp_path)
    known = compressor_of_build(plain["compressor"], None).known
    measured = compressor_of_build(
        build_of(tmp_path, "compressor.inducer_blade_angle=60 deg", "compressor.clearance=0.3 mm")[
            "compressor"
        ],
        None,
    ).known
    assert known.flow > measured.flow == pytest.approx(0.08)
    assert known.efficiency > measured.efficiency == pytest.approx(0.07)
    for words in ("ESTIMATE", "not measured", "small", "58.0 mm"):
        assert words in known.estimate
    assert "not measured" not in measured.estimate

    turbine = turbine_wheel_of_build(plain["turbine"])
    both = ("exducer_blade_angle", "clearance")
    large = replace(
        turbine,
        inlet_diameter=0.08,
        inlet_width=0.011,
        exit_tip_diameter=0.072,
        exit_hub_diameter=0.022,
        a_over_r=0.024,
    )
    small_band, large_band = (turbine_from_wheel(w, both).known for w in (turbine, large))
    assert small_band.flow > large_band.flow
    assert small_band.efficiency > large_band.efficiency
    assert "small" in small_band.estimate
    assert "small" not in large_band.estimate
    assert "UNPROVEN" in large_band.estimate
    assert turbine_from_wheel(turbine).known.flow > small_band.flow


def test_a_measured_map_is_worth_more_than_a_number_and_a_number_more_than_a_caliper(tmp_path: Path) -> None:
    build = build_of(tmp_path)
    wheel = compressor_of_build(build["compressor"], None).known
    published, scaled = (known_compressor_card(s) for s in ("published", "scaled"))
    for width in ("flow", "pressure", "efficiency"):
        assert getattr(published, width) < getattr(scaled, width) < getattr(wheel, width)
    one_number = turbine_of_build(read_build(write_build(tmp_path / "sound"))["turbine"], None).known
    card = known_turbine_card("published", 0.01, 0.01)
    turbine = turbine_of_build(build["turbine"], None).known
    assert card.flow < one_number.flow < turbine.flow
    assert card.efficiency < one_number.efficiency < turbine.efficiency
    assert not one_number.estimate
    assert compressor_surface(find_card("compressor", "eckardt-o", tmp_path)).known == published


def test_points_that_scatter_about_a_table_widen_it() -> None:
    assert known_turbine_card("published", 0.0, 0.0).flow == pytest.approx(0.03)
    assert known_turbine_card("published", 0.04, 0.12).flow == pytest.approx(0.05)
    assert known_turbine_card("published", 0.04, 0.12).efficiency == pytest.approx(0.13)
    assert HowKnown("x", 0.3, 0.0, 0.0).widened(flow=0.4) == pytest.approx((0.5, 0.0))


def test_edges_of_a_compressor_are_where_they_are_put(tmp_path: Path) -> None:
    surface = compressor_surface(find_card("compressor", "scaled-cc3-60mm", tmp_path))
    moved = compressor_at_edge(surface, flow=0.1, pressure=-0.05, efficiency=0.03)
    for before, after in zip(surface.lines, moved.lines, strict=True):
        assert after.speed == before.speed
        assert after.flow == pytest.approx(1.1 * before.flow)
        assert after.pressure_ratio - 1.0 == pytest.approx(0.95 * (before.pressure_ratio - 1.0))
        assert after.efficiency == pytest.approx(before.efficiency + 0.03)
    assert moved.known == surface.known


def test_a_wheel_that_gives_no_line_is_refused_where_it_was_written(tmp_path: Path) -> None:
    narrow = 'tip_width = "0.9 mm"\nclearance = "0.1 mm"\n'
    text = swap(('tip_width = "4.0 mm"\n', narrow), text=TEXT)
    written = read_build(write_build(tmp_path / "written", text))
    given = build_of(tmp_path / "given", "compressor.tip_width=0.9 mm", "compressor.clearance=0.1 mm")
    for build, place in ((written, f"build.toml, line {line_of(text, narrow)}"), (given, "--set")):
        with pytest.raises(BuildError) as caught:
            compressor_of_build(build["compressor"], None)
        (fault,) = caught.value.faults
        assert fault.place == place
        assert (fault.key, fault.value) == ("compressor.tip_width", "0.9 mm")
        assert "gives no speed line" in fault.message
        assert fault.remedy


def test_a_turbine_wheel_that_cannot_be_is_refused() -> None:
    with pytest.raises(FaultyInput):
        turbine_from_wheel(TurbineWheel(0.05, 0.007, 0.06, 0.015, 0.9, 11, 0.016, 0.35e-3))
