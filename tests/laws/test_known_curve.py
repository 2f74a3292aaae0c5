"""Take the turbo off: the engine gives the curve it had, wherever that was measured and in whichever air."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.build import read_build
from boostwright.components.driveline import wheel_power
from boostwright.components.weather_correction import reference_settings
from boostwright.errors import BuildError
from boostwright.tasks.predict import predict

BUILD = Path(__file__).resolve().parents[2] / "examples" / "hill_climb_estate"
RPM = np.pi / 30.0
SPEEDS = tuple(np.array([1500.0, 2300.0, 3000.0, 4500.0, 5200.0, 6000.0, 6750.0]) * RPM)
POINTS, TORQUE = (1500.0, 3000.0, 4500.0, 6000.0, 6750.0), (175.0, 200.0, 222.0, 195.0, 170.0)
KNOWN = (
    "breathing.volumetric_efficiency=",
    "breathing.source=known-curve",
    "breathing.known_curve_at=crank",
    "breathing.known_curve_air=din-70020",
    'breathing.known_torque={ speed = [1500, 3000, 4500, 6000, 6750], unit = "rpm", '
    'value = [175, 200, 222, 195, 170], value_unit = "Nm" }',
)
DIN = reference_settings("din-70020")


def wanted() -> np.ndarray:
    return np.interp(np.array(SPEEDS) / RPM, POINTS, TORQUE)


def test_6_without_the_turbo_the_known_curve_comes_back() -> None:
    found = predict(BUILD, mode="no-turbo", settings=[*KNOWN, *DIN], speeds=SPEEDS)
    np.testing.assert_allclose(found["torque"], wanted(), rtol=1e-7)
    assert ((found["volumetric_efficiency"] > 0.7) & (found["volumetric_efficiency"] < 1.05)).all()


def test_in_todays_air_it_comes_back_within_the_weather() -> None:
    found = predict(BUILD, mode="no-turbo", settings=KNOWN, speeds=SPEEDS)
    np.testing.assert_allclose(found["torque"], wanted(), rtol=0.02)


def test_a_day_is_taken_as_it_was() -> None:
    day = ["breathing.known_curve_air=as-measured", "breathing.known_curve_pressure=96 kPa station",
           "breathing.known_curve_temperature=31 degC", "breathing.known_curve_humidity=0.7"]  # fmt: skip
    then = ["ambient.altitude=", "ambient.pressure=96 kPa", "ambient.pressure_basis=station",
            "ambient.temperature=31 degC", "ambient.relative_humidity=0.7"]  # fmt: skip
    found = predict(BUILD, mode="no-turbo", settings=[*KNOWN, *day, *then], speeds=SPEEDS)
    np.testing.assert_allclose(found["torque"], wanted(), rtol=1e-7)
    # the same figures on a worse day are a better engine
    better = predict(BUILD, mode="target", settings=[*KNOWN, *day], speeds=SPEEDS)
    plain = predict(BUILD, mode="target", settings=KNOWN, speeds=SPEEDS)
    assert (better["volumetric_efficiency"] > plain["volumetric_efficiency"]).all()


def test_power_is_the_same_curve_as_torque() -> None:
    kilowatts = [t * n * RPM / 1e3 for n, t in zip(POINTS, TORQUE, strict=True)]
    power = (
        *(s for s in KNOWN if "known_torque" not in s),
        f'breathing.known_power={{ speed = {list(POINTS)}, unit = "rpm", value = {kilowatts}, value_unit = "kW" }}',
    )
    speeds = tuple(np.array(POINTS) * RPM)
    found = predict(BUILD, mode="no-turbo", settings=[*power, *DIN], speeds=speeds)
    np.testing.assert_allclose(found["torque"], TORQUE, rtol=1e-7)


def test_at_the_wheels_the_driveline_stands_between() -> None:
    driveline = ["driveline.loss_model=share-and-drag", "driveline.loss_share=0.12", "driveline.drag_torque=6 Nm",
                 "driveline.loss_status=believed", "breathing.known_curve_at=wheel"]  # fmt: skip
    found = predict(BUILD, mode="no-turbo", settings=[*KNOWN, *driveline, *DIN], speeds=SPEEDS)
    section = read_build(BUILD, [*KNOWN, *driveline])["driveline"]
    speeds = np.array(SPEEDS)
    np.testing.assert_allclose(wheel_power(section, found["power"], speeds) / speeds, wanted(), rtol=1e-7)
    crank = predict(BUILD, mode="target", settings=KNOWN, speeds=SPEEDS)
    wheel = predict(BUILD, mode="target", settings=[*KNOWN, *driveline], speeds=SPEEDS)
    assert (wheel["volumetric_efficiency"] > 1.08 * crank["volumetric_efficiency"]).all()


def test_more_back_pressure_then_means_less_loss_ahead_of_it() -> None:
    """The same torque through a worse old exhaust is a better filling at equal pressures."""
    free = predict(BUILD, mode="target", settings=KNOWN, speeds=SPEEDS)
    worse = predict(
        BUILD, mode="target", settings=[*KNOWN, "breathing.known_exhaust_pressure_drop=40 kPa"], speeds=SPEEDS
    )
    assert (worse["torque"][2:] > free["torque"][2:]).all()


def test_what_friction_is_believed_moves_the_filling_and_not_the_known_torque() -> None:
    filling = {}
    for author in ("sandoval-heywood", "chen-flynn"):
        these = [*KNOWN, *DIN, f"cylinder.friction={author}"]
        found = predict(BUILD, mode="no-turbo", settings=these, speeds=SPEEDS)
        np.testing.assert_allclose(found["torque"], wanted(), rtol=1e-7)
        filling[author] = found["volumetric_efficiency"]
    assert (filling["chen-flynn"] > filling["sandoval-heywood"]).all()


def test_a_curve_no_filling_gives_is_refused_with_speed_and_both_ends() -> None:
    low = (
        'breathing.known_torque={ speed = [1500, 6750], unit = "rpm", value = [290, 290], value_unit = "Nm" }'
    )
    with pytest.raises(
        BuildError, match=r"known_torque.*290 Nm at the crankshaft at 6750 rpm.*0.3 to 1.4 give"
    ):
        predict(
            BUILD,
            mode="no-turbo",
            settings=[*KNOWN, low, "cylinder.valve_loss_factor=0.3"],
            speeds=(6750.0 * RPM,),
        )


def test_the_result_says_where_its_filling_is_from() -> None:
    found = predict(BUILD, mode="no-turbo", settings=KNOWN, speeds=SPEEDS)
    (choice,) = [c for c in found.choices if c.what == "filling"]
    assert "known-curve" in choice.name
    assert "without turbo on the intake, exhaust and mixture of that curve" in choice.name
