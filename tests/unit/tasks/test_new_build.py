"""Beginning a build, and checking it."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from boostwright.build import read_build
from boostwright.build.schema import SECTIONS
from boostwright.build.template import template_text
from boostwright.errors import BuildError
from boostwright.tasks.check_build import check
from boostwright.tasks.new_build import example_names, new_build


def test_a_new_build_asks_for_every_key_it_needs_on_its_line(tmp_path: Path) -> None:
    made = new_build(tmp_path / "car")
    assert made.files == (Path("build.toml"),)
    text = (tmp_path / "car" / "build.toml").read_text(encoding="utf-8")
    result = check(tmp_path / "car")
    assert len(result.faults) > 20
    for fault in result.faults:
        assert "still empty" in fault.message
        assert fault.line
        key = fault.key.rpartition(".")[2]
        assert text.splitlines()[fault.line - 1] == f'{key} = ""'
        assert fault.remedy


def test_the_template_is_toml_and_shows_every_key() -> None:
    text = template_text()
    data = tomllib.loads(text)
    for section in SECTIONS:
        assert section.name in data
        for key in section.keys:
            assert f"\n{key} = " in text or f"\n# {key} = " in text, f"{section.name}.{key}"
    assert max(len(line) for line in text.splitlines() if line.startswith("#") and "{" not in line) <= 120


def test_a_template_filled_in_with_its_own_examples_is_a_sound_build(tmp_path: Path) -> None:
    """What the file suggests must be acceptable as it stands."""
    lines: list[str] = []
    suggested = ""
    for line in template_text().splitlines():
        if line.startswith("#   "):
            suggested = line[4:]
        if line.endswith('= ""') and suggested.split(" = ")[0] == line[:-5]:
            line = suggested
        if line.endswith('_basis = ""'):
            line = line.replace('""', {"pressure": '"station"', "valve_diameter": '"valve"'}[line[:-11]])
        lines.append(line)
    (tmp_path / "build.toml").write_text("\n".join(lines), encoding="utf-8")
    result = check(tmp_path)
    assert result.sound, "\n".join(str(fault) for fault in result.faults)


@pytest.mark.parametrize("example", ["hill_climb_estate", "transverse_three"])
def test_examples_are_sound_and_raise_no_question(tmp_path: Path, example: str) -> None:
    assert example in example_names()
    made = new_build(tmp_path / "copy", example=example.replace("_", "-"))
    assert made.example == example
    assert Path("build.toml") in made.files
    result = check(tmp_path / "copy")
    assert result.sound, "\n".join(str(fault) for fault in result.faults)
    assert result.warnings == ()
    assert result.build is not None
    assert result.build.provenance == "invented for the demo"


def test_the_two_examples_lie_both_ways(tmp_path: Path) -> None:
    ways = set()
    for example in example_names():
        folder = new_build(tmp_path / example, example=example).folder
        ways.add(read_build(folder)["engine"].text("orientation"))
    assert ways == {"longitudinal", "transverse"}


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    new_build(tmp_path)
    (tmp_path / "build.toml").write_text("mine")
    for example in (None, "hill_climb_estate"):
        with pytest.raises(BuildError, match="is there already, and nothing is overwritten"):
            new_build(tmp_path, example=example)
    assert (tmp_path / "build.toml").read_text() == "mine"
    assert [path.name for path in tmp_path.iterdir()] == ["build.toml"]


def test_an_unknown_example_names_the_others(tmp_path: Path) -> None:
    with pytest.raises(BuildError, match="Did you mean hill_climb_estate") as caught:
        new_build(tmp_path / "x", example="hill_climb_estat")
    assert "transverse_three" in str(caught.value)
    assert not (tmp_path / "x").exists()


def test_a_folder_that_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "car").write_text("x")
    with pytest.raises(BuildError, match="is a file"):
        new_build(tmp_path / "car")
    with pytest.raises(BuildError, match="cannot be written"):
        new_build(tmp_path / "car" / "inside")
