"""Bytes that are UTF-8, and bytes that are not."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boostwright.build.encoding import decode

TEXT = 'temperature = "20 °C"\nname = "Überland"\n'


def test_utf8_with_and_without_its_mark() -> None:
    assert decode(TEXT.encode("utf-8"), "build.toml") == (TEXT, [])
    assert decode(TEXT.encode("utf-8-sig"), "build.toml") == (TEXT, [])


@pytest.mark.parametrize("name", ["utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_wide_encodings_are_named_and_still_read(name: str) -> None:
    text, faults = decode(TEXT.encode(name), "build.toml")
    assert text == TEXT
    assert len(faults) == 1
    assert "not UTF-8" in faults[0].message


def test_cp1252_is_named_line_by_line_and_still_read() -> None:
    text, faults = decode(TEXT.encode("cp1252"), "build.toml")
    assert text == TEXT
    assert [fault.line for fault in faults] == [1, 2]
    assert "'Ü'" in faults[1].message


def test_many_bad_lines_are_summed_up() -> None:
    _, faults = decode("ä\n".encode("cp1252") * 9, "build.toml")
    assert len(faults) == 6
    assert "4 more lines" in faults[-1].message


@given(st.binary(max_size=300))
def test_any_bytes_give_text_or_a_fault(data: bytes) -> None:
    text, faults = decode(data, "build.toml")
    try:
        plain = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        assert faults
        return
    assert faults or text == plain
