"""The compressor mean line against three open machines, from their dimensions: acceptance and named misses.

Accepted: choked flow within 5 %, peak pressure ratio within 5 %, best efficiency within 4 points, for at least two.
Sources: NASA TM 107541 (1997), figure 3; NASA HECC data archive (Harrison et al. 2023); Eckardt (1976), digitised.
"""

from __future__ import annotations

import csv
import functools
from dataclasses import replace

import numpy as np
import pytest

from boostwright.components.compressor_wheel import LOSS_SET
from studies.mean_line.check_machines import ACCEPTED, HERE, SETS, Row, rows_of, used_by_points, verdict
from studies.mean_line.machines import MACHINES


@functools.cache
def rows_as_shipped(machine: str) -> list[Row]:
    """Measured beside computed, with the losses that are shipped."""
    return rows_of(machine, LOSS_SET)


@pytest.mark.parametrize("machine", ["cc3-vaneless", "hecc-vaneless"])
def test_two_machines_are_met_in_all_three(machine: str) -> None:
    for error, accepted in zip(verdict(rows_as_shipped(machine)), ACCEPTED, strict=True):
        assert abs(error) <= accepted


def test_third_machine_is_met_in_ratio_and_efficiency_but_not_at_its_right_end() -> None:
    """The miss is kept here so that nobody forgets it: the line falls earlier than ours."""
    flow, ratio, efficiency = verdict(rows_as_shipped("eckardt-o"))
    assert abs(ratio) <= ACCEPTED[1]
    assert abs(efficiency) <= ACCEPTED[2]
    assert 0.15 < flow < 0.35


def test_every_machine_judges_the_shipped_set_better_than_the_first() -> None:
    """So whichever is left out, the other two choose the shipped set (all measured points, root mean square)."""
    for machine in MACHINES:
        assert used_by_points(machine, SETS["shipped"]) < used_by_points(machine, SETS["first"])


def test_table_that_is_shipped_is_the_one_that_is_made() -> None:
    with (HERE / "result.csv").open(encoding="utf-8") as file:
        shipped = [row for row in csv.DictReader(file) if row["set"] == "shipped"]
    made = [row for machine in MACHINES for row in rows_as_shipped(machine)]
    assert len(shipped) == len(made) == 13
    for row, ours in zip(shipped, made, strict=True):
        assert float(row["peak_ratio_computed"]) == pytest.approx(ours.peak_ratio[1], rel=1e-3)
        assert float(row["efficiency_computed"]) == pytest.approx(ours.best_efficiency[1], abs=1e-3)


def test_the_check_can_fail() -> None:
    """A wheel with another backsweep is told from the right one."""
    wheel = replace(MACHINES["cc3-vaneless"], backsweep=float(np.deg2rad(30.0)))
    assert abs(verdict(rows_of("cc3-vaneless", LOSS_SET, wheel))[1]) > 2 * ACCEPTED[1]
