"""The form of a build: every key, what stands there, what is wrong beside it."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from served import EXAMPLES, copy_of
from sound_build import SOUND, write_build

from boostwright.build.schema import SECTIONS, TOP_LEVEL
from boostwright.build.settings import apply_settings
from boostwright.errors import BuildError
from boostwright.report.form_json import form_plain
from boostwright.tasks.form import Form, build_form, settings_of
from boostwright.tasks.form_fields import Field


def _field(form: Form, key: str) -> Field:
    found = [field for section in form.sections for field in section.fields if field.key == key]
    assert len(found) == 1
    return found[0]


@pytest.mark.parametrize("example", ["hill_climb_estate", "transverse_three"])
def test_every_key_of_the_schema_is_there_once(example: str) -> None:
    form = build_form(EXAMPLES / example, {})
    keys = [field.key for section in form.sections for field in section.fields]
    wanted = [p.name for p in TOP_LEVEL.parameters]
    wanted += [f"{section.name}.{p.name}" for section in SECTIONS for p in section.parameters]
    assert keys == wanted
    assert not form.faults
    for section in form.sections:
        for field in section.fields:
            assert field.status in ("written", "card", "default", "none")
            assert field.status_words
            assert not field.faults


@pytest.mark.parametrize("example", ["hill_climb_estate", "transverse_three"])
def test_what_stands_in_a_field_laid_over_the_file_changes_nothing(example: str) -> None:
    """The text of a field is one that a setting takes, and it says the same."""
    folder = EXAMPLES / example
    data = tomllib.loads((folder / "build.toml").read_text(encoding="utf-8"))
    form = build_form(folder, {})
    texts = {f.key: f.text for section in form.sections for f in section.fields if f.text is not None}
    assert len(texts) > 60
    for key, text in texts.items():
        again = apply_settings(data, settings_of({key: text})).data
        here, there = data, again
        for part in key.split("."):
            here, there = here[part], there[part]
        assert there == here or str(there) == str(here), key
    assert not build_form(folder, dict(texts)).faults


def test_a_field_says_what_it_is() -> None:
    form = build_form(EXAMPLES / "hill_climb_estate", {})
    spring = _field(form, "wastegate.spring_rating")
    assert (spring.text, spring.basis, spring.status) == ("0.6 bar gauge", "gauge", "written")
    assert spring.value is not None
    assert spring.value.si == pytest.approx(60000.0)
    assert spring.units[0] == "Pa"
    assert spring.bounds.low == pytest.approx(1000.0)
    assert spring.needed
    valve = _field(form, "wastegate.valve_diameter")
    assert (valve.basis, valve.basis_key) == ("valve", "valve_diameter_basis")
    coefficient = _field(form, "wastegate.discharge_coefficient")
    assert (coefficient.text, coefficient.shown, coefficient.status) == (None, "0.72", "default")
    assert "from memory" in coefficient.status_words
    assert coefficient.band is not None
    assert (coefficient.band.origin, coefficient.band.below) == ("default", (0.1,))
    target = _field(form, "boost_control.target")
    assert target.curve is not None
    assert target.curve.speeds == (2500, 3500, 5000, 6500)
    assert target.curve.values_si[0] == 165000.0
    assert target.text is not None
    assert target.text.startswith("{ speed = [2500,")
    assert not _field(form, "wastegate.lever_arm_flap").used
    assert form.cards["compressor"] == "estate-112mm"
    assert any(default.key == "wastegate.discharge_coefficient" for default in form.defaults)


def test_changes_are_laid_over_and_nothing_is_written(tmp_path: Path) -> None:
    folder = copy_of("hill_climb_estate", tmp_path)
    before = (folder / "build.toml").read_bytes()
    changes: dict[str, str | None] = {
        "engine.bore": "84",
        "wastegate.discharge_coefficient": "0.7 +- 0.05",
        "ambient.altitude": None,
        "compressor.surge_margin_wanted": "",
    }
    form = build_form(folder, changes)
    bore = _field(form, "engine.bore")
    assert (bore.text, bore.status) == ("84", "changed")
    assert [fault.message for fault in bore.faults] == ["has no unit."]
    assert not _field(form, "engine.stroke").faults
    band = _field(form, "wastegate.discharge_coefficient").band
    assert band is not None
    assert (band.origin, band.below) == ("written", (0.05,))
    assert _field(form, "compressor.surge_margin_wanted").text is None
    assert (folder / "build.toml").read_bytes() == before


def test_a_faulty_build_gives_its_form(tmp_path: Path) -> None:
    text = SOUND.replace('bore = "83 mm"', 'bore = "83"').replace('stroke = "92 mm"', "stroke = 92,0")
    form = build_form(write_build(tmp_path, text), {})
    assert len(form.faults) == 2
    assert _field(form, "engine.bore").text == "83"
    assert _field(form, "engine.bore").faults
    stroke = _field(form, "engine.stroke")
    assert stroke.text == "92,0"
    assert "comma" in stroke.faults[0].message
    assert _field(form, "engine.cylinders").value is not None
    plain = form_plain(form, "x")
    assert len(plain["faults"]) == 2


def test_no_file_no_form(tmp_path: Path) -> None:
    with pytest.raises(BuildError):
        build_form(tmp_path, {})
    (tmp_path / "build.toml").write_text("")
    with pytest.raises(BuildError, match="is empty"):
        build_form(tmp_path, {})


def test_a_template_is_a_form_to_fill_in(tmp_path: Path) -> None:
    from boostwright.tasks.new_build import new_build

    new_build(tmp_path / "car")
    form = build_form(tmp_path / "car", {})
    assert len(form.faults) > 10
    needed = [field.key for section in form.sections for field in section.fields if field.needed]
    assert "engine.bore" in needed
    assert form_plain(form, "car")["sections"]


def test_another_altitude_is_the_same_weather_there(tmp_path: Path) -> None:
    folder = EXAMPLES / "hill_climb_estate"
    altitude = _field(build_form(folder, {}), "ambient.altitude")
    assert altitude.along == {"ambient.pressure": "1013.00 hPa QNH"}
    changed = build_form(folder, {"ambient.altitude": "1500 m", **altitude.along})
    assert not changed.faults
    pressure = _field(changed, "ambient.pressure").value
    assert pressure is not None
    assert pressure.si == pytest.approx(84500.0, rel=0.01)  # ISO 2533 at 1 500 m: 84.56 kPa
    assert not _field(changed, "ambient.altitude").along
    assert not _field(build_form(EXAMPLES / "transverse_three", {}), "ambient.altitude").along
