"""Measured compressor maps with a speed line left out: how near the surface comes. Bounds of the acceptance.

Sources of the maps: NASA TM 107541 (1997), figure 3; NASA HECC data archive (2018 readings); Eckardt (1976, 1979) as
digitised by others. The study beside the project prints the table; here its figures are held.
"""

from __future__ import annotations

import csv
from dataclasses import asdict
from pathlib import Path

import numpy as np
import pytest

from boostwright.cards.look_up import find_card
from boostwright.components.compressor import compressor_surface
from studies.compressor_interpolation.leave_one_out import (
    MAPS,
    LeftOut,
    evaluate,
    inner_summary,
    leave_lines_out,
)

RESULT = Path(__file__).resolve().parents[2] / "studies" / "compressor_interpolation" / "result.csv"

# Root mean square in % of the map's span and in points, of two simple ways of joining lines on the same maps: head
# linear in speed squared, and a monotone cubic of flow and head over speed squared. The surface is to be at or below
# one of the two. (Measured by others on the same files; two decimals.)
SIMPLE_RATIO = {"cc3-vaneless": (1.23, 1.24), "hecc-vaneless": (0.32, 0.41), "eckardt-o": (0.53, 0.57)}
SIMPLE_EFFICIENCY = {"cc3-vaneless": (0.92, 0.72), "hecc-vaneless": (0.18, 0.21), "eckardt-o": (0.30, 0.23)}

ALL = {name: leave_lines_out(name)[0] for name in MAPS}
INNER = [r for results in ALL.values() for r in results if r.position == "inner"]
LOWEST = [r for results in ALL.values() for r in results if r.position == "lowest"]


def label(result: LeftOut) -> str:
    return f"{result.map} {result.speed_rpm:.0f} rpm"


@pytest.mark.parametrize("name", MAPS)
def test_lines_that_are_there_are_kept(name: str) -> None:
    surface = compressor_surface(find_card("compressor", name))
    for line in surface.lines:
        ratio, efficiency = evaluate(surface, line.speed, line.flow)
        assert ratio == pytest.approx(line.pressure_ratio, rel=6e-4)
        assert efficiency == pytest.approx(line.efficiency, abs=3e-4)


@pytest.mark.parametrize("name", MAPS)
def test_inner_lines_of_a_map(name: str) -> None:
    found = inner_summary(name)
    assert found["ratio_median"] < 1.0
    assert found["ratio_worst"] < 3.0
    assert found["efficiency_median"] < 0.7
    assert found["efficiency_worst"] < 2.0


@pytest.mark.parametrize("result", INNER, ids=label)
def test_each_inner_line(result: LeftOut) -> None:
    assert result.ratio_median < 1.0
    assert result.ratio_worst < 3.0
    assert result.efficiency_worst < 2.0


MISSED = ["cc3-vaneless 15252 rpm"]
"""Inner lines whose own median of efficiency misses 0.7 point. The 4:1 impeller's 70 % line peaks at 0.910, above both
its neighbours (0.897 and 0.899): no way of joining those finds it."""


@pytest.mark.parametrize("result", INNER, ids=label)
def test_efficiency_of_each_inner_line(result: LeftOut) -> None:
    if label(result) in MISSED:
        assert 0.7 < result.efficiency_median < 1.2
    else:
        assert result.efficiency_median < 0.7


@pytest.mark.parametrize("result", LOWEST, ids=label)
def test_lowest_line(result: LeftOut) -> None:
    assert result.rise_median < 6.0
    assert result.efficiency_median < 3.0
    assert result.rise_worst < 12.0
    assert result.efficiency_worst < 12.0


@pytest.mark.parametrize("name", MAPS)
def test_no_worse_than_simple_ways(name: str) -> None:
    found = inner_summary(name)
    assert round(found["ratio_rms_of_span"], 2) <= max(SIMPLE_RATIO[name])
    assert round(found["efficiency_rms"], 2) <= max(SIMPLE_EFFICIENCY[name])


def test_table_of_the_study_is_what_it_finds() -> None:
    with RESULT.open(encoding="utf-8") as file:
        printed = list(csv.DictReader(file))
    found = [asdict(r) for results in ALL.values() for r in results]
    assert len(printed) == len(found)
    for row, result in zip(printed, found, strict=True):
        assert row["map"] == result["map"]
        for key, value in result.items():
            if isinstance(value, float):
                assert float(row[key]) == pytest.approx(value, abs=2e-3), (row["map"], row["speed_rpm"], key)


def test_design_point_of_the_four_to_one_impeller() -> None:
    # NASA TM 107541: filled marker of figure 3 at 10.059 lbm/s: pressure ratio 4.171, efficiency 0.867 (text).
    surface = compressor_surface(find_card("compressor", "cc3-vaneless"))
    ratio, efficiency = evaluate(surface, 21789.0 * np.pi / 30.0, np.array([10.059 * 0.45359237]))
    assert ratio[0] == pytest.approx(4.171, rel=1e-3)
    assert efficiency[0] == pytest.approx(0.867, abs=1e-3)


def test_quoted_point_of_eckardt() -> None:
    # Eckardt (1976), text: pressure ratio 2.1 and stage efficiency 0.88 at 14 000 rpm and 5.31 kg/s.
    surface = compressor_surface(find_card("compressor", "eckardt-o"))
    ratio, efficiency = evaluate(surface, 14000.0 * np.pi / 30.0, np.array([5.31]))
    assert ratio[0] == pytest.approx(2.1, abs=0.01)
    assert efficiency[0] == pytest.approx(0.88, abs=0.01)
