"""A target below the spring: refused where it can nowhere be held, asked about where it can at some speeds."""

from __future__ import annotations

from pathlib import Path

import pytest

from boostwright.build import read_build
from boostwright.errors import BuildError
from boostwright.tasks.predict import predict

ESTATE = Path(__file__).resolve().parents[3] / "examples" / "hill_climb_estate"


def _target(*pressures: float) -> str:
    values = ", ".join(map(str, pressures))
    return (
        f'boost_control.target={{ speed = [1500, 2250, 3000, 6500], unit = "rpm", value = [{values}], '
        'value_unit = "kPa", value_basis = "absolute" }'
    )


def test_a_spring_above_the_whole_target_is_refused() -> None:
    with pytest.raises(BuildError, match="above the lowest boost asked, 136 kPa"):
        read_build(ESTATE, [_target(140, 136, 145, 150), "wastegate.spring_rating=0.6 bar gauge"])


def test_a_spring_above_some_of_the_target_is_asked_about() -> None:
    build = read_build(ESTATE, [_target(116, 136, 156, 180), "wastegate.spring_rating=0.45 bar gauge"])
    asked = [str(warning) for warning in build.warnings if warning.key == "wastegate.spring_rating"]
    assert len(asked) == 1
    assert "above the lowest boost asked, 116 kPa" in asked[0]
    assert "predict names the spring" in asked[0]


def test_the_prediction_holds_no_less_than_the_spring_and_names_it() -> None:
    """A dead solenoid is the least a gate on a signal of boost can hold: what is asked below it is not what comes."""
    rpm = 3.141592653589793 / 30.0
    settings = [_target(116, 120, 156, 180)]
    spring = predict(ESTATE, mode="spring", settings=settings, speeds=[2500 * rpm])
    target = predict(ESTATE, mode="target", settings=settings, speeds=[2500 * rpm])
    assert target.binding_limit == ("spring",)
    assert target["pressure_im"][0] == pytest.approx(spring["pressure_im"][0], rel=1e-6)
    assert target["pressure_im"][0] > 140e3
