"""Questions 1, 2, 7 and 8 of somebody who has built such engines, each put as one what-if."""

from __future__ import annotations

from pathlib import Path
from shutil import copytree

import numpy as np
import pytest

from boostwright.build import read_build
from boostwright.tasks.whatif import Asked, whatif, whatif_build
from boostwright.tasks.whatif_result import WhatIf

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "hill_climb_estate"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example without the file that says what to vary."""
    place = tmp_path_factory.mktemp("whatif") / "build"
    copytree(EXAMPLE, place)
    (place / "whatif.toml").unlink(missing_ok=True)
    return place


def figures(found: WhatIf, name: str) -> np.ndarray:
    """One figure of every case but the first, in their order."""
    return np.array([row.figures[name] for row in found.rows[1:]])


def test_1_boost_rises_by_itself_when_the_gates_effective_area_is_halved(folder: Path) -> None:
    text = "wastegate.discharge_coefficient & wastegate.seat_discharge_coefficient=0.72, 0.36"
    found = whatif(folder, Asked(vary=(text,)))
    whole, half = figures(found, "creep_floor")
    assert half > whole + 20e3
    # and by how much at each speed: the two lie side by side
    (_, _), (_, one), (_, other) = found.beside
    assert other.mode == "target"
    assert one["gate_lift"][-1] < other["gate_lift"][-1] or np.isnan(other["gate_lift"][-1])


def test_2_a_smaller_housing_moves_threshold_drive_ratio_and_power_the_right_way(folder: Path) -> None:
    found = whatif(folder, Asked(vary=("turbine.choked_flow=0.020:0.032:7 kg/s*sqrt(K)/kPa",)))
    assert (np.diff(figures(found, "threshold")) > 0.0).all()
    assert (np.diff(figures(found, "drive_pressure_ratio_most")) < 0.0).all()
    assert (np.diff(figures(found, "peak_power")) > 0.0).all()
    assert found.axes == ()


def test_7_doubled_back_pressure_comes_late_costs_drive_ratio_and_torque(folder: Path) -> None:
    found = whatif(folder, Asked(vary=("exhaust.pressure_drop=12, 24 kPa",)))
    for name, sign in (("threshold", 1.0), ("drive_pressure_ratio_most", 1.0), ("mean_torque", -1.0)):
        once, twice = figures(found, name)
        assert sign * (twice - once) > 0.0, name


def test_8_a_wrong_spring_is_asked_about_with_the_reason(folder: Path) -> None:
    target = "boost_control.target=250 kPa absolute"
    found = whatif(folder, Asked(vary=("wastegate.spring_rating=0.5, 0.9 bar gauge",)), settings=[target])
    soft, stiff = found.rows[1:]
    assert any("little is left to hold the valve shut" in text for text in soft.asked)
    assert not any("little is left" in text for text in stiff.asked)
    hard = whatif(folder, Asked(vary=("wastegate.spring_rating=0.5, 1.2 bar gauge",)))
    assert "above the lowest boost asked" in hard.rows[2].reason


def test_one_at_a_time_moves_one_key_and_takes_its_band(folder: Path) -> None:
    build = read_build(folder)
    steps = (
        "wastegate.discharge_coefficient",
        "turbine.choked_flow=+- 10 %",
        "exhaust.pressure_drop=6, 24 kPa",
        "ambient.temperature=+- 15 K",
    )
    found = whatif_build(build, Asked(vary=steps, one_at_a_time=True))
    assert {lever.words for lever in found.levers} == {step.partition("=")[0] for step in steps}
    by_key = {lever.words: lever for lever in found.levers}
    gate = by_key["wastegate.discharge_coefficient"]
    assert (float(gate.low), float(gate.high)) == pytest.approx((0.62, 0.82))
    assert "default" in gate.source
    assert by_key["ambient.temperature"].low_row.figures["peak_power"] > found.rows[0].figures["peak_power"]
    assert not found.cures
    assert any("two changes together" in text for text in found.warnings)


def test_the_cheapest_part_that_cures_a_trouble(folder: Path, tmp_path: Path) -> None:
    parts = tmp_path / "parts.toml"
    parts.write_text(
        '[[case]]\nname = "small gate"\nsettings = ["wastegate.valve_diameter=24 mm"]\nprice = "90 EUR"\n'
        '[[case]]\nname = "large gate"\nsettings = ["wastegate.valve_diameter=44 mm"]\nprice = "260 EUR"\n'
        '[[case]]\nname = "two gates"\nsettings = ["wastegate.count=2", "wastegate.valve_diameter=36 mm"]\n'
        'price = "410 EUR"\n'
        '[[case]]\nname = "found in a box"\nsettings = ["wastegate.valve_diameter=43 mm"]\n',
        encoding="utf-8",
    )
    small = ["wastegate.valve_diameter=26 mm"]
    found = whatif(folder, Asked(file=parts, creep_floor="120 kPa absolute"), settings=small)
    cure = next(cure for cure in found.cures if "creep floor" in cure.trouble)
    assert cure.row is not None
    assert cure.row.case.name == "large gate"
    assert [row.case.name for row in cure.unpriced] == ["found in a box"]
    assert cure.has_it == 1
    none = whatif(folder, Asked(file=parts, creep_floor="95 kPa absolute"), settings=small)
    cure = next(cure for cure in none.cures if "creep floor" in cure.trouble)
    assert cure.row is None
    assert cure.has_it == cure.counted == 4


def test_ranking_goes_by_the_figure_then_the_price_and_puts_cases_over_a_limit_last(
    folder: Path, tmp_path: Path
) -> None:
    parts = tmp_path / "parts.toml"
    parts.write_text(
        '[[case]]\nname = "dear"\nsettings = ["wastegate.valve_diameter=44 mm"]\nprice = "300 EUR"\n'
        '[[case]]\nname = "cheap"\nsettings = ["wastegate.valve_diameter=44 mm"]\nprice = "100 EUR"\n'
        '[[case]]\nname = "tight"\nsettings = ["turbine.choked_flow=0.018 kg/s*sqrt(K)/kPa"]\nprice = "10 EUR"\n',
        encoding="utf-8",
    )
    strict = ["limits.drive_pressure_ratio=1.4"]
    found = whatif(folder, Asked(file=parts, rank_by="threshold"), settings=strict)
    order = [found.rows[number].case.name for number in found.ranked]
    assert order == ["as it stands", "cheap", "dear", "tight"]
    assert "drive-pressure-ratio" in found.rows[3].exceeded


def test_what_the_reader_is_told_of_gates(folder: Path) -> None:
    told = " ".join(whatif(folder, Asked(vary=("wastegate.valve_diameter=38, 44 mm",))).warnings)
    assert "across its seat" in told
    assert "The branch stays at 44 mm" in told
    assert "discharge coefficient of 0.72 (from memory), not 1" in told
    both = whatif(folder, Asked(vary=("wastegate.valve_diameter & wastegate.branch_bore=38, 44 mm",)))
    assert "The branch stays" not in " ".join(both.warnings)
    one = whatif(folder, Asked(vary=("wastegate.discharge_coefficient=0.7, 1.0",)))
    assert any("unusual" in text for text in one.rows[2].asked)
    joined = Asked(vary=("wastegate.valve_diameter & wastegate.branch_bore=+- 5 mm",), one_at_a_time=True)
    assert any("move together" in text for text in whatif(folder, joined).warnings)
