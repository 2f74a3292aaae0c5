"""Numbers that stand for no value: found where they stand far outside, left alone where a reading climbs to them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boostwright.logs.mapping.channels import open_channels
from boostwright.logs.mapping.missing import CODES, missing_code, without_codes
from boostwright.tasks.import_log import import_logs


@pytest.mark.parametrize(
    "code", [65535, 6553.5, 655.35, 65.535, 3276.7, 32767, -32768, -3276.8, 9999, -999, 4294967295]
)
def test_a_code_among_readings_is_no_value(code: float) -> None:
    """One row or many of them, kept in single or double precision."""
    readings = np.linspace(0.9, 1.1, 40)
    for rows in (slice(3, 4), slice(5, 30)):
        for kind in (np.float32, np.float64):
            values = readings.copy()
            values[rows] = code
            cleared, codes = without_codes(values.astype(kind).astype(float))
            assert len(codes) == 1
            assert np.isnan(cleared[rows]).all()
            assert np.isfinite(cleared).sum() == 40 - (rows.stop - rows.start)


def test_two_codes_at_both_ends() -> None:
    values = np.linspace(20.0, 80.0, 30)
    values[4], values[9] = 32767, -32768
    cleared, codes = without_codes(values)
    assert sorted(codes) == [-32768, 32767]
    assert np.isnan(cleared).sum() == 2


@given(st.sampled_from(sorted(CODES)), st.floats(0.4, 1.0), st.integers(5, 200))
@settings(max_examples=100, deadline=None)
def test_a_reading_that_climbs_to_the_number_keeps_it(code: float, start: float, count: int) -> None:
    """From anywhere within half of it: the spread of the others is then no less than a half of the gap."""
    values = code * np.append(np.linspace(1.0 - start, 1.0, count)[:-1], 1.0)
    assert missing_code(values) is None
    same, codes = without_codes(values)
    assert same is values
    assert codes == ()


def test_nothing_but_the_number_is_left_for_others_to_judge() -> None:
    assert missing_code(np.full(9, 65535.0)) is None


def test_a_log_with_codes_is_mapped_by_its_readings_and_read_without_them(tmp_path: Path) -> None:
    """A lambda at the end of its counter, an exhaust temperature not answered; the raw column keeps them."""
    rows = ["Time [s];Engine speed [rpm];Lambda;EGT 1 [degC]"]
    for k in range(200):
        lambda_, egt = (65.535 if k < 50 else 0.90), (3276.7 if k % 7 == 0 else 600 + k)
        rows.append(f"{k / 10:.1f};{1500 + 20 * k};{lambda_};{egt}")
    file = tmp_path / "codes.csv"
    file.write_text("\n".join(rows) + "\n")
    (log,) = import_logs([file], tmp_path / "logs").logs
    by_column = {p.column: p for p in log.proposals}
    assert by_column["Lambda"].choice is not None
    assert by_column["Lambda"].choice.channel == "lambda"
    assert "65.535 taken for no value" in by_column["Lambda"].reason
    channels = open_channels(log.entry.folder)
    lambda_ = channels.read("lambda").value
    assert np.isnan(lambda_[:50]).all()
    np.testing.assert_allclose(lambda_[50:], 0.90, atol=1e-6)
    egt = channels.read("egt_reading_1").value
    assert np.isnan(egt[::7]).all()
    assert np.nanmax(egt) < 1200.0
