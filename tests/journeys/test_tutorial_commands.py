"""Every command printed in the tutorial runs, in a copy outside the project, and shows what the text says."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

PAGE = Path(__file__).parents[2] / "docs" / "tutorial" / "1-first-prediction.md"
COMMANDS = re.findall(r"^    boostwright (.*)$", PAGE.read_text(encoding="utf-8"), re.MULTILINE)


def run(arguments: str, folder: Path) -> str:
    """Standard output of one command, run as a user would; it must succeed."""
    code = "from boostwright.cli.main import run; run()"
    done = subprocess.run(
        [sys.executable, "-c", code, *shlex.split(arguments)],
        cwd=folder,
        capture_output=True,
        text=True,
        env={**os.environ, "COLUMNS": "400", "MPLBACKEND": "Agg"},
    )
    assert done.returncode == 0, f"boostwright {arguments}\n{done.stdout}\n{done.stderr}"
    assert "Traceback" not in done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Command -> what it printed, all run in order in one folder."""
    folder = tmp_path_factory.mktemp("tutorial")
    printed = {command: run(command, folder) for command in COMMANDS}
    assert (folder / "plots" / "compressor-map.png").is_file()
    assert (folder / "prediction.csv").is_file()
    return printed


def boost(text: str) -> list[float]:
    """The boost column of a printed table, kPa gauge; points without a steady state left out."""
    rows = re.findall(r"^ +\d{4} .*$", text, re.MULTILINE)
    return [float(row.split()[3]) for row in rows if row.split()[3] != "-"]


def test_all_were_run(said: dict[str, str]) -> None:
    assert len(said) == len(COMMANDS) >= 8
    assert "0 faults" in said["check my-estate"]


def test_the_spring_alone_is_level_or_falls_and_the_back_facing_branch_climbs(said: dict[str, str]) -> None:
    spring = boost(said["predict my-estate --mode spring"])
    back = boost(next(text for command, text in said.items() if "takeoff_angle" in command))
    assert len(spring) > 15
    middle = len(spring) // 3  # past spool
    assert max(spring[middle:]) - spring[middle] < 5.0
    assert back[-1] - back[middle] > 5.0


def test_no_turbo_makes_no_boost(said: dict[str, str]) -> None:
    assert max(boost(said["predict my-estate --mode no-turbo"])) < 0.0
