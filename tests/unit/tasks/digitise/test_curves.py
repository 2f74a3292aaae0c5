"""Curves off pictures: into keys of a build, a turbine's one number, CSV; what is not said is asked."""

from __future__ import annotations

import math
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from boostwright.build.reader import check_build
from boostwright.cards.digitise.axes import AxesError, Mark
from boostwright.cards.digitise.session import Axis, Session, SessionError, Stroke
from boostwright.report.digitise_text import digitised_csv, digitised_text
from boostwright.tasks.digitise import digitise
from boostwright.units import to_si

EXAMPLES = Path(__file__).parents[4] / "examples"
SPEED = np.array([1500.0, 2500, 3500, 4500, 5500, 6500])
TORQUE = np.array([180.0, 205, 222, 224, 212, 188])


def pixels(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """A plot of 0 to 8000 over 0 to 300 in 800 x 600 pixels."""
    return np.column_stack([50.0 + 0.1 * x, 650.0 - 2.0 * y])


MARKS = tuple(
    Mark((float(p[0]), float(p[1])), x, y)
    for p, x, y in zip(pixels(np.array([0.0, 8000, 0, 8000]), np.array([0.0, 0, 300, 300])), (0.0, 8e3, 0.0, 8e3),
                       (0.0, 0.0, 300.0, 300.0), strict=True)
)  # fmt: skip


def engine(what: str = "dyno-sheet", unit: str = "Nm", of: str = "torque", **facts: str) -> Session:
    rng = np.random.default_rng(1)
    places = pixels(SPEED, TORQUE) + rng.uniform(-1, 1, (6, 2))
    return Session(
        "sheet",
        what,
        x=Axis("rotational_speed", "rpm"),
        y=Axis(of, unit),
        marks=MARKS,
        strokes=(Stroke("line", "", places[::-1]),),
        facts={"known_curve_at": "crank", "known_curve_air": "din-70020", **facts},
    )


def laid_over(changes: dict[str, str | None]) -> list[str]:
    return [f"{key}={text if text is not None else ''}" for key, text in changes.items()]


@pytest.mark.parametrize("what", ["known-curve", "dyno-sheet"])
def test_an_engines_curve_goes_into_the_build(what: str, tmp_path: Path) -> None:
    result = digitise(engine(what))
    assert result.curves is not None
    curve = result.curves.curves[0]
    assert curve.x == pytest.approx(SPEED, abs=0.005 * 8000 / 2)
    assert curve.y == pytest.approx(TORQUE, abs=0.005 * 300)
    shutil.copytree(EXAMPLES / "hill_climb_estate", tmp_path / "b")
    checked = check_build(tmp_path / "b", laid_over(dict(result.changes)))
    assert not checked.faults, [str(fault) for fault in checked.faults]
    assert checked.build is not None
    known = checked.build["breathing"].curve("known_torque")
    assert known.value_points == pytest.approx(TORQUE, rel=0.01)


def test_power_in_either_horsepower(tmp_path: Path) -> None:
    result = digitise(engine(unit="PS", of="power"))
    assert 'value_unit = "PS"' in str(result.changes["breathing.known_power"])
    assert result.changes["breathing.known_torque"] is None
    with pytest.raises(SessionError, match=r"two horsepowers are in use"):
        digitise(engine(unit="hp", of="power"))


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"known_curve_at": ""}, "does not say where it was measured"),
        ({"known_curve_at": "bench"}, "crank or wheel"),
        ({"known_curve_air": ""}, "does not say which air"),
        ({"known_curve_air": "as-measured"}, "is needed for a curve as measured"),
    ],
)
def test_what_is_not_said_is_asked(facts: dict[str, str], words: str) -> None:
    with pytest.raises(SessionError, match=words):
        digitise(engine(**facts))


def test_several_curves_or_none_are_asked_about() -> None:
    one = engine()
    with pytest.raises(SessionError, match="one is wanted"):
        digitise(replace(one, strokes=one.strokes * 2))
    with pytest.raises(SessionError, match="no curve yet"):
        digitise(replace(one, strokes=()))
    with pytest.raises(AxesError, match="0 different values"):
        digitise(replace(one, marks=()))
    with pytest.raises(SessionError, match="not said what the picture shows"):
        digitise(replace(one, what=""))
    with pytest.raises(SessionError, match="is not engine speed"):
        digitise(replace(one, x=Axis("pressure", "kPa")))


def test_a_slip_and_a_point_out_of_order_are_said() -> None:
    one = engine()
    x = np.linspace(1500, 6500, 12)
    places = pixels(x, 200.0 - (x / 1000 - 4) ** 2)
    places[5, 1] -= 14.0
    slipped = digitise(replace(one, strokes=(Stroke("line", "", places),)))
    assert any(
        "lies 1" in fault.message and "off its neighbours" in fault.message for fault in slipped.warnings
    )
    crossed = places.copy()
    crossed[[6, 8]] = crossed[[8, 6]]
    turned = digitise(replace(one, strokes=(Stroke("line", "", crossed),)))
    assert any("turns back" in fault.message for fault in turned.warnings)
    assert turned.curves is not None
    assert np.all(np.diff(turned.curves.curves[0].x) > 0.0)


def test_any_curve_for_a_key_of_the_build(tmp_path: Path) -> None:
    curve = Session(
        "ve",
        "curve",
        x=Axis("rotational_speed", "rpm"),
        y=Axis("dimensionless", "%"),
        marks=MARKS,
        strokes=(Stroke("line", "", pixels(SPEED, np.array([82.0, 88, 95, 96, 92, 86]))),),
        facts={"key": "breathing.volumetric_efficiency"},
    )
    result = digitise(curve)
    assert not result.faults
    shutil.copytree(EXAMPLES / "hill_climb_estate", tmp_path / "b")
    checked = check_build(tmp_path / "b", laid_over(dict(result.changes)))
    assert not checked.faults, [str(fault) for fault in checked.faults]
    assert checked.build is not None
    assert checked.build["breathing"].curve("volumetric_efficiency").value_points[2] == pytest.approx(
        0.95, abs=1e-3
    )
    for key, words in (
        ("breathing.nothing", "no key of the build that takes a curve"),
        ("fuel_system.pump_flow", "over pressure"),
    ):
        wrong = digitise(replace(curve, facts={"key": key}))
        assert words in wrong.faults[0].message
        assert not wrong.changes


def test_a_pumps_curve_says_what_its_pressure_is_counted_from(tmp_path: Path) -> None:
    pressure = np.array([200.0, 300, 400, 500])
    pump = Session(
        "pump",
        "curve",
        x=Axis("pressure", "kPa"),
        y=Axis("volume_flow", "L/h"),
        marks=MARKS,
        strokes=(Stroke("line", "", pixels(pressure, np.array([265.0, 245, 220, 190]))),),
        facts={"key": "fuel_system.pump_flow"},
    )
    result = digitise(pump)
    shutil.copytree(EXAMPLES / "hill_climb_estate", tmp_path / "b")
    checked = check_build(tmp_path / "b", laid_over(dict(result.changes)))
    assert not checked.faults, [str(fault) for fault in checked.faults]


def turbine(flow_at_end: float = 0.0, unit: str = "lb/min", **facts: str) -> Session:
    """A curve that saturates at 22.5 lb/min, in a plot of 1 to 3.5 over 0 to 30."""
    ratio = np.linspace(1.05, 3.3, 14)
    flow = 22.5 * np.sqrt(1.0 - np.exp(-3.0 * (ratio - 1.0))) + flow_at_end * (ratio - 1.0)
    places = np.column_stack([50.0 + 300.0 * (ratio - 1.0), 650.0 - 20.0 * flow])
    marks = tuple(
        Mark((50.0 + 300.0 * (x - 1.0), 650.0 - 20.0 * y), x, y)
        for x, y in ((1.0, 0.0), (3.5, 0.0), (1.0, 30.0), (3.5, 30.0))
    )
    known = {
        "reference_pressure": "101.325 kPa absolute",
        "reference_temperature": "288.15 K",
        "wheel_diameter": "55 mm",
        "expansion_ratio_basis": "total-to-static",
        "efficiency_peak": "0.68",
        "best_blade_speed_ratio": "0.65",
        "source": "own drawing",
        "licence": "free",
        "status": "invented for the demo",
    }
    return Session(
        "own-turbine", "turbine", x=Axis("expansion_ratio"), y=Axis("corrected_flow", unit), marks=marks,
        strokes=(Stroke("line", "", places),), facts={**known, **facts},
    )  # fmt: skip


def test_a_turbines_flat_end_is_its_choked_flow() -> None:
    result = digitise(turbine())
    assert result.turbine is not None
    assert result.trial is not None
    assert result.trial.si("choked_flow") == pytest.approx(to_si(22.5, "mass_flow", "lb/min"), rel=0.003)
    low, high = result.trial.band("choked_flow") or (math.nan, math.nan)
    assert low < result.trial.si("choked_flow") < high
    assert result.changes == {"turbine.card": "own-turbine"}
    assert result.trial.values["efficiency_peak"].status == "from memory"


def test_a_turbine_that_is_not_choked_yet_says_so() -> None:
    result = digitise(turbine(flow_at_end=1.5))
    assert result.turbine is not None
    assert any("not choked yet" in fault.message for fault in result.warnings)
    assert result.turbine.band[1] > 1.02 * result.turbine.choked_flow


@pytest.mark.parametrize(
    ("session", "words"),
    [
        (turbine(unit=""), "has no unit"),
        (turbine(unit="kPa"), "is no unit of a turbine's flow"),
        (turbine(reference_pressure=""), "means nothing without it"),
    ],
)
def test_a_turbines_flow_needs_its_unit_and_reference(session: Session, words: str) -> None:
    with pytest.raises(SessionError, match=words):
        digitise(session)


def test_text_and_csv() -> None:
    result = digitise(engine())
    assert "breathing.known_torque" in digitised_text(result)
    rows = digitised_csv(result).splitlines()
    assert rows[0] == "curve,rotational_speed,torque"
    assert rows[1] == ",rpm,Nm"
    assert len(rows) == 8
    assert "Choked flow: 22." in digitised_text(digitise(turbine()))
