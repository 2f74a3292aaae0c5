"""The factor for dissociation against the study's own result, and its shape."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np

from boostwright.physics.cylinder.dissociation import dissociation_work_factor

RESULT = Path(__file__).parents[4] / "studies" / "dissociation" / "result.csv"


def test_fit_keeps_to_the_study() -> None:
    with RESULT.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    lam = np.array([float(row["lambda"]) for row in rows])
    ratio = np.array([float(row["work_ratio"]) for row in rows])
    assert len(rows) == 48
    np.testing.assert_allclose(dissociation_work_factor(lam), ratio, atol=0.001)


def test_loss_is_greatest_at_lambda_one_and_continuous() -> None:
    lam = np.linspace(0.7, 1.15, 4501)
    factor = dissociation_work_factor(lam)
    assert abs(lam[np.argmin(factor)] - 1.0) < 1e-9
    assert np.all((factor > 0.98) & (factor < 1.0))
    assert np.max(np.abs(np.diff(factor))) < 1e-4
