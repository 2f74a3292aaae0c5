"""Cylinders and sparks that cannot be, and what is asked about: line, key, value, remedy; no clamp in silence."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from sound_build import line_of, swap, write_build

from boostwright.build import check_build, read_build
from boostwright.components.closed_cycle import cycle_model
from boostwright.components.cycle_table import CycleBox
from boostwright.components.fuel_blend import fuel_card
from boostwright.errors import Fault
from boostwright.solve.operating_point import Prediction, Solved
from boostwright.tasks.check_build import check
from boostwright.tasks.predict import predict_build

ROOT = Path(__file__).resolve().parents[2]
RPM, DEGREE = np.pi / 30.0, np.pi / 180.0


def spark(*lines: str) -> str:
    return swap(("[prediction]", "\n".join(["[spark]", *lines, "", "[prediction]"])))


def cylinder(*lines: str) -> str:
    return swap(("[prediction]", "\n".join(["[cylinder]", *lines, "", "[prediction]"])))


SHORT = '{ speed = [2500, 4000], unit = "rpm", value = [12, 16], value_unit = "deg" }'

# name -> (text, part of the fault's line, key, words of the message)
CASES: dict[str, tuple[str, str, str, tuple[str, ...]]] = {
    "compression ratio of 1": (
        swap(("compression_ratio = 9.0", "compression_ratio = 1.0")), "compression_ratio = 1.0",
        "engine.compression_ratio", ("out of range", "Allowed", "no compression"),
    ),
    "spark far after top dead centre": (
        spark('set_by = "advance"', 'advance = "-25 deg"'), 'advance = "-25 deg"', "spark.advance",
        ("out of range", "-20 deg to 60 deg"),
    ),
    "spark half a turn early": (
        spark('set_by = "advance"', 'advance = "180 deg"'), 'advance = "180 deg"', "spark.advance",
        ("out of range", "-20 deg to 60 deg"),
    ),
    "one point of a spark table far off": (
        spark('set_by = "advance"',
              'advance = { speed = [1500, 7000], unit = "rpm", value = [10, 160], value_unit = "deg" }'),
        "advance = {", "spark.advance", ("160 deg", "-20 deg to 60 deg"),
    ),
    "advance without its table": (
        spark('set_by = "advance"'), "", "spark.advance", ("is missing", "set_by is advance"),
    ),
    "spark without a unit": (
        spark('set_by = "advance"', "advance = 14"), "advance = 14", "spark.advance", ("has no unit",),
    ),
    "phasing far before top dead centre": (
        spark('set_by = "phasing"', 'phasing = "-30 deg"'), 'phasing = "-30 deg"', "spark.phasing",
        ("out of range", "-20 deg to 60 deg"),
    ),
    "best phasing before top dead centre": (
        spark('best_phasing = "-8 deg"'), 'best_phasing = "-8 deg"', "spark.best_phasing",
        ("out of range", "0 deg to 30 deg"),
    ),
    "knock multiplier of 0": (
        spark("knock_multiplier = 0"), "knock_multiplier = 0", "spark.knock_multiplier",
        ("out of range", "0.1 to 10"),
    ),
    "negative delay": (
        spark('set_by = "advance"', 'advance = "14 deg"', 'ignition_delay = "-3 deg"'), 'ignition_delay = "-3 deg"',
        "spark.ignition_delay", ("out of range", "0 deg to 30 deg"),
    ),
    "unknown rule of the spark": (
        spark('set_by = "knock"'), 'set_by = "knock"', "spark.set_by", ("not one of the allowed words", "knock-limit"),
    ),
    "lambda of 2.5": (
        swap(("value = [0.95, 0.82]", "value = [0.95, 2.5]")), "lambda_target", "fuel.lambda_target",
        ("2.5", "0.4 to 2"),
    ),
    "burn duration of 0": (
        cylinder('burn_duration = "0 deg"'), 'burn_duration = "0 deg"', "cylinder.burn_duration",
        ("out of range", "5 deg to 45 deg"),
    ),
    "walls hotter than cast iron holds": (
        cylinder('wall_temperature = "900 degC"'), 'wall_temperature = "900 degC"', "cylinder.wall_temperature",
        ("out of range", "20 degC to 400 degC"),
    ),
    "nothing burns": (
        cylinder("combustion_efficiency = 0"), "combustion_efficiency = 0", "cylinder.combustion_efficiency",
        ("out of range",),
    ),
    "more than all burns": (
        cylinder("combustion_efficiency = 1.2"), "combustion_efficiency = 1.2", "cylinder.combustion_efficiency",
        ("out of range",),
    ),
    "walls that heat the gas": (
        cylinder("wall_heat_factor = -1"), "wall_heat_factor = -1", "cylinder.wall_heat_factor", ("out of range",),
    ),
}  # fmt: skip

# name -> (text, part of the line, key, words): taken, and asked about
ASKED: dict[str, tuple[str, str, str, tuple[str, ...]]] = {
    "spark after top dead centre": (
        spark('set_by = "advance"', 'advance = "-5 deg"'), 'advance = "-5 deg"', "spark.advance",
        ("is unusual", "0 deg to 40 deg"),
    ),
    "very early spark": (
        spark('set_by = "advance"', 'advance = "55 deg"'), 'advance = "55 deg"', "spark.advance",
        ("is unusual", "0 deg to 40 deg"),
    ),
    "phasing before top dead centre": (
        spark('set_by = "phasing"', 'phasing = "-5 deg"'), 'phasing = "-5 deg"', "spark.phasing",
        ("is unusual", "4 deg to 35 deg"),
    ),
    "cap that caps nothing": (
        spark('set_by = "phasing"', 'phasing = "6 deg"'), 'phasing = "6 deg"', "spark.phasing",
        ("earlier than best_phasing (8 deg)", "set_by advance"),
    ),
    "spark table shorter than the speeds": (
        spark('set_by = "advance"', f"advance = {SHORT}"), "advance = {", "spark.advance",
        ("says nothing below 2500", "and above 4000", "Add points"),
    ),
    "phasing shorter than the speeds": (
        spark('set_by = "phasing"', f"phasing = {SHORT}"), "phasing = {", "spark.phasing",
        ("says nothing below 2500", "end value"),
    ),
    "lean at full load": (
        swap(("value = [0.95, 0.82]", "value = [0.95, 1.3]")), "lambda_target", "fuel.lambda_target",
        ("is unusual", "0.7 to 1.05"),
    ),
    "hot walls": (
        cylinder('wall_temperature = "350 degC"'), 'wall_temperature = "350 degC"', "cylinder.wall_temperature",
        ("is unusual", "100 degC to 280 degC"),
    ),
    "burns in no time": (
        cylinder('burn_duration = "6 deg"'), 'burn_duration = "6 deg"', "cylinder.burn_duration",
        ("is unusual", "15 deg to 40 deg"),
    ),
}  # fmt: skip


def found(faults: tuple[Fault, ...], key: str, words: tuple[str, ...]) -> Fault:
    at_key = [fault for fault in faults if fault.key == key and all(word in str(fault) for word in words)]
    assert at_key, "\n".join(str(fault) for fault in faults) or "no fault at all"
    return at_key[0]


def compare(fault: Fault, text: str, part: str) -> None:
    assert fault.line == (line_of(text, part) if part else 0)
    assert not part or f"line {fault.line}" in str(fault)


@pytest.mark.parametrize("name", CASES)
def test_refused(name: str, tmp_path: Path) -> None:
    text, part, key, words = CASES[name]
    checked = check_build(write_build(tmp_path / "build", text))
    assert checked.build is None
    compare(found(checked.faults, key, words), text, part)


@pytest.mark.parametrize("name", ASKED)
def test_asked_about(name: str, tmp_path: Path) -> None:
    text, part, key, words = ASKED[name]
    checked = check_build(write_build(tmp_path / "build", text))
    assert checked.build is not None, "\n".join(str(fault) for fault in checked.faults)
    compare(found(checked.warnings, key, words), text, part)


@pytest.mark.parametrize("card", ["e85", "ethanol", "methanol"])
def test_a_knock_limit_is_refused_where_knock_is_not_predicted(card: str, tmp_path: Path) -> None:
    """The correlation cannot judge alcohol; check says so too, with the card and the line."""
    text = spark('set_by = "knock-limit"').replace('"petrol-ron98"', f'"{card}"')
    result = check(write_build(tmp_path / "build", text))
    assert not result.sound
    fault = found(result.faults, "spark.set_by", (card, "phasing, best-torque or advance", "State your own"))
    compare(fault, text, 'set_by = "knock-limit"')
    by_setting = check(
        ROOT / "examples" / "transverse_three", [f"fuel.card={card}", "spark.set_by=knock-limit"]
    )
    assert "--set spark.set_by=knock-limit" in str(found(by_setting.faults, "spark.set_by", (card,)))


def test_a_knock_limit_is_taken_where_knock_is_predicted(tmp_path: Path) -> None:
    assert check(write_build(tmp_path / "build", spark('set_by = "knock-limit"'))).sound


EDGES = (
    ("fuel.lambda_target=0.6",),
    ("fuel.lambda_target=1.3",),
    ("ambient.temperature=-40 degC",),
    ("ambient.temperature=50 degC", "charge_cooler.effectiveness=0.1"),
    ("engine.compression_ratio=5",),
    ("engine.compression_ratio=14",),
    ("cylinder.wall_temperature=400 degC", "cylinder.intake_heat_share=0.8"),
    ("cylinder.burn_duration=5 deg",),
    ("cylinder.burn_duration=45 deg",),
    ("fuel.card=methanol", "cylinder.evaporation_share=1.0"),
    ("spark.set_by=advance", "spark.advance=60 deg"),
    ("spark.set_by=advance", "spark.advance=-20 deg"),
    ("spark.set_by=phasing", "spark.phasing=60 deg"),
    ("spark.knock_multiplier=10",),
    ("spark.knock_multiplier=0.1",),
    ("cylinder.wall_heat_factor=5",),
    ("cylinder.wall_heat_factor=0",),
    ("prediction.speeds={ speed = [400, 1000, 6500], unit = 'rpm' }",),
)
WITHOUT_MEANING = {  # nan here has a meaning of its own, said on the page of names
    "knock_integral", "knock_limited_phasing", "knock_limited_phasing_early", "knock_limited_phasing_late",
    "bsfc", "mechanical_efficiency", "compressor_efficiency", "takeoff_recovery", "drive_pressure_ratio_gauge",
    "solenoid_duty", "torque_rods",
}  # fmt: skip


def left_box(p: Prediction, folder: Path, settings: list[str]) -> dict[str, np.ndarray]:
    """Where the state left the default box of the table, reckoned from what was printed."""
    build = read_build(folder, settings)
    geometry = cycle_model(build["engine"], fuel_card(build)).geometry
    volume = float(geometry.volume(geometry.intake_closing))
    limit = build["engine"].si("speed_limit")
    box = CycleBox(engine_speed=(0.115 * limit, 1.05 * limit))
    shown = {
        "engine speed": (p.speeds, box.engine_speed),
        "density": (p["trapped_mass"] / volume, box.density),
        "temperature": (p["trapped_temperature"], box.temperature),
        "lambda": (p["lambda"], box.lambda_value),
        "residual fraction": (p["residual_fraction"], box.residual_fraction),
        "CA50": (p["angle_half_burned"], box.angle_half_burned),
    }
    slack = 1e-3
    return {
        name: (values < low * (1.0 - slack) - 1e-4) | (values > high * (1.0 + slack))
        for name, (values, (low, high)) in shown.items()
    }


@pytest.mark.parametrize("settings", EDGES, ids="; ".join)
@pytest.mark.parametrize("example", ["hill_climb_estate", "transverse_three"])
def test_nothing_is_clamped_in_silence_and_no_solved_point_is_nan(
    example: str, settings: tuple[str, ...]
) -> None:
    folder = ROOT / "examples" / example
    given = [*settings]
    if not any("speeds" in setting for setting in settings):
        given.append("prediction.speeds={ speed = [2000, 4000, 6000], unit = 'rpm' }")
    p = predict_build(read_build(folder, given))
    solved = np.array([isinstance(outcome, Solved) for outcome in p.outcomes])
    for name, values in p.quantities.items():
        if (
            name not in WITHOUT_MEANING
            and "corrected" not in name
            and np.isfinite(values.values[solved]).any()
        ):
            assert np.isfinite(values.values[solved]).all(), name
    left = left_box(p, folder, given)
    for i in np.flatnonzero(solved):
        codes = {flag.code: flag.message for flag in p.flags[i]}
        names = [name for name, outside in left.items() if outside[i]]
        if names == ["CA50"] and "knocks-at-latest" in codes:
            continue
        assert bool(names) == ("outside-cycle-table" in codes), (names, codes)
        for name in names:
            assert name in codes["outside-cycle-table"]
