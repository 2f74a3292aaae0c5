"""Two ways to one machine: the invented cards were made from dimensions, so the dimensions in a build must agree."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.components.compressor_from_build import compressor_of_build
from boostwright.components.turbine_lookup import turbine_at
from boostwright.solve.operating_point import NoSteadyState, Prediction
from boostwright.tasks.predict import predict
from studies.invented_turbos.make_cards import COMPRESSORS, TURBINES
from tests.laws.test_housings import EXAMPLE, start

RPM = np.pi / 30.0
SPEEDS = tuple(np.arange(2500.0, 6501.0, 500.0) * RPM)


def compressor_settings(size: int) -> tuple[str, ...]:
    """The build's keys for a wheel of the invented family."""
    wheel = COMPRESSORS[size]
    lengths = ("inducer_hub_diameter", "inducer_tip_diameter", "exducer_diameter", "tip_width", "clearance",
               "axial_length", "blade_thickness")  # fmt: skip
    angles = ("inducer_blade_angle", "backsweep")
    return (
        "compressor.card=",
        "compressor.given_as=wheel",
        *(f"compressor.{key}={1e3 * getattr(wheel, key):.9g} mm" for key in lengths),
        *(f"compressor.{key}={np.rad2deg(getattr(wheel, key)):.9g} deg" for key in angles),
        f"compressor.full_blades={wheel.full_blades}",
        f"compressor.splitter_blades={wheel.splitter_blades}",
    )


def turbine_settings(size: int, a_r: float) -> tuple[str, ...]:
    """The build's keys for a turbine wheel of the invented family in a housing."""
    wheel = TURBINES[size, a_r]
    lengths = {"wheel_diameter": wheel.inlet_diameter, "tip_width": wheel.inlet_width,
               "exducer_diameter": wheel.exit_tip_diameter, "exducer_hub_diameter": wheel.exit_hub_diameter,
               "clearance": wheel.clearance}  # fmt: skip
    return (
        "turbine.choked_flow=",
        "turbine.given_as=wheel",
        *(f"turbine.{key}={1e3 * value:.9g} mm" for key, value in lengths.items()),
        f"turbine.exducer_blade_angle={np.rad2deg(wheel.exit_blade_angle):.9g} deg",
        f"turbine.blades={wheel.blades}",
        f"turbine.a_over_r={a_r} in",
    )


def run(*settings: str) -> Prediction:
    return predict(EXAMPLE, mode="target", settings=settings, speeds=SPEEDS)


@pytest.mark.parametrize(("size", "a_r"), [(54, 0.83), (62, 0.82), (62, 1.05)])
def test_a_wheel_predicts_what_its_own_card_does(size: int, a_r: float) -> None:
    """Compressor and turbine; what is left is the rounding of the cards and the polynomials through the turbine's."""
    compressor, turbine = 67, f"invented-turbine-{size}mm-{a_r:.2f}"
    by_card = run(
        f"compressor.card=invented-{compressor}mm-trim-55", f"turbine.card={turbine}",
        "turbine.choked_flow=", "turbine.wheel_diameter=",
    )  # fmt: skip
    by_wheel = run(*compressor_settings(compressor), *turbine_settings(size, a_r))
    assert by_card.solved.all()
    assert by_wheel.solved.all()
    for name, relative in (
        ("boost", 1e-6), ("compressor_pressure_ratio", 1e-3), ("shaft_speed", 3e-3), ("drive_pressure_ratio", 0.01),
        ("mass_flow_turbine", 0.02), ("turbine_efficiency", 0.02), ("power", 0.003),
    ):  # fmt: skip
        assert by_wheel[name] == pytest.approx(by_card[name], rel=relative), name
    assert start(by_wheel) == pytest.approx(start(by_card), rel=0.02)


def test_lines_of_a_build_are_those_of_the_study(tmp_path: Path) -> None:
    from boostwright.build import read_build
    from studies.invented_turbos.make_cards import TIP_SPEEDS

    for size, wheel in COMPRESSORS.items():
        surface = compressor_of_build(read_build(EXAMPLE, compressor_settings(size))["compressor"], None)
        speeds = [line.speed for line in surface.lines]
        assert speeds == pytest.approx(2.0 * TIP_SPEEDS / wheel.exducer_diameter)


def test_a_turbine_by_wheel_reads_the_same_at_rest_and_as_a_brake() -> None:
    """Where no card has points: no power at rest, and a brake beyond a blade-speed ratio of about 1.25."""
    from boostwright.build import read_build
    from boostwright.components.turbine_from_build import turbine_of_build

    table = turbine_of_build(read_build(EXAMPLE, turbine_settings(62, 0.82))["turbine"], None).table
    ratio = np.array([1.2, 2.0, 3.0])
    assert turbine_at(table, ratio, np.zeros(3))[1] == pytest.approx(np.zeros(3), abs=1e-12)
    assert (turbine_at(table, ratio, np.full(3, 0.65))[1] > 0.5).all()
    assert (turbine_at(table, ratio, np.full(3, 1.4))[1] < -0.2).all()


@pytest.mark.parametrize("seed", range(10))
def test_any_likely_pair_of_wheels_is_predicted_or_refused_with_a_reason(seed: int) -> None:
    """Drawn over what turbochargers look like; a balance that is printed is closed."""
    rng = np.random.default_rng(100 + seed)
    exducer = rng.uniform(40.0, 100.0)
    inducer, wheel = exducer * np.sqrt(rng.uniform(0.42, 0.70)), exducer * rng.uniform(0.8, 1.1)
    millimetres = {
        "compressor.inducer_tip_diameter": inducer,
        "compressor.inducer_hub_diameter": rng.uniform(0.25, 0.4) * inducer,
        "compressor.exducer_diameter": exducer,
        "compressor.tip_width": rng.uniform(0.05, 0.09) * exducer,
        "turbine.wheel_diameter": wheel,
        "turbine.tip_width": rng.uniform(0.10, 0.16) * wheel,
        "turbine.exducer_diameter": rng.uniform(0.80, 0.94) * wheel,
        "turbine.exducer_hub_diameter": rng.uniform(0.22, 0.35) * wheel,
        "turbine.a_over_r": rng.uniform(0.2, 0.5) * wheel,
    }
    p = run(
        "compressor.card=", "compressor.given_as=wheel", "turbine.choked_flow=", "turbine.given_as=wheel",
        *(f"{key}={value:.2f} mm" for key, value in millimetres.items()),
        f"compressor.backsweep={rng.uniform(0.0, 50.0):.1f} deg",
        f"compressor.inducer_blade_angle={rng.uniform(50.0, 68.0):.1f} deg",
        f"compressor.full_blades={rng.integers(5, 12)}", f"compressor.splitter_blades={rng.choice([0, 6, 7])}",
        f"turbine.blades={rng.integers(8, 13)}",
    )  # fmt: skip
    for outcome in p.outcomes:
        assert isinstance(outcome, NoSteadyState) or outcome.residual < 1e-6
    assert {"compressor-estimate", "turbine-estimate", "threshold"} <= {remark.code for remark in p.remarks}
