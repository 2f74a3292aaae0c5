"""Limits as data: what each says, its margin counted in, on one basis, and the same in any batch."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from boostwright.build import Build, read_build, with_settings
from boostwright.errors import BuildError
from boostwright.solve.limits import limits_of
from boostwright.solve.operating_point import Limit, Prediction
from boostwright.solve.problem import assemble
from boostwright.solve.quantities import quantities_of
from boostwright.solve.run import solve
from boostwright.tasks.predict import predict
from boostwright.tasks.ready import cards_of

BUILD = Path(__file__).resolve().parents[2] / "examples" / "hill_climb_estate"
RPM = np.pi / 30.0
SPEEDS = tuple(np.arange(2500.0, 6751.0, 500.0) * RPM)
WHEEL = ("driveline.loss_model=share-and-drag", "driveline.loss_share=12 %", "driveline.drag_torque=8 Nm",
         "driveline.loss_status=believed")  # fmt: skip


@cache
def run(*settings: str) -> Prediction:
    return predict(BUILD, settings=settings, speeds=SPEEDS)


def limit(prediction: Prediction, name: str) -> Limit:
    return next(one for one in prediction.limits if one.name == name)


@pytest.mark.parametrize(
    ("setting", "name", "quantity", "value"),
    [
        ("limits.torque=380 Nm", "torque-cap", "torque", 380.0),
        ("limits.peak_pressure=110 bar absolute", "peak-pressure", "peak_pressure_strong", 110e5),
        ("limits.egt_reading=900 degC", "egt", "egt_reading", 1173.15),
        ("limits.drive_pressure_ratio=1.4", "drive-pressure-ratio", "drive_pressure_ratio", 1.4),
        ("limits.boost=180 kPa absolute", "boost-limit", "pressure_im", 180e3),
        ("limits.temperature_im=60 degC", "charge-temperature", "temperature_im", 333.15),
        ("compressor.speed_limit=60000 rpm", "shaft-speed", "shaft_speed", 60000.0 * RPM),
        ("fuel_system.highest_duty=80 %", "injector", "injector_duty", 0.8),
    ],
)
def test_use_is_the_quantity_over_its_limit(setting: str, name: str, quantity: str, value: float) -> None:
    found = run(setting)
    one = limit(found, name)
    assert one.limit == pytest.approx(np.full(len(SPEEDS), value))
    assert one.utilisation == pytest.approx(found[quantity] / value)
    assert one.quantity == quantity
    assert one.status == "stated"


@pytest.mark.parametrize(
    ("settings", "name", "usable"),
    [
        (("limits.torque_margin=5 %",), "torque-cap", 380.0),
        (("limits.egt_reading_margin=25 K",), "egt", 1198.15),
        (("limits.drive_pressure_ratio_margin=0.1",), "drive-pressure-ratio", 1.62),
        (
            ("limits.peak_pressure=110 bar absolute", "limits.peak_pressure_margin=10 %"),
            "peak-pressure",
            99e5,
        ),
        (("compressor.speed_limit=60000 rpm", "limits.shaft_speed_margin=3 %"), "shaft-speed", 58200.0 * RPM),
        (("limits.boost=0.9 bar gauge", "limits.boost_margin=2 %"), "boost-limit", 0.98 * 191.3e3),
    ],
)
def test_use_is_one_where_only_the_margin_is_left(
    settings: tuple[str, ...], name: str, usable: float
) -> None:
    found = run(*settings)
    one = limit(found, name)
    assert found[one.quantity] / one.utilisation == pytest.approx(np.full(len(SPEEDS), usable))
    assert (one.limit > usable).all()
    assert one.margin > 0.0


def test_a_cap_may_follow_the_speed() -> None:
    cap = 'limits.torque={ speed = [2500, 4500], unit = "rpm", value = [300, 400], value_unit = "Nm" }'
    one = limit(run(cap), "torque-cap")
    rpm = np.array(SPEEDS) / RPM
    assert one.limit == pytest.approx(np.clip(300.0 + 0.05 * (rpm - 2500.0), 300.0, 400.0))


@pytest.mark.parametrize("key", ["torque", "driveline_torque"])
def test_a_cap_at_the_wheels_binds_where_the_wheels_have_it(key: str) -> None:
    found = run(*WHEEL, f"limits.{key}=320 Nm", f"limits.{key}_basis=wheel")
    one = limit(found, "torque-cap" if key == "torque" else "driveline-torque")
    assert one.limit == pytest.approx(np.full(len(SPEEDS), 320.0 / 0.88 + 8.0))
    over = found["torque_wheel"] > 320.0
    assert over.any()
    assert not over.all()
    assert ((one.utilisation > 1.0) == over).all()


def test_knock_is_held_by_the_strict_end_of_its_band_until_somebody_fits_it() -> None:
    cap = "limits.latest_phasing=20 deg"
    prior, fitted = run(cap), run(cap, "spark.knock_multiplier=1.0")
    strict, plain = limit(prior, "knock-phasing"), limit(fitted, "knock-phasing")
    assert strict.quantity == "knock_limited_phasing_late"
    assert plain.quantity == "knock_limited_phasing"
    assert plain.utilisation == pytest.approx(fitted["knock_limited_phasing"] / np.radians(20.0))
    assert (strict.utilisation > plain.utilisation).all()


def test_a_limit_of_ones_own_on_anything() -> None:
    found = run(
        *WHEEL,
        "limits.own.silencer.quantity=pressure_4",
        "limits.own.silencer.upper=115 kPa absolute",
        "limits.own.silencer.margin=0.02",
        "limits.own.silencer.words=what the silencer's flange holds",
        "limits.own.wheels.quantity=torque_wheel",
        "limits.own.wheels.upper=330 Nm",
        "limits.own.room.quantity=pump_margin",
        "limits.own.room.lower=0.4",
        "limits.own.window.quantity=lambda",
        "limits.own.window.lower=0.8",
        "limits.own.window.upper=0.9",
        "limits.own.pumping.quantity=pressure_2",
        "limits.own.pumping.upper=185 kPa absolute",
    )
    silencer = limit(found, "own-silencer")
    assert silencer.utilisation == pytest.approx(found["pressure_4"] / (0.98 * 115e3))
    assert silencer.words == "what the silencer's flange holds"
    assert limit(found, "own-wheels").utilisation == pytest.approx(found["torque_wheel"] / 330.0)
    room = limit(found, "own-room").utilisation
    assert ((room > 1.0) == (found["pump_margin"] < 0.4)).all()
    assert ((limit(found, "own-window").utilisation > 1.0) == (found["lambda"] > 0.9)).all()
    assert ((limit(found, "own-window-lower").utilisation > 1.0) == (found["lambda"] < 0.8)).all()
    passed = np.flatnonzero(silencer.utilisation > 1.0)
    assert passed.size
    assert "limit-own-silencer" in {flag.code for flag in found.flags[passed[-1]]}


def test_a_limit_of_ones_own_on_what_is_not_there_is_refused_where_it_stands() -> None:
    with pytest.raises(BuildError, match=r"(?s)no quantity of a prediction.*Did you mean torque") as caught:
        run("limits.own.x.quantity=torqe", "limits.own.x.upper=300 Nm")
    assert caught.value.faults[0].key == "limits.own.x.quantity"
    with pytest.raises(BuildError, match="is not reckoned for this build"):
        run("limits.own.x.quantity=torque_wheel", "limits.own.x.upper=300 Nm")


def test_a_bound_of_zero_is_passed_by_what_lies_beyond_it() -> None:
    found = run("limits.own.x.quantity=pmep", "limits.own.x.upper=0 kPa")
    assert ((limit(found, "own-x").utilisation > 1.0) == (found["pmep"] > 0.0)).all()
    assert (found["pmep"] > 0.0).any()


def _judged(build: Build, speeds: np.ndarray, order: np.ndarray) -> tuple[Limit, ...]:
    cards = cards_of(build)
    problem = assemble(build, cards, speeds, "target").take(order)
    q = quantities_of(build, problem, solve(problem), 9000.0)
    return limits_of(build, q, problem.compressor.speed_lowest_measured, 9000.0, "a test")


def test_any_order_of_points_gives_each_its_own_limits() -> None:
    """A flattened batch with repeats is judged as its points are one by one."""
    settings = (
        "limits.peak_pressure=110 bar absolute",
        "limits.latest_phasing=25 deg",
        'limits.torque={ speed = [2500, 4500], unit = "rpm", value = [300, 400], value_unit = "Nm" }',
        "limits.own.silencer.quantity=pressure_4",
        "limits.own.silencer.upper=115 kPa absolute",
    )
    build = with_settings(read_build(BUILD), settings)
    speeds = np.array(SPEEDS)
    order = np.random.default_rng(3).integers(0, speeds.size, 200)
    plain, mixed = _judged(build, speeds, np.arange(speeds.size)), _judged(build, speeds, order)
    assert [one.name for one in plain] == [one.name for one in mixed]
    assert {"rod-force", "rod-column", "rod-tension", "rod-bolts", "own-silencer"} <= {
        one.name for one in plain
    }
    for one, other in zip(plain, mixed, strict=True):
        assert other.utilisation == pytest.approx(one.utilisation[order], rel=1e-9, nan_ok=True)
        assert other.limit == pytest.approx(one.limit[order], rel=1e-12)


def test_every_limit_names_its_margin_and_how_it_is_known() -> None:
    found = run("limits.own.x.quantity=pressure_4", "limits.own.x.upper=115 kPa absolute")
    assert len(found.limits) >= 12
    for one in found.limits:
        assert one.status, one.name
        assert one.source, one.name
        assert one.margin >= 0.0
        assert one.margin_is in ("share", "difference")
        assert one.quantity in found.quantities
