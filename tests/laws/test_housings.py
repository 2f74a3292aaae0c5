"""Housings on one wheel move everything the right way together, pulses too, and no result hides what it leans on."""

from __future__ import annotations

import itertools
import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from boostwright.solve.operating_point import Prediction
from boostwright.tasks.predict import predict
from tools import which_housing as page

RPM = np.pi / 30.0
SPEEDS = tuple(np.arange(1000.0, 6751.0, 250.0) * RPM)
EXAMPLE = page.EXAMPLE
SCALED = "compressor.card=scaled-cc3-112mm"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return page.write_build(tmp_path_factory.mktemp("wheels") / "build")


@cache
def run(folder: Path, mode: str, *settings: str, speeds: tuple[float, ...] = SPEEDS) -> Prediction:
    return predict(folder, mode=mode, settings=settings, speeds=speeds)


def start(prediction: Prediction) -> float:
    """Threshold [rpm]."""
    value = page.remark(prediction, "threshold").value
    assert value is not None
    return value / RPM


def band(prediction: Prediction) -> tuple[float, float]:
    """Edges of the threshold's band [rpm]."""
    found = re.search(r"band (\d+) to (\d+) rpm", page.remark(prediction, "threshold").message)
    assert found
    return float(found.group(1)), float(found.group(2))


# --- three housings on one wheel --------------------------------------------------------------------------------------


def test_tighter_housing_comes_in_earlier_drives_harder_and_sends_more_through_the_gate(folder: Path) -> None:
    small, middle, large = (run(folder, "target", page.setting(h)) for h in page.HOUSINGS)
    for tight, wide in ((small, middle), (middle, large)):
        assert start(wide) > start(tight) + 100.0
        held = np.array(
            [a == b == "boost-target" for a, b in zip(tight.binding_limit, wide.binding_limit, strict=True)]
        )
        held &= tight["gate_flow_share"] > 0.0
        assert held.sum() >= 8
        assert (tight["drive_pressure_ratio"] > wide["drive_pressure_ratio"])[held].all()
        assert (tight["gate_flow_share"] > wide["gate_flow_share"] + 0.02)[held].all()
        assert (tight["power"] < wide["power"])[held].all()  # the price of it, while both hold the target
    spool = small.speeds < 1300.0 * RPM
    assert (small["boost"] > middle["boost"])[spool].all()
    assert (middle["boost"] > large["boost"])[spool].all()


def test_flow_grows_far_less_than_a_over_r(folder: Path) -> None:
    """Within the usual 0.05 to 0.7, falling with ratio and with A/R; a housing far too small tends to 1."""
    rows = np.array(page.sensitivities(folder))
    low, high = page.USUAL_SENSITIVITY
    assert ((rows > low) & (rows < high)).all()
    assert (np.diff(rows, axis=0) < 0.0).all()
    assert (np.diff(rows, axis=1) < 0.0).all()
    assert "All lie within" in page.outside(rows)
    tiny = [[0.86, 0.75, 0.6]] * 3
    assert "0.86 at A/R 0.64 and a ratio of 1.4" in page.outside(tiny)
    assert "The reason" in page.outside(tiny)


def test_housings_are_dearest_where_the_gate_has_least_to_do(folder: Path) -> None:
    """With the gate shut a tighter housing makes more boost of the same gas, at every speed that has a balance."""
    low = tuple(np.arange(900.0, 1301.0, 100.0) * RPM)
    small, large = (
        run(folder, "gate-shut", page.setting(h), speeds=low) for h in (page.HOUSINGS[0], page.HOUSINGS[2])
    )
    both = small.solved & large.solved
    assert both.sum() >= 4
    assert (small["boost"] > large["boost"])[both].all()


def test_every_balance_closes_with_wheels_and_pulses(folder: Path) -> None:
    for amplitude in ("0", "0.3", "0.6"):
        p = run(folder, "target", f"turbine.pulse_amplitude={amplitude}")
        assert p.solved.all()
        share = p.constants["shaft_mechanical_efficiency"].values[0]
        assert share * p["turbine_power"] == pytest.approx(p["compressor_power"], rel=1e-6)
        through = p["mass_flow_turbine"] + p["mass_flow_gate"]
        assert through == pytest.approx(p["mass_flow_air"] + p["mass_flow_fuel"], rel=1e-6)


# --- pulses -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("which", ["one number", "wheel"])
def test_stronger_pulses_come_in_earlier(folder: Path, which: str) -> None:
    """The same gas in gusts gives more power, so boost is reached sooner and the gate must pass more."""
    build = folder if which == "wheel" else EXAMPLE
    sweep = [run(build, "target", f"turbine.pulse_amplitude={a}") for a in ("0", "0.1", "0.2", "0.3")]
    starts = [start(p) for p in sweep]
    assert (
        np.diff(starts) < 5.0
    ).all()  # five cylinders overlap: there is an end to what pulses can do at a low ratio
    assert starts[0] - starts[2] > 50.0
    for weak, strong in itertools.pairwise(sweep):
        held = np.array(
            [a == b == "boost-target" for a, b in zip(weak.binding_limit, strong.binding_limit, strict=True)]
        )
        assert held.sum() >= 10
        assert (strong["gate_flow_share"] > weak["gate_flow_share"] - 2e-3)[held].all()


def test_a_point_is_the_same_alone_and_in_a_sweep() -> None:
    """One averaged table a point: which others are in the batch must not matter."""
    curve = 'turbine.pulse_amplitude={ speed = [1500, 6500], unit = "rpm", value = [0.35, 0.05] }'
    sweep = run(EXAMPLE, "target", curve)
    for i in (4, 11, 20):
        alone = run(EXAMPLE, "target", curve, speeds=(SPEEDS[i],))
        for name in ("boost", "pressure_em", "shaft_speed", "turbine_efficiency", "gate_lift"):
            assert alone[name][0] == pytest.approx(sweep[name][i], rel=1e-9)


def test_what_was_taken_for_pulses_stands_in_the_choices() -> None:
    def said(*settings: str, mode: str = "target") -> str:
        p = run(EXAMPLE, mode, *settings)
        (choice,) = [c for c in p.choices if c.what == "pulses at the turbine"]
        return f"{choice.name} {choice.status} {choice.source}"

    assert "own estimate" in said()
    assert "0.30 to 0.30" in said("turbine.pulse_amplitude=0.3")
    assert "build" in said("turbine.pulse_amplitude=0.3")
    assert "steady" in said("turbine.pulse_amplitude=0")
    assert "steady" in said(mode="no-turbo")
    assert "turbine.pulse_amplitude" in {key for key, _, _ in run(EXAMPLE, "target").defaults_used}


# --- the band ---------------------------------------------------------------------------------------------------------


def test_an_estimate_says_so_with_its_band(folder: Path) -> None:
    p = run(folder, "target")
    for code, words in (
        ("compressor-estimate", ("ESTIMATE", "66.0 mm", "flow 8 %", "efficiency 7 points", "surge line")),
        ("turbine-estimate", ("ESTIMATE", "UNPROVEN", "0.82 inch", "flow 13 %")),
    ):
        message = page.remark(p, code).message
        for word in words:
            assert word in message
    names = {choice.what: choice for choice in p.choices}
    assert names["turbine"].status == "unproven"
    assert names["compressor"].status == "estimate"
    plain = {r.code for r in run(EXAMPLE, "target").remarks}
    assert not {"compressor-estimate", "turbine-estimate"} & plain


def test_band_of_the_threshold_hangs_on_how_the_parts_are_known(folder: Path) -> None:
    """Edges lie on both sides; a dimension measured narrows it; each card is taken by its status."""
    wheels = run(folder, "target")
    low, high = band(wheels)
    assert low < start(wheels) < high
    message = page.remark(wheels, "threshold").message
    for word in (
        "dimensions of wheel and housing",
        "dimensions of the wheel",
        "pulses by a rule",
        "most of it from",
    ):
        assert word in message
    measured = run(folder, "target", "turbine.exducer_blade_angle=54 deg", "turbine.clearance=0.4 mm",
                   "compressor.clearance=0.3 mm", "turbine.pulse_amplitude=0.2")  # fmt: skip
    narrow = band(measured)
    assert (narrow[1] - narrow[0]) / start(measured) < (high - low) / start(wheels)
    assert "pulses by" not in page.remark(measured, "threshold").message

    for settings, words in (((), "(invented for the demo), flow 8 %"), ((SCALED,), "(scaled), flow 5 %")):
        assert words in page.remark(run(EXAMPLE, "target", *settings), "threshold").message


def test_band_is_what_single_doubts_make_of_it(folder: Path) -> None:
    """A turbine scaled by hand to the edge of its flow band moves the threshold within the band, by a good share."""
    p = run(EXAMPLE, "target", "turbine.pulse_amplitude=0.2", SCALED)
    low, high = band(p)
    smaller = run(
        EXAMPLE,
        "target",
        "turbine.pulse_amplitude=0.2",
        SCALED,
        "turbine.choked_flow=0.0225 kg/s*sqrt(K)/kPa",
    )
    larger = run(
        EXAMPLE,
        "target",
        "turbine.pulse_amplitude=0.2",
        SCALED,
        "turbine.choked_flow=0.0275 kg/s*sqrt(K)/kPa",
    )
    assert low < start(smaller) < start(p) < start(larger) < high
    assert (start(p) - start(smaller)) > 0.25 * (start(p) - low)
    assert (start(larger) - start(p)) > 0.25 * (high - start(p))


def test_speed_limit_of_a_wheel_is_a_tip_speed(folder: Path) -> None:
    p = run(folder, "target")
    limit = next(limit for limit in p.limits if limit.name == "shaft-speed")
    compressor, turbine = 2.0 * 530.0 / 0.066, 2.0 * 500.0 / 0.060
    assert limit.limit[0] == pytest.approx(min(compressor, turbine))
    assert "from memory" in limit.source


def test_a_threshold_outside_the_speeds_looked_at_says_on_which_side() -> None:
    tiny = run(EXAMPLE, "target", "turbine.choked_flow=0.004 kg/s*sqrt(K)/kPa")
    assert page.remark(tiny, "threshold").value is None
    assert "below 816 rpm" in page.remark(tiny, "threshold").message
    huge = run(EXAMPLE, "target", "turbine.choked_flow=0.2 kg/s*sqrt(K)/kPa")
    assert page.remark(huge, "threshold").value is None
    assert "not reached" in page.remark(huge, "threshold").message
