import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boostwright.cli.speeds import SpeedsError, parse_speeds

RPM = math.pi / 30


@pytest.mark.parametrize(
    ("text", "rpm"),
    [
        ("2000:3000:250 rpm", [2000, 2250, 2500, 2750, 3000]),
        ("2000:3000:300 rpm", [2000, 2300, 2600, 2900]),
        ("3000:3000:250 rpm", [3000]),
        ("4000rpm", [4000]),
        ("2000, 4000,3000 rpm", [2000, 3000, 4000]),
        ("2000, 2000 rpm", [2000]),
        (" 2:4:1 krpm ", [2000, 3000, 4000]),
        ("50 rev/s", [3000]),
        ("1500.5 rpm", [1500.5]),
        ("1e3:2e3:5e2 rpm", [1000, 1500, 2000]),
    ],
)
def test_ranges_and_lists(text: str, rpm: list[float]) -> None:
    assert parse_speeds(text) == pytest.approx([value * RPM for value in rpm])


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("2000:6500:250", "has no unit."),
        ("2000, 3000", 'write "2000, 3000 rpm"'),
        ("", "there is no number"),
        ("rpm", "there is no number"),
        ("2000:3000 rpm", "three parts"),
        ("1:2:3:4 rpm", "three parts"),
        ("3000:2000:250 rpm", "ends (2000) below its start (3000)"),
        ("2000:3000:0 rpm", "above zero"),
        ("2000:3000:-5 rpm", "above zero"),
        ("-100 rpm", "above zero"),
        ("0, 1000 rpm", "above zero"),
        ("1:100000:1 rpm", "the most is 5000"),
        ("two thousand rpm", "no number"),
        ("2000,,3000 rpm", '"" is not a number'),
        ("2000 bar", "bar"),
        ("2000;3000 rpm", "is not a number"),
        ("nan rpm", "no number"),
        ("1e999 rpm", "no meaning"),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_to_write(text: str, message: str) -> None:
    with pytest.raises(SpeedsError) as caught:
        parse_speeds(text)
    assert message in str(caught.value)
    assert "--speeds" in str(caught.value)


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_but_never_breaks(text: str) -> None:
    try:
        speeds = parse_speeds(text)
    except SpeedsError:
        return
    assert speeds == sorted(speeds)
    assert all(math.isfinite(speed) and speed > 0 for speed in speeds)
