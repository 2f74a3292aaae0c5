"""Changing a build file's text: every letter that is not meant stays, whatever the file looks like."""

from __future__ import annotations

import random
import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sound_build import SOUND

from boostwright.build.settings import apply_settings
from boostwright.build.toml_spots import setting_text, spots_of, toml_text
from boostwright.build.toml_text import parse_text
from boostwright.build.writer import edited_bytes, edited_text
from boostwright.errors import BuildError

EXAMPLES = Path(__file__).parents[3] / "examples"
TEXTS = [path.read_text(encoding="utf-8") for path in sorted(EXAMPLES.glob("*/build.toml"))]
SETTINGS = (
    "engine.bore=84 mm",
    "engine.compression_ratio=9.50",
    "engine.stroke=",
    "fuel.lambda_target=0.9",
    'fuel.lambda_target={ speed = [2000, 6000], unit = "rpm", value = [0.90, 0.80] }',
    "fuel.lambda_target.value=[0.9, 0.8, 0.8, 0.8]",
    "name=Another # name",
    "wastegate=",
    "limits.own.hot.quantity=temperature_em",
    "limits.own.hot.upper=950 degC",
    "plan.prices_in=EUR",
    "ambient.pressure=98 kPa station",
    "cylinder.wall_heat_factor=1.10 +- 0.1",
    'plan.parts=[{ name = "a # b", settings = ["engine.bore=84 mm"], price = "1 EUR" }]',
    "throttle.bore=60 mm",
    "ambient.altitude=",
)
ODD = (
    "# only a comment\n",
    'a = 1\r\n[s] # head\r\nb = "x" # y\r\n\r\n# before t\r\n[t]\r\nc = 1',
    "[s]\n'quoted key' = 1 # one\n\"other\" = '''two\nlines # not a comment\n''' # three\n",
    '[fuel.lambda_target] # as a section\nspeed = [1, 2] # speeds\nvalue = [\n  1, # first\n  2,\n]\nunit = "rpm"\n',
    "s.dotted = 1 # a\n[t]\nu.v.w = { x = 1, y = [1, 2] } # deep\n",
    "\n\n   \n[s]\n   indented = 1   # c\n\t\n#end",
    "",
)
COMMENT = re.compile(r"#[^\n\r]*")


def _comments(text: str) -> list[str]:
    """Comments of a text, found by the places of its values and not by the reader under test."""
    inside = [(spot.value, spot.value_end) for spot in spots_of(text)]
    return [
        found.group()
        for found in COMMENT.finditer(text)
        if not any(a <= found.start() < b for a, b in inside)
    ]


@pytest.mark.parametrize("text", TEXTS)
def test_many_changes_at_once_say_what_they_should_and_keep_every_comment(text: str) -> None:
    rng = random.Random(3)
    for _ in range(60):
        chosen = rng.sample(SETTINGS, rng.randint(1, 6))
        new = edited_text(text, chosen)
        wanted = apply_settings(tomllib.loads(text), chosen).data
        found = tomllib.loads(new)
        for name, section in wanted.items():
            assert found.get(name, {}) == section
        assert set(found) == {name for name in wanted if name in found}
        assert _comments(new) == _comments(text)
        touched = {setting.partition("=")[0].split(".")[0] for setting in chosen}
        for line in text.splitlines():
            key = line.partition("=")[0].strip()
            if key == "pressure_basis":
                continue  # a pressure that says its own basis takes it out
            if not any(key in setting for setting in chosen) and not touched & {"wastegate", "plan"}:
                assert line in new


@pytest.mark.parametrize("text", ODD)
@pytest.mark.parametrize(
    "setting", ["s.b=2", "s.new=3 mm", "t.u.v.w=5", "fuel.lambda_target=0.9", "fuel.card=x", "name=y"]
)
def test_odd_files_are_changed_rightly_or_not_at_all(text: str, setting: str) -> None:
    before = parse_text(text, "").data
    try:
        new = edited_text(text, [setting])
    except BuildError:
        return
    wanted = {name: value for name, value in apply_settings(before, [setting]).data.items() if value != {}}
    assert {name: value for name, value in tomllib.loads(new).items() if value != {}} == wanted
    assert set(_comments(text)) <= set(_comments(new))
    assert ("\r\n" in text) == ("\r\n" in new) or not text


@settings(deadline=None, max_examples=150)
@given(st.text(max_size=60), st.integers(0, len(SOUND)), st.sampled_from(SETTINGS))
def test_a_damaged_file_is_never_made_worse(more: str, place: int, setting: str) -> None:
    text = SOUND[:place] + more.replace("\r", "") + SOUND[place:]
    before = parse_text(text, "")
    try:
        new = edited_text(text, [setting])
    except BuildError:
        return
    after = parse_text(new, "")
    assert after.broken <= before.broken
    assert len(after.faults) <= len(before.faults)


def test_a_broken_line_is_mended_by_setting_it() -> None:
    text = SOUND.replace("compression_ratio = 9.0", "compression_ratio = 9,0   # as it was")
    new = edited_text(text, ["engine.compression_ratio=9.0"])
    assert new == SOUND.replace("compression_ratio = 9.0", "compression_ratio = 9.0   # as it was")
    new = edited_text(text, ["engine.bore=84 mm"])
    assert "9,0   # as it was" in new


def test_bytes_that_are_no_text_are_refused() -> None:
    for data in (b"\xff\xfea\x00", b"name = \xe9", b"a = 1\0"):
        with pytest.raises(BuildError):
            edited_bytes(data, ["name=x"])


def test_numbers_stay_as_they_were_typed() -> None:
    assert "compression_ratio = 9.50" in edited_text(SOUND, ["engine.compression_ratio=9.50"])


@given(
    st.recursive(
        st.one_of(
            st.text(max_size=20),
            st.integers(-(2**40), 2**40),
            st.booleans(),
            st.floats(allow_nan=False, allow_infinity=False),
        ),
        lambda inner: (
            st.lists(inner, max_size=3) | st.dictionaries(st.text(min_size=1, max_size=6), inner, max_size=3)
        ),
        max_leaves=6,
    )
)
def test_values_are_written_as_toml_reads_them(value: object) -> None:
    assert tomllib.loads(f"value = {toml_text(value)}")["value"] == value


@given(st.text(min_size=1, max_size=30))
def test_a_text_as_a_setting_is_that_text_again(text: str) -> None:
    found = apply_settings({}, [f"name={setting_text(text)}"]).data
    assert found["name"] == text
