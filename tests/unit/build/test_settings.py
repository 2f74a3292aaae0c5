"""Settings for one run."""

from __future__ import annotations

from pathlib import Path

import pytest
from sound_build import write_build

from boostwright.build import Build, read_build, with_settings
from boostwright.errors import BuildError


@pytest.fixture
def build(tmp_path: Path) -> Build:
    return read_build(write_build(tmp_path))


def test_a_setting_changes_that_and_nothing_else(build: Build) -> None:
    before = build.path.read_bytes()
    other = with_settings(build, ["wastegate.takeoff_angle=150 deg"])
    assert other["wastegate"].si("takeoff_angle") == pytest.approx(2.617993878)
    assert other["wastegate"].written("takeoff_angle")
    assert build["wastegate"].si("takeoff_angle") == pytest.approx(0.523598776)
    for name, section in build.sections.items():
        for key in section.values:
            if (name, key) != ("wastegate", "takeoff_angle"):
                assert other[name].values[key] == section.values[key]
    assert build.path.read_bytes() == before


@pytest.mark.parametrize(
    ("setting", "section", "key", "expected"),
    [
        ("engine.cylinders=4", "engine", "cylinders", 4.0),
        ("engine.compression_ratio = 8.5", "engine", "compression_ratio", 8.5),
        ("ambient.relative_humidity=80 %", "ambient", "relative_humidity", 0.8),
        ('engine.bore="81 mm"', "engine", "bore", 0.081),
        ("ambient.pressure=990 hPa station", "ambient", "pressure", 99000.0),
        ("limits.egt_reading_margin=20 K", "limits", "egt_reading_margin", 20.0),
        ("fuel.lambda_target=0.88", "fuel", "lambda_target", 0.88),
    ],
)
def test_values_are_read_as_in_the_file(
    build: Build, setting: str, section: str, key: str, expected: float
) -> None:
    assert with_settings(build, [setting])[section].si(key) == pytest.approx(expected)


def test_words_curves_and_parts_of_curves(build: Build) -> None:
    assert with_settings(build, ["wastegate.outlet=open"])["wastegate"].text("outlet") == "open"
    curve = '{ speed = [2000, 6000], unit = "rpm", value = [170, 180], value_unit = "kPa", value_basis = "absolute" }'
    other = with_settings(build, [f"boost_control.target={curve}"])
    assert other["boost_control"].curve("target").value_points == (170e3, 180e3)
    other = with_settings(build, ["boost_control.target.value=[170, 185]"])
    assert other["boost_control"].curve("target").value_points == (170e3, 185e3)
    other = with_settings(build, ["boost_control.target=0.75 bar gauge"])
    assert other["boost_control"].curve("target").value_points == pytest.approx((176.3e3,))


def test_a_new_basis_takes_the_place_of_the_files(build: Build) -> None:
    other = with_settings(build, ["ambient.pressure=1013.25 hPa QNH", "ambient.altitude=2000 m"])
    assert other["ambient"].si("pressure") == pytest.approx(79495.2, abs=0.1)
    other = with_settings(
        build, ["ambient.pressure=1013.25 hPa", "ambient.pressure_basis=QNH", "ambient.altitude=2000 m"]
    )
    assert other["ambient"].si("pressure") == pytest.approx(79495.2, abs=0.1)


def test_later_settings_win_and_earlier_ones_stay(build: Build) -> None:
    other = with_settings(build, ["engine.cylinders=4", "engine.cylinders=6"])
    other = with_settings(other, ["engine.bore=81 mm"])
    assert other["engine"].integer("cylinders") == 6
    assert other["engine"].si("bore") == pytest.approx(0.081)
    assert other.source.settings == ("engine.cylinders=4", "engine.cylinders=6", "engine.bore=81 mm")


def test_an_empty_value_takes_the_key_out(build: Build) -> None:
    other = with_settings(build, ["boost_control.target=", "prediction.mode="])
    assert not other["boost_control"].has("target")
    assert other["prediction"].text("mode") == "spring"


def test_the_mode_counts_before_the_checks(tmp_path: Path) -> None:
    build = read_build(
        write_build(tmp_path), ["prediction.mode=spring", "wastegate.spring_rating=0.8 bar gauge"]
    )
    assert build["wastegate"].si("spring_rating") == 80000.0
    assert [warning.place for warning in build.warnings] == ["--set wastegate.spring_rating=0.8 bar gauge"]


@pytest.mark.parametrize(
    ("setting", "words"),
    [
        ("wastegate.spring_rte=9 N/mm", ("is no key of [wastegate]", "Did you mean spring_rate?")),
        ("wastgate.spring_rate=9 N/mm", ("is no section", "Did you mean [wastegate]?")),
        ("wastegate.spring_rate=9", ("has no unit",)),
        ("wastegate.spring_rating=0.5 bar", ("does not say that it is gauge",)),
        ("wastegate.kind=popet", ('Did you mean "poppet"?',)),
        ("engine.cylinders=five", ("is text",)),
        ("engine.cylinders=nan", ("is not a finite number",)),
        ("turbine.a_r=82", ("Did you mean 0.82?",)),
        ("engine.bore.speed=3", ("engine.bore is a value, not a section or a curve",)),
        ("spring_rate=9 N/mm", ("is no key of a build file", "It belongs below [wastegate]")),
        ("wastegate", ("has no equals sign", "section.key=value")),
        ("=3", ("names no key",)),
        ("wastegate..spring_rate=3", ("names no key",)),
    ],
)
def test_refused_settings_name_themselves_as_the_place(
    build: Build, setting: str, words: tuple[str, ...]
) -> None:
    with pytest.raises(BuildError) as caught:
        with_settings(build, [setting])
    assert len(caught.value.faults) == 1
    assert str(caught.value).startswith(f"--set {setting}")
    for word in words:
        assert word in str(caught.value)


def test_all_refused_settings_come_at_once(build: Build) -> None:
    with pytest.raises(BuildError) as caught:
        with_settings(build, ["engine.bore=83", "engine.strok=92 mm", "oil"])
    assert len(caught.value.faults) == 3
