"""Questions that somebody who has built such engines would ask, each put to the hill-climb example."""

from __future__ import annotations

import contextlib
import io
import itertools
import json
from collections.abc import Sequence
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from boostwright.cards.look_up import find_card
from boostwright.cli.main import main
from boostwright.components.compressor import compressor_surface
from boostwright.report.prediction_figures import speed_pictures
from boostwright.solve.kernel.compressor import line_end_flow
from boostwright.solve.operating_point import NoSteadyState, Prediction
from boostwright.tasks.predict import predict

BUILD = Path(__file__).resolve().parent.parent.parent / "examples" / "hill_climb_estate"
RPM = np.pi / 30.0
SPEEDS = tuple(np.arange(2000.0, 6751.0, 500.0) * RPM)
HOUSINGS = (0.016, 0.020, 0.025, 0.030)  # kg/s sqrt(K)/kPa


@cache
def run(mode: str, *settings: str, speeds: Sequence[float] = SPEEDS) -> Prediction:
    return predict(BUILD, mode=mode, settings=settings, speeds=speeds)


def remark(prediction: Prediction, code: str) -> float:
    """The number a remark carries, in rpm."""
    value = next(r.value for r in prediction.remarks if r.code == code)
    assert value is not None
    return value / RPM


def housing(flow: float) -> str:
    return f"turbine.choked_flow={flow} kg/s*sqrt(K)/kPa"


def held(prediction: Prediction) -> NDArray[np.bool_]:
    """Points at which the target is what holds boost, whatever limit they may exceed."""
    asked = prediction["solenoid_duty"]
    return np.isfinite(asked)


def test_1_does_boost_rise_by_itself_when_the_gates_effective_area_is_halved() -> None:
    half = ("wastegate.discharge_coefficient=0.36", "wastegate.seat_discharge_coefficient=0.36")
    whole, halved = run("gate-open"), run("gate-open", *half)
    rise = halved["boost"] - whole["boost"]
    assert np.isfinite(rise).all()
    assert (rise > 0.0).all()
    assert (np.diff(rise) > 0.0).all()  # the more gas, the more it matters
    assert rise[-1] > 20e3


def test_2_does_a_smaller_housing_move_everything_the_right_way() -> None:
    sweep = [run("target", housing(flow)) for flow in HOUSINGS]  # small to large
    thresholds = [remark(p, "threshold") for p in sweep]
    assert (np.diff(thresholds) > 100.0).all()
    all_hold = np.logical_and.reduce([held(p) for p in sweep])
    assert all_hold.sum() >= 6
    for smaller, larger in itertools.pairwise(sweep):
        assert (smaller["drive_pressure_ratio"] > larger["drive_pressure_ratio"])[all_hold].all()
        assert (smaller["gate_flow_share"] > larger["gate_flow_share"])[all_hold].all()
        # at the same boost a tighter turbine costs power, and by little where it hardly throttles
        loss = 1.0 - (smaller["power"] / larger["power"])[all_hold]
        assert (loss > 0.0).all()
        assert (loss < 0.1).all()
        assert loss[-1] > loss[0]
    # it pays where only the small ones hold the target
    assert held(sweep[0])[0]
    assert not held(sweep[-1])[0]
    assert sweep[0]["torque"][0] > 1.05 * sweep[-1]["torque"][0]


def test_2_peak_power_falls_with_a_large_housing_only_once_the_target_is_out_of_reach() -> None:
    at = (6000.0 * RPM,)
    sizes = (0.025, 0.040, 0.060, 0.090, 0.120)
    points = [run("target", housing(flow), speeds=at) for flow in sizes]
    holds = [bool(held(p)[0]) for p in points]
    power = [float(p["power"][0]) for p in points]
    assert holds[0] and not holds[-1]  # noqa: PT018  both ends of the sweep are needed
    for i in range(1, len(sizes)):
        assert (power[i] > power[i - 1]) is holds[i]


def test_3_does_a_gate_welded_shut_run_away_with_the_speed_named() -> None:
    speeds = tuple(np.arange(1500.0, 6501.0, 125.0) * RPM)
    shut = run("gate-shut", speeds=speeds)
    lost = ~shut.solved
    assert lost.any()
    assert not lost.all()
    first = int(np.argmax(lost))
    assert lost[first:].all()  # nothing tidy comes back above it
    edge = remark(shut, "runs-away")
    assert edge > 1500.0
    beyond = np.array(speeds) / RPM > edge
    for outcome in (o for o, above in zip(shut.outcomes, beyond, strict=True) if above):
        assert isinstance(outcome, NoSteadyState)
        assert outcome.reason in ("runs-away", "compressor-choked", "compressor-surge")
        assert "rpm" in outcome.message or "kg/s" in outcome.message
    for name in ("boost", "torque", "shaft_speed", "pressure_em"):
        assert np.isnan(shut[name][lost]).all()  # no number to be mistaken for an answer
    # a limit set lower is passed first, and named with the point
    limit = f"compressor.speed_limit={0.9 * np.nanmax(shut['shaft_speed']) / RPM:.0f} rpm"
    fast = run("gate-shut", limit, speeds=speeds)
    over = np.nan_to_num(fast["speed_margin"], nan=1.0) < 0.0
    assert over.any()
    for i in np.flatnonzero(over):
        assert "limit-shaft-speed" in {flag.code for flag in fast.flags[i]}


def test_4_is_turbine_power_compressor_power_and_losses_at_every_printed_point() -> None:
    for mode in ("gate-shut", "spring", "target", "gate-open"):
        out = io.StringIO()
        with contextlib.redirect_stdout(out):
            main(["predict", str(BUILD), "--mode", mode, "--json", "-"])
        document = json.loads(out.getvalue())
        share = document["constants"]["shaft_mechanical_efficiency"]["values"][0]
        columns = (document["quantities"][name]["values"] for name in ("turbine_power", "compressor_power"))
        for wheel, taken, outcome in zip(*columns, document["outcomes"], strict=True):
            if outcome["solved"]:
                assert wheel * share == pytest.approx(taken, rel=1e-7, abs=1e-6)
                assert 0.0 <= outcome["residual"] < 1e-7  # the residual is printed with the point
            else:
                assert wheel is None
                assert taken is None


def test_5_is_the_drive_pressure_ratio_absolute_or_gauge_and_said_on_the_axis() -> None:
    p = run("target")
    assert "absolute" in p.quantities["drive_pressure_ratio"].basis
    assert "gauge" in p.quantities["drive_pressure_ratio_gauge"].basis
    assert p["drive_pressure_ratio"] == pytest.approx(p["pressure_em"] / p["pressure_im"])
    gauge = (p["pressure_em"] - p["pressure_amb"]) / (p["pressure_im"] - p["pressure_amb"])
    assert p["drive_pressure_ratio_gauge"] == pytest.approx(gauge)
    titles = [panel.vertical for picture in speed_pictures(p) for panel in picture.panels]
    assert any("drive-pressure ratio" in title and "absolute" in title for title in titles)


def test_7_what_does_twice_the_back_pressure_behind_the_turbine_do() -> None:
    """In that order: later threshold, higher drive-pressure ratio, less torque."""
    before, after = run("target"), run("target", "exhaust.pressure_drop=24 kPa")
    assert remark(after, "threshold") > remark(before, "threshold") + 10.0
    both = held(before) & held(after)
    assert both.sum() >= 6
    assert (after["drive_pressure_ratio"] > before["drive_pressure_ratio"])[both].all()
    assert (after["torque"] < before["torque"])[both].all()
    assert (after["torque"] > 0.9 * before["torque"])[both].all()


def test_8_is_a_half_bar_spring_in_a_target_of_one_and_a_half_flagged_with_the_reason() -> None:
    soft = ("wastegate.spring_rating=0.5 bar gauge", "boost_control.target=1.5 bar gauge")
    p = run("target", *soft)
    (warning,) = [text for text in p.warnings if "spring_rating" in text]
    assert "33 %" in warning
    assert "exhaust" in warning
    # and the balance itself says that the exhaust holds the valve open against a fully bled signal
    assert p.binding_limit[-1] == "gate-pushed-open"
    assert p["boost"][-1] < 1.4e5
    assert p["signal_share"][-1] == 0.0
    stiff = run("target", "wastegate.spring_rating=0.9 bar gauge", soft[1])
    assert not any("spring_rating" in text for text in stiff.warnings)
    assert stiff["boost"][-1] > p["boost"][-1]


@pytest.mark.parametrize(
    "card", ["scaled-cc3-68mm", "scaled-cc3-124mm", "scaled-eckardt-84mm", "scaled-hecc-124mm"]
)
def test_10_outside_the_maps_edges_it_tells(card: str) -> None:
    """Every point right of a line's end, below the lowest or above the highest line says so; the others do not."""
    surface = compressor_surface(find_card("compressor", card, BUILD))
    p = run("spring", f"compressor.card={card}", speeds=tuple(np.arange(1500.0, 6501.0, 250.0) * RPM))
    seen = set()
    for i in np.flatnonzero(p.solved):
        speed, flow = p["corrected_speed"][i], p["corrected_flow"][i]
        expected = set()
        if speed < surface.speed_lowest_measured:
            expected.add("map-below-lowest-line")
        if speed > surface.speed_highest_measured:
            expected.add("map-above-highest-line")
        if flow > line_end_flow(surface.table, speed):
            expected.add("map-right-of-line-end")
        edges = ("map-below-lowest-line", "map-above-highest-line", "map-right-of-line-end")
        assert {flag.code for flag in p.flags[i] if flag.code in edges} == expected
        seen |= expected
    for outcome in p.outcomes:
        seen |= {outcome.reason} if isinstance(outcome, NoSteadyState) else set()
    assert seen, "this machine fits everywhere, so it shows nothing"


def test_11_the_same_map_in_three_units_at_three_references_gives_the_same_answer() -> None:
    """Held point by point in test_map_units.py; here the one question of the list."""
    from tests.laws.test_map_units import predictions

    first, *others = predictions()
    for other in others:
        assert other["boost"] == pytest.approx(first["boost"], rel=1e-6)


def test_12_does_corrected_flow_shift_by_1_35_at_75_kpa_and_does_a_cap_hold_the_shaft() -> None:
    """200 kPa absolute in the manifold at 101.3, 84.6 and 75 kPa of barometer.

    The hand sum says 1.20 and 1.35, at pressure ratios of 2.06, 2.47 and 2.79, with 1 % lost at the intake and 7 kPa at
    the cooler.
    """
    losses = (
        "intake.pressure_drop=1.0 kPa",
        "charge_cooler.pressure_drop=7 kPa",
        "charge_cooler.at_pressure=207 kPa absolute",
    )
    at = (4000.0 * RPM,)
    target = "boost_control.target=200 kPa absolute"

    def there(kilopascal: float, *more: str) -> Prediction:
        return run("target", target, f"ambient.pressure={kilopascal} kPa", *losses, *more, speeds=at)

    coast, hill, pass_ = there(101.3), there(84.6), there(75.0)
    for place, shift, ratio in ((coast, 1.0, 2.06), (hill, 1.20, 2.47), (pass_, 1.35, 2.79)):
        assert place["pressure_im"][0] == pytest.approx(200e3, rel=1e-8)
        # at the same mass flow; what is left is charge temperature, which takes 1 to 2 % of the mass
        per_mass = place["corrected_flow"][0] / place["mass_flow_air"][0]
        assert per_mass / (coast["corrected_flow"][0] / coast["mass_flow_air"][0]) == pytest.approx(
            shift, rel=0.01
        )
        assert place["corrected_flow"][0] / coast["corrected_flow"][0] == pytest.approx(shift, rel=0.02)
        assert place["compressor_pressure_ratio"][0] == pytest.approx(ratio, rel=0.01)
    assert coast["shaft_speed"][0] < hill["shaft_speed"][0] < pass_["shaft_speed"][0]

    # a wheel that is just safe at the coast is too fast up there, and the prediction says so
    limit = f"compressor.speed_limit={1.02 * coast['shaft_speed'][0] / RPM:.0f} rpm"
    fast = there(75.0, limit)
    assert fast["speed_margin"][0] < 0.0
    assert "limit-shaft-speed" in {flag.code for flag in fast.flags[0]}
    # capped by barometer: the same pressure ratio as at the coast
    cap = f"boost_control.target={200.0 * 75.0 / 101.3:.2f} kPa absolute"
    capped = run("target", cap, "ambient.pressure=75.0 kPa", *losses, limit, speeds=at)
    assert capped["speed_margin"][0] > 0.0
    assert "limit-shaft-speed" not in {flag.code for flag in capped.flags[0]}


def test_12_a_gauge_spring_gives_less_power_up_there_but_a_safer_wheel() -> None:
    coast = run("target", "boost_control.target=100 kPa gauge", speeds=(4000.0 * RPM,))
    up = run(
        "target", "boost_control.target=100 kPa gauge", "ambient.pressure=75 kPa", speeds=(4000.0 * RPM,)
    )
    held_absolute = run(
        "target", "boost_control.target=201.3 kPa absolute", "ambient.pressure=75 kPa", speeds=(4000.0 * RPM,)
    )
    assert up["power"][0] < held_absolute["power"][0] < 1.02 * coast["power"][0]
    assert coast["shaft_speed"][0] < up["shaft_speed"][0] < held_absolute["shaft_speed"][0]
