"""What the screen says of a what-if's faults: the task's own words, and no option of the command line."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

import pytest

from boostwright.build import read_build
from boostwright.errors import Fault
from boostwright.tasks.whatif_cases import cases_of
from boostwright.tasks.whatif_file import WrittenWhatIf
from boostwright.tasks.whatif_spec import WhatIfError
from boostwright.web.screen_words import OPTIONS, REMEDIES, on_the_screen

ROOT = Path(__file__).resolve().parents[3]
BUILD = read_build(ROOT / "examples" / "transverse_three", ["plan.parts="])
OPTION = re.compile(r"--[a-z]")
ASKED: dict[str, tuple[Sequence[str], Sequence[str], bool]] = {
    "nothing": ([], [], False),
    "one value": (["turbine.choked_flow=0.02 kg/s*sqrt(K)/kPa"], [], False),
    "no key": (["turbine.size=1, 2"], [], False),
    "no card": ([], ["turbine"], False),
    "cards one at a time": ([], ["turbine=small"], True),
    "no band": (["engine.cylinders"], [], True),
}


def faults_of(vary: Sequence[str], cards: Sequence[str], alone: bool) -> list[Fault]:
    with pytest.raises(WhatIfError) as caught:
        cases_of(BUILD, vary, cards, WrittenWhatIf(), alone)
    return list(caught.value.faults)


@pytest.mark.parametrize("name", ASKED)
def test_no_option_is_named(name: str) -> None:
    for fault in faults_of(*ASKED[name]):
        shown = on_the_screen(fault)
        words = " ".join((shown.place, shown.message, shown.allowed, shown.remedy))
        assert not OPTION.search(words), words
        assert (shown.key, shown.value) == (fault.key, fault.value)
        assert bool(shown.remedy) == bool(fault.remedy)


@pytest.mark.parametrize("remedy", REMEDIES)
def test_every_remedy_is_one_that_a_task_gives(remedy: str) -> None:
    source = "".join(
        re.sub(r"""['"]\s*\n\s*['"]""", "", path.read_text(encoding="utf-8"))
        for path in (ROOT / "src" / "boostwright" / "tasks").glob("whatif*.py")
    )
    assert remedy in source


def test_the_options_are_those_of_the_command_line() -> None:
    import typer

    from boostwright.cli.main import app

    commands = typer.main.get_command(app).commands  # type: ignore[attr-defined]
    known = {option for command in commands.values() for one in command.params for option in one.opts}
    assert set(OPTIONS) <= known


def test_a_value_keeps_its_own_words() -> None:
    fault = Fault("build.toml", "engine.name", '"--vary"', "is no name.", remedy="Write one.")
    assert on_the_screen(fault) == fault
