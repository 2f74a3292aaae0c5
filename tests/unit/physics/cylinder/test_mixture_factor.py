"""Efficiency factor of the mixture against the fuel-air cycles it was fitted to."""

from __future__ import annotations

import csv

import numpy as np
import pytest

from boostwright.physics.cylinder.air_standard import mixture_efficiency_factor
from studies.fuel_air_cycle import fuel_air_cycle as study


def recorded() -> list[dict[str, float]]:
    with (study.HERE / "result.csv").open(encoding="utf-8", newline="") as file:
        return [{k: float(v) for k, v in row.items()} for row in csv.DictReader(file)]


def test_fit_keeps_to_the_computed_cycles() -> None:
    rows = recorded()
    lam, factor = (np.array([row[name] for row in rows]) for name in ("lambda", "factor"))
    assert np.max(np.abs(mixture_efficiency_factor(lam) - factor)) < 0.006
    assert float(mixture_efficiency_factor(1.0)) == 1.0


def test_cycles_are_what_the_study_recorded() -> None:
    gas = study.products()
    at_one = study.work_per_air(gas, 1.0, 9.0, 340.0, 1.6e5)
    for lam in (0.75, 0.82, 0.95, 1.1):
        row = next(
            r
            for r in recorded()
            if r["compression_ratio"] == 9.0 and r["start_k"] == 340.0 and r["lambda"] == lam
        )
        work = study.work_per_air(gas, lam, 9.0, 340.0, 1.6e5) / at_one
        assert work == pytest.approx(row["work_per_air"], rel=1e-3)
        assert study.released_per_air(lam) / study.released_per_air(1.0) == pytest.approx(
            row["released_per_air"], rel=1e-3
        )


def test_work_per_air_peaks_slightly_rich_and_falls_lean() -> None:
    lam = np.linspace(0.7, 1.2, 101)
    heat = np.array([study.released_per_air(float(value)) for value in lam])
    work = heat * np.asarray(mixture_efficiency_factor(lam))
    assert 0.88 < lam[int(np.argmax(work))] < 0.98
    assert work[-1] < 0.9 * work.max()
