"""Reading of text on generated logs: numbers come back as they were written, whatever the habit; nothing crashes."""

from __future__ import annotations

import contextlib
import tempfile
from pathlib import Path

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from boostwright.logs.importers.header import name_and_unit, unique_names
from boostwright.logs.mapping.unit_words import find_unit
from boostwright.logs.mapping.words import spoken
from boostwright.logs.records import LogError
from boostwright.numerics.delimited import ODD_WIDTH, TENS, read_rows
from tests.support.read_log import read_back

QUICK = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def _read(data: bytes):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        path.write_bytes(data)
        return read_back(path)


def _kernel(text: str, columns: int, decimal: str = ".", separator: str = ";"):
    data = np.frombuffer(text.encode(), dtype=np.uint8)
    wide = np.full((columns, 64), np.inf)
    odd = np.empty((500, ODD_WIDTH), dtype=np.int64)
    marks = np.array([ord(separator), ord(decimal), 0, 0], dtype=np.int64)
    rows, odds, _, _ = read_rows(
        data, 0, data.size, marks, TENS, np.empty((columns, 64), dtype=np.float32), wide,
        np.arange(columns), odd, np.empty(64, dtype=np.int64), np.zeros(columns, dtype=np.int64),
    )  # fmt: skip
    return wide[:, :rows], odd[:odds]


@QUICK
@given(
    st.lists(st.floats(allow_nan=False, allow_infinity=False), min_size=1, max_size=30), st.sampled_from(".,")
)
def test_every_number_is_read_to_the_last_bit_or_left_over(values: list[float], decimal: str) -> None:
    """What the compiled reader takes is what Python reads from the same digits; the rest is handed on, not bent."""
    text = "".join(repr(v).replace(".", decimal) + ";1\n" for v in values)
    found, odd = _kernel(text, 2, decimal)
    left = set(odd[:, 0].tolist())
    for row, value in enumerate(values):
        if row not in left:
            assert found[0, row] == value, repr(value)


@QUICK
@given(st.lists(st.decimals(-99999, 99999, places=3), min_size=1, max_size=30))
def test_ordinary_readings_are_never_left_over(values) -> None:
    found, odd = _kernel("".join(f"{v};{v}\n" for v in values), 2)
    assert odd.shape[0] == 0
    np.testing.assert_array_equal(found[0], [float(v) for v in values])


@QUICK
@given(
    st.sampled_from([(",", "."), (";", "."), (";", ","), ("\t", "."), ("\t", ","), ("|", ".")]),
    st.sampled_from(["\n", "\r\n", "\r"]),
    st.sampled_from(["utf-8", "utf-16", "cp1252"]),
    st.integers(2, 6),
    st.integers(12, 60),
    st.booleans(),
    st.randoms(use_true_random=False),
)
def test_a_table_comes_back_whatever_the_habit(marks, end, encoding, columns, rows, units, random) -> None:
    separator, decimal = marks
    table = [[round(random.uniform(-50, 5000), 2) for _ in range(columns)] for _ in range(rows)]
    lines = [separator.join(["Zeit", *(f"Größe {k}" for k in range(columns))])]
    if units:
        lines.append(separator.join(["s", *("°C" for _ in range(columns))]))
    for k, values in enumerate(table):
        lines.append(separator.join([f"{k * 0.05:.2f}", *(f"{v:.2f}" for v in values)]).replace(".", decimal))
    tables, _ = _read(end.join([*lines, ""]).encode(encoding))
    assert len(tables) == 1
    np.testing.assert_allclose(tables[0].time, np.arange(rows) * 0.05, atol=1e-9)
    found = np.array(list(tables[0].columns.values())).T
    np.testing.assert_array_equal(found, np.array(table, dtype=np.float32).astype(float))


@QUICK
@given(st.binary(max_size=400))
def test_no_bytes_crash_it(data: bytes) -> None:
    with contextlib.suppress(LogError):
        _read(data)


@QUICK
@given(st.lists(st.text(alphabet="0123456789.,;:\t\n\r \"'#-+eEnaN\0°msk", max_size=30), max_size=20))
def test_no_text_of_the_usual_signs_crashes_it(lines: list[str]) -> None:
    data = ("Time;A;B\n0;1;2\n1;2;3\n" + "\n".join(lines)).encode()
    try:
        tables, _ = _read(data)
    except LogError:
        return
    for read in tables:
        assert np.isfinite(read.time).all()
        assert (np.diff(read.time) >= 0).all()


@QUICK
@given(st.text(max_size=60))
def test_any_name_can_be_judged(name: str) -> None:
    spoken(name)
    find_unit(name)
    name_and_unit(name)


@QUICK
@given(st.lists(st.sampled_from(["MAP", "MAP (2)", "", "RPM", "column 1", " "]), max_size=12))
def test_names_are_always_told_apart(names: list[str]) -> None:
    told, _, _ = unique_names(names)
    assert len(set(told)) == len(names)
