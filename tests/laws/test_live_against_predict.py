"""What is answered live is what a prediction says: over both examples, many keys, cards and modes."""

from __future__ import annotations

import random
import shutil
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from boostwright.errors import BuildError
from boostwright.tasks.edit_build import Saved, read_stamped, save_changes
from boostwright.tasks.live import Live, LiveBench
from boostwright.tasks.predict import predict

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
SAME = 1e-9
SPEEDS = np.linspace(150.0, 700.0, 23)

ESTATE: dict[str, list[str | None]] = {
    "engine.bore": ["82.7 mm", "84 mm"],
    "engine.compression_ratio": ["8.7", "9.3"],
    "ambient.temperature": ["5 degC", "35 degC"],
    "ambient.pressure": ["95 kPa", "99 kPa"],
    "fuel.card": ["petrol-ron95", "e85"],
    "fuel.lambda_target": ["0.9", '{ speed = [2000, 6000], unit = "rpm", value = [0.95, 0.80] }'],
    "breathing.volumetric_efficiency": ["0.9"],
    "intake.pressure_drop": ["3 kPa"],
    "compressor.card": ["scaled-cc3-92mm", "invented-58mm-trim-55"],
    "charge_cooler.effectiveness": ["0.6", "0.8"],
    "exhaust_manifold.collector_bore": ["46 mm"],
    "turbine.choked_flow": ["0.022 kg/s*sqrt(K)/kPa", "0.029 kg/s*sqrt(K)/kPa"],
    "turbine.wheel_diameter": ["80 mm"],
    "wastegate.valve_diameter": ["38 mm", "42 mm"],
    "wastegate.takeoff_angle": ["10 deg", "90 deg"],
    "wastegate.spring_rating": ["0.4 bar gauge"],
    "wastegate.discharge_coefficient": ["0.6", None],
    "boost_control.target": ["170 kPa absolute"],
    "exhaust.pressure_drop": ["20 kPa"],
    "spark.knock_multiplier": ["0.8", "1.2"],
    "limits.torque": ["340 Nm"],
    "prediction.mode": ["spring", "gate-open", "gate-shut", "no-turbo"],
}
THREE: dict[str, list[str | None]] = {
    "engine.stroke": ["98 mm"],
    "ambient.temperature": ["0 degC", "30 degC"],
    "ambient.altitude": ["0 m", "900 m"],
    "fuel.card": ["petrol-ron98"],
    "compressor.card": ["scaled-cc3-68mm", "scaled-hecc-76mm"],
    "turbine.choked_flow": ["0.0105 kg/s*sqrt(K)/kPa", "0.013 kg/s*sqrt(K)/kPa"],
    "turbine.efficiency_peak": ["0.7", None],
    "wastegate.spring_rating": ["0.35 bar gauge", "0.45 bar gauge"],
    "wastegate.lever_arm_flap": ["17 mm"],
    "wastegate.valve_diameter": ["23 mm"],
    "boost_control.target": ["0.6 bar gauge", "0.7 bar gauge"],
    "boost_control.plumbing": ["both"],
    "charge_cooler.kind": ["none"],
    "rods.believed_torque": ["320 Nm"],
    "limits.egt_reading": ["900 degC"],
    "prediction.mode": ["spring", "gate-open", "no-turbo"],
}


def _changes(rng: random.Random, keys: dict[str, list[str | None]]) -> dict[str, str | None]:
    chosen = rng.sample(sorted(keys), rng.randint(1, 4))
    return {key: rng.choice(keys[key]) for key in chosen}


def _same(live: Live, folder: Path, changes: dict[str, str | None], speeds: list[float] | None) -> int:
    settings = [f"{key}={'' if text is None else text}" for key, text in changes.items()]
    whole = predict(folder, settings=settings, speeds=speeds)
    assert [type(one) for one in live.outcomes] == [type(one) for one in whole.outcomes]
    assert live.binding == whole.binding_limit
    for name, values in live.quantities.items():
        if name in whole.quantities:
            expected = whole[name]
            scale = np.nanmax(np.abs(expected), initial=0.0)
            np.testing.assert_allclose(
                values, expected, rtol=SAME, atol=SAME * scale, equal_nan=True, err_msg=f"{name} {changes}"
            )
    assert [limit.name for limit in live.limits] == [limit.name for limit in whole.limits]
    for mine, theirs in zip(live.limits, whole.limits, strict=True):
        np.testing.assert_allclose(mine.utilisation, theirs.utilisation, rtol=SAME, atol=SAME, equal_nan=True)
    later = {
        name
        for name in whole.quantities
        if name.endswith(("_knock_early", "_knock_late")) or "correct" in name
    }
    assert set(whole.quantities) - later <= set(live.quantities)
    return len(live.quantities)


@pytest.mark.parametrize(("example", "keys"), [("hill_climb_estate", ESTATE), ("transverse_three", THREE)])
def test_every_change_is_what_its_own_prediction_says(
    example: str, keys: dict[str, list[str | None]]
) -> None:
    rng = random.Random(5)
    bench = LiveBench()
    speeds = SPEEDS.tolist()
    cases: list[dict[str, str | None]] = [{}]
    cases += [{key: text} for key in keys for text in keys[key]]
    cases += [_changes(rng, keys) for _ in range(15)]
    answered = 0
    for changes in cases:
        settings = [f"{key}={'' if text is None else text}" for key, text in changes.items()]
        live = _or_refused(lambda changes=changes: bench.answer(EXAMPLES / example, changes, speeds))
        if isinstance(live, str):
            whole = _or_refused(
                lambda settings=settings: predict(EXAMPLES / example, settings=settings, speeds=speeds)
            )
            assert live == whole
        else:
            answered += _same(live, EXAMPLES / example, changes, speeds) > 60
    assert answered > 0.7 * len(cases)


def _or_refused(ask: Callable[[], Any]) -> Any:
    """The answer, or why there is none."""
    try:
        return ask()
    except BuildError as refused:
        return str(refused)


def test_the_builds_own_speeds_and_those_of_a_change() -> None:
    bench = LiveBench()
    folder = EXAMPLES / "hill_climb_estate"
    _same(bench.answer(folder, {}), folder, {}, None)
    changes: dict[str, str | None] = {"prediction.speeds": '{ speed = [2000, 3000, 4500], unit = "rpm" }'}
    live = bench.answer(folder, changes)
    assert live.speeds.size == 3
    _same(live, folder, changes, None)
    assert bench.answer(folder, {}).speeds.size > 3


KNOWN: dict[str, str | None] = {
    "breathing.volumetric_efficiency": None,
    "breathing.source": "known-curve",
    "breathing.known_curve_at": "crank",
    "breathing.known_curve_air": "din-70020",
    "breathing.known_torque": '{ speed = [1500, 3000, 4500, 6000, 6750], unit = "rpm", '
    'value = [175, 200, 222, 195, 170], value_unit = "Nm" }',
}


@pytest.mark.parametrize("in_the_file", [True, False])
def test_a_known_curve_is_turned_back_as_predict_does(tmp_path: Path, in_the_file: bool) -> None:
    folder = tmp_path / "car"
    shutil.copytree(EXAMPLES / "hill_climb_estate", folder)
    own: dict[str, str | None] = dict(KNOWN)
    if in_the_file:
        _, stamp = read_stamped(folder)
        assert isinstance(save_changes(folder, KNOWN, stamp), Saved)
        own = {}
    bench = LiveBench()
    speeds = [200.0, 330.0, 470.0, 600.0]
    for more in ({}, {"prediction.mode": "no-turbo"}, {"engine.compression_ratio": "9.2"}):
        changes = {**own, **more}
        _same(bench.answer(folder, changes, speeds), folder, changes, speeds)


def test_a_file_that_changes_is_read_again_and_so_is_a_card(tmp_path: Path) -> None:
    folder = tmp_path / "car"
    shutil.copytree(EXAMPLES / "hill_climb_estate", folder)
    bench = LiveBench()
    before = bench.answer(folder, {}).figures["peak_torque"]
    path = folder / "build.toml"
    path.write_text(path.read_text().replace('bore = "83 mm"', 'bore = "85 mm"'))
    after = bench.answer(folder, {})
    assert after.figures["peak_torque"] > 1.01 * before
    _same(after, folder, {}, None)
    path.write_text(path.read_text().replace('bore = "85 mm"', 'bore = "85"'))
    with pytest.raises(BuildError, match="has no unit"):
        bench.answer(folder, {})
    mended = bench.answer(folder, {"engine.bore": "85 mm"})
    np.testing.assert_allclose(mended.quantities["torque"], after.quantities["torque"], rtol=SAME)


def test_a_base_that_is_worn_gives_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    from boostwright.tasks import live_base

    bench, folder = LiveBench(), EXAMPLES / "hill_climb_estate"
    speeds = SPEEDS.tolist()
    first = [bench.answer(folder, {"wastegate.takeoff_angle": f"{angle} deg"}, speeds) for angle in (20, 40)]
    for name in ("_MANY", "_MOST"):
        monkeypatch.setattr(live_base, name, 1)
        bench.renew()
        again = [
            bench.answer(folder, {"wastegate.takeoff_angle": f"{angle} deg"}, speeds) for angle in (20, 40)
        ]
        for one, other in zip(first, again, strict=True):
            np.testing.assert_array_equal(one.quantities["torque"], other.quantities["torque"])


@pytest.mark.parametrize("speeds", [[], [300.0, 200.0], [float("nan")], [1.0], [1e9], [200.0] * 2])
def test_speeds_of_no_engine_are_refused(speeds: list[float]) -> None:
    with pytest.raises(BuildError):
        LiveBench().answer(EXAMPLES / "hill_climb_estate", {}, speeds)


def test_many_threads_at_once_get_what_one_gets() -> None:
    folder, speeds = EXAMPLES / "hill_climb_estate", SPEEDS.tolist()
    changes = [{"wastegate.takeoff_angle": f"{angle} deg"} for angle in (15, 35, 55, 75)]
    changes += [{"engine.compression_ratio": text} for text in ("8.8", "9.1")]
    alone = [predict(folder, settings=[f"{k}={v}" for k, v in one.items()], speeds=speeds) for one in changes]
    bench = LiveBench()

    def ask(number: int) -> tuple[int, Any]:
        one = changes[number % len(changes)]
        if number % 3 == 0:
            return number, predict(folder, settings=[f"{k}={v}" for k, v in one.items()], speeds=speeds)[
                "torque"
            ]
        return number, bench.answer(folder, dict(one), speeds).quantities["torque"]

    with ThreadPoolExecutor(6) as pool:
        for number, torque in pool.map(ask, range(30)):
            expected = alone[number % len(changes)]["torque"]
            np.testing.assert_allclose(torque, expected, rtol=SAME, equal_nan=True)


ROUGH = {"torque": 0.004, "temperature_em": 0.003, "peak_pressure": 0.01, "pressure_im": 0.002}
"""Shares of the highest value that a rough answer may be off by, at the ends of what a slider spans."""


@pytest.mark.parametrize(
    ("key", "values"),
    [
        ("engine.compression_ratio", ["7.5", "8.6", "9.4", "11"]),
        ("engine.bore", ["80 mm", "86 mm"]),
        ("cylinder.wall_heat_factor", ["0.7", "1.3"]),
        ("fuel.card", ["petrol-ron95", "e85"]),
    ],
)
def test_a_rough_answer_is_near_and_comes_to_rest_exactly(key: str, values: list[str]) -> None:
    folder, speeds = EXAMPLES / "hill_climb_estate", SPEEDS.tolist()
    bench = LiveBench()
    for value in values:
        changes: dict[str, str | None] = {key: value}
        rough = bench.answer(folder, changes, speeds, rough=True).quantities
        live = bench.answer(folder, changes, speeds)
        _same(live, folder, changes, speeds)
        for name, share in ROUGH.items():
            exact = live.quantities[name]
            assert (np.isfinite(rough[name]) == np.isfinite(exact)).all()
            assert np.nanmax(np.abs(rough[name] - exact)) < share * np.nanmax(np.abs(exact)), (name, value)


def test_rough_is_exact_where_the_closed_cycle_is_left_alone() -> None:
    folder, speeds = EXAMPLES / "hill_climb_estate", SPEEDS.tolist()
    bench = LiveBench()
    for changes in ({"turbine.choked_flow": "0.027 kg/s*sqrt(K)/kPa"}, {"ambient.temperature": "5 degC"}):
        rough = bench.answer(folder, dict(changes), speeds, rough=True).quantities
        exact = bench.answer(folder, dict(changes), speeds).quantities
        for name, values in exact.items():
            scale = np.nanmax(np.abs(values), initial=0.0)
            np.testing.assert_allclose(rough[name], values, rtol=SAME, atol=SAME * scale, equal_nan=True)
