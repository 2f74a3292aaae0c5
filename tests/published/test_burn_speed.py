"""How burn duration goes with engine speed: the factor beside Csallner, Hires and a flame followed step by step."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from boostwright.physics.cylinder.burn import burn_speed_factor
from studies.burn_duration import entrainment as study

RPM = np.pi / 30.0


def factor(rpm: float | np.ndarray) -> np.ndarray:
    return np.asarray(burn_speed_factor(np.asarray(rpm) * RPM))


def written() -> list[dict[str, float]]:
    with Path(study.__file__).with_name("result.csv").open(encoding="utf-8", newline="") as file:
        return [{name: float(value) for name, value in row.items()} for row in csv.DictReader(file)]


def test_table_is_what_the_steps_give() -> None:
    for row in (written()[3], written()[-1]):
        first, main = study.durations(row["speed_rpm"], (row["turbulence"], row["eddy"], row["burn_up"]))
        assert first == pytest.approx(row["spark_to_10_deg"], abs=0.21)
        assert main == pytest.approx(row["from_10_to_90_deg"], abs=0.21)


def test_csallner_where_his_traces_were() -> None:
    """Within 1 % from 2000 to 6500 rpm; 1 at 2000."""
    fast = np.linspace(2000.0, 6500.0, 46)
    assert factor(fast) == pytest.approx(1.33 - 660.0 / fast, rel=0.0105)
    assert float(factor(2000.0)) == pytest.approx(1.0, abs=1e-12)


def test_cube_root_where_he_ends() -> None:
    """Slow, it rises as the cube root of speed within 0.04 in the power, and never faster."""
    slow = np.array([100.0, 500.0, 1000.0])
    power = np.log(factor(1.001 * slow) / factor(slow)) / np.log(1.001)
    assert (power < 1.0 / 3.0).all()
    assert (power > 1.0 / 3.0 - 0.04).all()


def test_lies_between_the_steps_and_the_cube_root() -> None:
    """From 2000 to 6500 rpm: not below what 10 to 90 % does by steps, below the cube root, and among the chambers for
    the whole burn."""
    ours = float(factor(6500.0))
    top = [row for row in written() if row["speed_rpm"] == 6500.0]
    main = [row["10_to_90_over_2000_rpm"] for row in top]
    whole = [row["spark_to_90_over_2000_rpm"] for row in top]
    assert max(main) < ours < (6500.0 / 2000.0) ** (1.0 / 3.0)
    assert min(whole) < ours < max(whole)


def test_slow_burns_follow_the_steps() -> None:
    ours = float(factor(1000.0))
    whole = [row["spark_to_90_over_2000_rpm"] for row in written() if row["speed_rpm"] == 1000.0]
    assert min(whole) - 0.02 < ours < max(whole)
