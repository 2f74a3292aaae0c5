"""Reading TOML on past faults: values as the standard library has them, lines, and every fault."""

from __future__ import annotations

import tomllib

from hypothesis import given, settings
from hypothesis import strategies as st
from sound_build import SOUND

from boostwright.build.toml_text import parse_text

MANY_FORMS = '''\
# comment with [brackets] and "quotes
title = "x"   # trailing [comment
"quoted key" = 1
[a]
b.c = 1
b.d = 'literal "quoted" # not a comment'
e = [1, 2, # one
     3,
]
f = { g = [1,
  2], h = "}" }
[a.i]
j = """
several
[not a header]
key = "not a key"
"""
k = \'\'\'
raw \\ text\'\'\'
[ l . m ]
n = 1979-05-27
'''


def test_values_are_those_of_the_standard_library() -> None:
    for text in (SOUND, MANY_FORMS, SOUND.replace("\n", "\r\n")):
        parsed = parse_text(text, "build.toml")
        assert parsed.faults == []
        assert parsed.data == tomllib.loads(text)


def test_lines_of_every_key() -> None:
    lines = parse_text(MANY_FORMS, "build.toml").lines
    assert lines == {
        ("title",): 2,
        ("quoted key",): 3,
        ("a",): 4,
        ("a", "b"): 5,
        ("a", "b", "c"): 5,
        ("a", "b", "d"): 6,
        ("a", "e"): 7,
        ("a", "f"): 10,
        ("a", "f", "g"): 10,
        ("a", "f", "h"): 11,
        ("a", "i"): 12,
        ("a", "i", "j"): 13,
        ("a", "i", "k"): 18,
        ("l",): 20,
        ("l", "m"): 20,
        ("l", "m", "n"): 21,
    }


def test_goes_on_after_a_fault() -> None:
    text = 'a = 83 mm\nb = "open\n[c]\nd = [1, 2\ne = 5\nf =\ng = 1,5\nnonsense\nh = 7\n'
    parsed = parse_text(text, "build.toml")
    assert [(fault.line, fault.key) for fault in parsed.faults] == [
        (1, "a"),
        (2, "b"),
        (4, "c.d"),
        (6, "c.f"),
        (7, "c.g"),
        (8, ""),
    ]
    assert parsed.data == {"c": {"e": 5, "h": 7}}
    assert parsed.broken == {("a",), ("b",), ("c", "d"), ("c", "f"), ("c", "g")}


def test_the_first_of_two_stands() -> None:
    parsed = parse_text("[a]\nb = 1\nb = 2\n[a]\nc = 3\n", "build.toml")
    assert [fault.line for fault in parsed.faults] == [3, 4]
    assert "first on line 2" in parsed.faults[0].message
    assert parsed.data == {"a": {"b": 1, "c": 3}}


def test_a_key_below_a_value() -> None:
    parsed = parse_text("a = 1\na.b = 2\n[a.c]\nd = 3\n", "build.toml")
    assert "a = { b = 2 }: stands here a second time; first on line 1" in str(parsed.faults[0])
    assert "stands under a, which is a value already, on line 1" in str(parsed.faults[1])


def test_a_broken_header_still_heads_its_keys() -> None:
    parsed = parse_text('[engine\nbore = "83 mm"\n', "build.toml")
    assert "is not closed" in str(parsed.faults[0]) or "no section header" in str(parsed.faults[0])
    assert parsed.data != {}


def test_stops_after_many_faults() -> None:
    parsed = parse_text("nonsense here\n" * 5000, "build.toml")
    assert len(parsed.faults) == 41
    assert "is where reading stopped" in str(parsed.faults[-1])


def test_deep_nesting_is_a_fault_and_no_crash() -> None:
    parsed = parse_text("a = " + "[" * 5000 + "]" * 5000 + "\n", "build.toml")
    assert "nested too deeply" in str(parsed.faults[0])


@settings(max_examples=300, derandomize=True)
@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    parsed = parse_text(text, "build.toml")
    try:
        expected = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        assert parsed.faults
    else:
        # What is not of this file's kind (lists of tables) is refused beyond what TOML allows.
        assert parsed.data == expected or parsed.faults


@settings(max_examples=200, derandomize=True)
@given(st.integers(0, len(SOUND) - 1), st.sampled_from(list("\"'[]{}=#,\n .x0\\")), st.booleans())
def test_one_slip_of_the_pen(place: int, sign: str, instead: bool) -> None:
    text = SOUND[:place] + sign + SOUND[place + (1 if instead else 0) :]
    parsed = parse_text(text, "build.toml")
    try:
        expected = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        assert parsed.faults
        assert all(0 <= fault.line <= text.count("\n") + 1 for fault in parsed.faults)
    else:
        assert parsed.faults == [] or "[[" in text
        assert parsed.data == expected or "[[" in text


def test_a_giant_number_is_a_fault_with_its_line() -> None:
    for digits in (20, 500, 5000):
        text = SOUND.replace("compression_ratio = 9.0", f"compression_ratio = {'9' * digits}")
        assert text != SOUND
        found = parse_text(text, "build.toml")
        assert [fault.key for fault in found.faults] == ["engine.compression_ratio"]
        assert found.faults[0].line > 1
        assert ("engine", "compression_ratio") in found.broken
