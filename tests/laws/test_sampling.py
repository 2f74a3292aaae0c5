"""Many samples in one batch give what each gives alone, read from text and solved by itself."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from one_sample import build_of_text, one_sample

from boostwright.build import Build, read_build
from boostwright.solve.problem import assemble
from boostwright.solve.quantities import quantities_of
from boostwright.solve.run import solve
from boostwright.solve.threshold import threshold
from boostwright.solve.uncertainty.assembling import Assembler
from boostwright.solve.uncertainty.doubts import Doubt, doubts_of
from boostwright.solve.uncertainty.draws import draw
from boostwright.solve.uncertainty.sampled import Sampled, sampled, sampled_at
from boostwright.tasks.known_curve import filling_of_known_curve
from boostwright.tasks.predict import predict_build
from boostwright.tasks.ready import cards_of

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
RPM = np.pi / 30.0
SPEEDS = np.array([1700.0, 2300.0, 3000.0, 4200.0, 5500.0, 6000.0]) * RPM
STATED = (
    "engine.compression_ratio=9.0 +- 0.2",
    "engine.bore=83 mm +- 0.2 mm",
    "ambient.temperature=20 degC +- 10 K",
    "ambient.pressure=101.3 kPa +- 2 kPa",
    "exhaust.pressure_drop=12 kPa +- 4 kPa uniform",
    "turbine.choked_flow=0.025 kg/s*sqrt(K)/kPa +- 8 %",
    "turbine.efficiency_peak=0.70 +- 0.04 triangular",
)
KNOWN = (
    "breathing.volumetric_efficiency=",
    "breathing.source=known-curve",
    "breathing.known_curve_at=crank",
    "breathing.known_curve_air=din-70020",
    'breathing.known_torque={ speed = [1500, 3000, 4500, 6000, 6750], unit = "rpm", '
    'value = [175, 200, 222, 195, 170], value_unit = "Nm", band = "4 %" }',
)
LAMBDA = 'fuel.lambda_target={ speed = [1500, 3500, 6000], unit = "rpm", value = [0.96, 0.90, 0.84], band = "0.02" }'
# name -> (example, mode, settings, whether the models and the tables between their ends are in it)
CASES = {
    "all doubts, target held": ("hill_climb_estate", "target", STATED, True),
    "all doubts, spring, flap, gauge": (
        "transverse_three",
        "spring",
        ("ambient.pressure=1019 hPa +- 10 hPa", "charge_cooler.coolant_rise=4 K +- 3 K"),
        True,
    ),
    "lambda and the turbine's shape": (
        "transverse_three",
        "gate-open",
        (LAMBDA, "turbine.best_blade_speed_ratio=0.65 +- 0.05"),
        True,
    ),
    "known curve turned back": (
        "hill_climb_estate",
        "target",
        (*KNOWN, "exhaust.pressure_drop=12 kPa +- 4 kPa"),
        False,
    ),
    "without turbo": ("transverse_three", "no-turbo", ("intake.pressure_drop=1.8 kPa +- 20 %",), False),
}
TOLERANCE = 1e-9
# worked out once, at the nominal engine
NOMINAL = ("rod_force_believed",)


def make(case: str) -> tuple[Build, Assembler, np.ndarray]:
    example, mode, settings, everything = CASES[case]
    build = read_build(EXAMPLES / example, [*settings, f"prediction.mode={mode}"])
    cards = cards_of(build)
    filling = filling_of_known_curve(build, cards, SPEEDS)
    doubts = doubts_of(build, cards)
    maker = Assembler(build, cards, SPEEDS, mode, filling, doubts)
    if not everything:
        between = {doubts[column].name for column in (*maker.cycles.columns, *maker.maps.columns)}
        doubts = tuple(d for d in doubts if d.key and d.name not in between)
        maker = Assembler(build, cards, SPEEDS, mode, filling, doubts)
    return build, maker, draw(doubts, 4, 11)


def assert_same(name: str, found: np.ndarray, wanted: np.ndarray) -> None:
    scale = max(float(np.nanmax(np.abs(wanted), initial=0.0)), 1e-30)
    np.testing.assert_allclose(found, wanted, rtol=TOLERANCE, atol=1e-12 * scale, err_msg=name)


@pytest.mark.parametrize("case", CASES)
def test_the_batch_is_the_loop(case: str) -> None:
    build, maker, shifts = make(case)
    found = sampled_at(maker, shifts)
    everything = CASES[case][3]
    for i, row in enumerate(shifts):
        knock = [d.name == "model.knock_multiplier" for d in maker.doubts]
        alone = build_of_text(build, maker.doubts, row)
        if any(knock):  # a number of the build, though its doubt is the model's
            alone = build_of_text(alone, [_as_key(maker, row)], np.array([1.0]))
        if everything:
            wanted = one_sample(maker, alone, row)
        else:
            whole = predict_build(alone, speeds=SPEEDS)
            wanted = {name: values.values for name, values in whole.quantities.items()}
        for name, values in wanted.items():
            if name in found.quantities and name not in (*NOMINAL, "speed_margin"):
                assert_same(f"{case}: {name} of sample {i}", found.quantities[name][i], values)


def _as_key(maker: Assembler, row: np.ndarray) -> Doubt:
    """The knock multiplier of a sample as a shift of 1 on its key."""
    number = maker.sample_build(row)["spark"].si("knock_multiplier")
    nominal = maker.build["spark"].si("knock_multiplier")
    column = next(k for k, d in enumerate(maker.doubts) if d.name == "model.knock_multiplier")
    below, above = maker.doubts[column].widths
    shift = float(row[column])
    assert number == pytest.approx(nominal * np.exp(shift * (below if shift < 0.0 else above)))
    return Doubt(
        "spark.knock_multiplier", "", maker.doubts[column].distribution, "model", widths=(number - nominal,)
    )


def both(**more: object) -> Sampled:
    build = read_build(EXAMPLES / "hill_climb_estate", ["prediction.mode=target"])
    return sampled(build, cards_of(build), SPEEDS, "target", samples=70, seed=4, **more)  # type: ignore[arg-type]


def test_how_many_are_solved_at_once_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = both()
    monkeypatch.setattr("boostwright.solve.uncertainty.sampled._POINTS_AT_ONCE", 60)
    cut = both()
    for name, values in whole.quantities.items():
        np.testing.assert_array_equal(values, cut.quantities[name], err_msg=name)


def test_levels_of_target_are_targets_of_their_own() -> None:
    build = read_build(EXAMPLES / "hill_climb_estate", ["ambient.temperature=20 degC +- 10 K"])
    cards = cards_of(build)
    doubts = tuple(
        d for d in doubts_of(build, cards) if d.name in ("ambient.temperature", "model.turbine_flow")
    )
    levels = np.array([[150e3], [175e3]]) + np.linspace(0.0, 5e3, SPEEDS.size)
    found = sampled(build, cards, SPEEDS, "target", samples=3, seed=2, targets=levels, doubts=doubts)
    assert found.quantities["torque"].shape == (3, 2, SPEEDS.size)
    maker = Assembler(build, cards, SPEEDS, "target", None, doubts)
    for i, row in enumerate(found.shifts):
        problem = maker.problem(row[None]).at_targets(levels)
        states = solve(problem)
        held = states["pressure_im"].reshape(levels.shape)
        np.testing.assert_allclose(found.quantities["pressure_im"][i], held, rtol=1e-12)
        one = quantities_of(maker.sample_build(row), problem, states, 1.0)
        np.testing.assert_allclose(
            found.quantities["torque"][i], one["torque"].reshape(levels.shape), rtol=1e-9
        )


def test_thresholds_are_those_of_each_sample_alone() -> None:
    build = read_build(EXAMPLES / "hill_climb_estate", ["wastegate.spring_rating=0.6 bar gauge +- 0.03 bar"])
    cards = cards_of(build)
    names = ("wastegate.spring_rating", "cylinder.port_heat_factor", "exhaust_manifold.heat_conductance")
    doubts = tuple(d for d in doubts_of(build, cards) if d.name in names)
    assert len(doubts) == 3
    found = sampled(build, cards, SPEEDS, "target", samples=5, seed=8, doubts=doubts, with_thresholds=True)
    assert found.thresholds is not None
    for row, at in zip(found.shifts, found.thresholds, strict=True):
        alone = build_of_text(build, doubts, row)

        def assembled(speeds: np.ndarray, mode: str, own: Build = alone) -> object:
            return assemble(own, cards, speeds, mode)

        assert threshold(alone, assembled).value == pytest.approx(at, rel=1e-12)  # type: ignore[arg-type]


def test_a_torque_that_no_filling_gives_leaves_its_sample_without_an_answer() -> None:
    settings = [s.replace("222", "262").replace("4 %", "30 %") for s in KNOWN]
    build = read_build(EXAMPLES / "hill_climb_estate", settings)
    cards = cards_of(build)
    doubts = tuple(d for d in doubts_of(build, cards) if d.name == "breathing.known_torque")
    filling = filling_of_known_curve(build, cards, SPEEDS)
    found = sampled(build, cards, SPEEDS, "target", filling, samples=40, seed=1, doubts=doubts)
    at = int(np.argmin(np.abs(SPEEDS - 4200.0 * RPM)))
    lost = ~found.steady[:, at]
    assert 0 < lost.sum() < 40
    assert found.shifts[lost, 0].min() > found.shifts[~lost, 0].max(), "the largest torques are the ones lost"
    assert np.isnan(found.quantities["torque"][lost, at]).all()
