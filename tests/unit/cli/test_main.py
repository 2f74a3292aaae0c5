"""The command line around its tasks, which are stood in for here: options, streams, files and exit codes."""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from made_up_prediction import RPM, made_up_prediction

import boostwright.tasks.check_build
import boostwright.tasks.new_build
from boostwright.cli.main import main
from boostwright.errors import BuildError, Fault


@dataclass
class Task:
    """Stands in for the task: answers with the made-up prediction and keeps what it was asked."""

    unsolved: tuple[int, ...] = (20,)
    compiling: bool = False
    error: Exception | None = None
    asked: dict[str, Any] = field(default_factory=dict)

    def needs_compiling(self) -> bool:
        return self.compiling

    def predict(self, folder: Path, **request: Any) -> Any:
        self.asked = {"folder": folder, **request}
        if self.error is not None:
            raise self.error
        return made_up_prediction(unsolved=self.unsolved)


@pytest.fixture
def task(monkeypatch: pytest.MonkeyPatch) -> Task:
    stand_in = Task()
    monkeypatch.setattr(boostwright.tasks, "predict", stand_in, raising=False)
    return stand_in


Captured = Callable[[], tuple[str, str]]


@pytest.fixture
def streams(capsys: pytest.CaptureFixture[str]) -> Captured:
    def read() -> tuple[str, str]:
        out, err = capsys.readouterr()
        return out, err

    return read


def test_predict_prints_the_table_on_standard_output_alone(task: Task, streams: Captured) -> None:
    assert main(["predict", "car"]) == 0
    out, err = streams()
    assert out.startswith("made-up estate: mode target")
    assert err == "warning: build.toml, line 7, turbine.a_r = 0.82: an A/R is no area.\n"
    assert task.asked == {"folder": Path("car"), "mode": None, "settings": (), "speeds": None}


def test_predict_passes_every_option_on(task: Task) -> None:
    options = [
        "--mode",
        "spring",
        "--set",
        "a.b=1",
        "--set",
        "c.d=0.8 bar gauge",
        "--speeds",
        "2000, 3000 rpm",
    ]
    assert main(["predict", "car/build.toml", *options]) == 0
    assert task.asked["folder"] == Path("car")
    assert task.asked["mode"] == "spring"
    assert task.asked["settings"] == ("a.b=1", "c.d=0.8 bar gauge")
    assert task.asked["speeds"] == pytest.approx([2000 * RPM, 3000 * RPM])


def test_json_to_the_terminal_is_json_and_nothing_else(task: Task, streams: Captured) -> None:
    task.compiling = True
    assert main(["predict", "car", "--json", "-"]) == 0
    out, err = streams()
    assert json.loads(out)["build"] == "made-up estate"
    assert "Compiling the solver" in err
    assert "made-up estate: mode target" in err


def test_the_first_run_says_that_it_compiles_and_later_ones_do_not(task: Task, streams: Captured) -> None:
    task.compiling = True
    main(["predict", "car"])
    out, err = streams()
    assert err.count("Compiling the solver for this machine") == 1
    assert "Compiling" not in out
    task.compiling = False
    main(["predict", "car"])
    assert "Compiling" not in streams()[1]


def test_files_are_written_where_asked(task: Task, streams: Captured, tmp_path: Path) -> None:
    options = ["--json", f"{tmp_path}/a.json", "--csv", f"{tmp_path}/a.csv", "--plot", f"{tmp_path}/plots"]
    assert main(["predict", "car", *options]) == 0
    assert json.loads((tmp_path / "a.json").read_text())["program"] == "boostwright"
    assert (tmp_path / "a.csv").read_text().startswith("engine_speed,")
    assert len(list((tmp_path / "plots").glob("*.svg"))) == 5
    out, err = streams()
    assert err.count("Written: ") == 3
    assert "Written" not in out


def test_points_without_steady_state_are_part_of_an_answer(task: Task) -> None:
    task.unsolved = (3, 4, 20)
    assert main(["predict", "car"]) == 0


def test_nothing_solved_is_its_own_exit_code_and_prints_the_reasons(task: Task, streams: Captured) -> None:
    task.unsolved = tuple(range(21))
    assert main(["predict", "car"]) == 3
    out, err = streams()
    assert "No steady state at 21 of 21 points" in out
    assert "runs-away" in out
    assert "not one point has a steady state" in err


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (["--speeds", "2000:6500:250"], "has no unit"),
        (["--csv", "car/build.toml"], "describes a car or a part"),
        (["--json", f"{__file__}/a.json"], "is a file, not a folder"),
        (["--plot", __file__], "is a file, not a folder"),
        (["--mode", "warp"], "warp"),
        (["--colour", "red"], "--colour"),
        (["--set"], "--set"),
    ],
)
def test_a_wrong_option_is_refused_before_any_work(
    task: Task, streams: Captured, options: list[str], message: str
) -> None:
    assert main(["predict", "car", *options]) == 2
    out, err = streams()
    assert message in err
    assert "Traceback" not in err
    assert out == ""
    assert task.asked == {}


def test_a_faulty_build_lists_its_faults_on_standard_error(task: Task, streams: Captured) -> None:
    task.error = BuildError(
        [
            Fault("build.toml, line 4", "engine.bore", "83", "has no unit.", "a length", 'Write "83 mm".', 4),
            Fault("build.toml, line 9", "engine.color", "1", "is not a key.", "", "Take it out.", 9),
        ]
    )
    assert main(["predict", "car"]) == 2
    out, err = streams()
    assert out == ""
    assert "build.toml, line 4, engine.bore = 83: has no unit." in err
    assert "build.toml, line 9" in err
    assert "Traceback" not in err


def test_an_error_of_ours_is_one_line_and_how_to_see_more(
    task: Task, streams: Captured, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("BOOSTWRIGHT_TRACEBACK", raising=False)
    task.error = ZeroDivisionError("division\nby zero" + 50 * " and more")
    assert main(["predict", "car"]) == 4
    out, err = streams()
    assert out == ""
    assert "error inside the program, not in your input: ZeroDivisionError: division by zero and more" in err
    assert max(len(line) for line in err.splitlines()) < 300
    assert len(err.splitlines()) == 2
    assert "BOOSTWRIGHT_TRACEBACK=1" in err
    assert "Traceback" not in err
    monkeypatch.setenv("BOOSTWRIGHT_TRACEBACK", "1")
    assert main(["predict", "car"]) == 4
    assert "Traceback (most recent call last)" in streams()[1]


def test_an_interrupt_is_no_error(task: Task, streams: Captured) -> None:
    def interrupt(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    task.predict = interrupt  # type: ignore[method-assign]
    assert main(["predict", "car"]) == 130
    assert "Traceback" not in streams()[1]


def test_check_counts_and_refuses(monkeypatch: pytest.MonkeyPatch, streams: Captured) -> None:
    fault = Fault("build.toml, line 4", "engine.bore", "830 mm", "is large.", "", "Look again.", 4)
    faults: list[Fault] = []
    asked: list[object] = []

    def check(folder: Path, settings: tuple[str, ...]) -> SimpleNamespace:
        asked.append((folder, settings))
        default = SimpleNamespace(key="shaft.mechanical_efficiency", value="0.95", status="from memory")
        return SimpleNamespace(
            folder=folder, faults=faults, warnings=[fault], defaults_used=[default], sound=not faults
        )

    monkeypatch.setattr(boostwright.tasks.check_build, "check", check)
    assert main(["check", "car/build.toml", "--set", "engine.bore=830 mm"]) == 0
    out, err = streams()
    assert out.startswith("car: 0 faults, 1 warning.\nLeft to their default, confirmed by nobody: 1 value.\n")
    assert "from memory: shaft.mechanical_efficiency = 0.95" in out
    assert err.startswith("warning: build.toml, line 4, engine.bore = 830 mm: is large.")
    assert asked == [(Path("car"), ("engine.bore=830 mm",))]
    faults.extend([fault, fault])
    assert main(["check", "car"]) == 2
    out, err = streams()
    assert out.startswith("car: 2 faults, 1 warning.")
    assert err.count("fault: ") == 2


@pytest.mark.parametrize(
    ("example", "given"), [([], None), (["--example", "transverse-three"], "transverse-three")]
)
def test_new_says_what_it_made_and_what_comes_next(
    monkeypatch: pytest.MonkeyPatch, streams: Captured, example: list[str], given: str | None
) -> None:
    asked: list[object] = []

    def new_build(folder: Path, *, example: str | None) -> SimpleNamespace:
        asked.extend([folder, example])
        return SimpleNamespace(folder=folder, files=(Path("build.toml"), Path("cards/a.toml")))

    monkeypatch.setattr(boostwright.tasks.new_build, "new_build", new_build)
    assert main(["new", "my car", *example]) == 0
    assert asked == [Path("my car"), given]
    out, _ = streams()
    assert out.startswith("Made my car/build.toml, my car/cards/a.toml.")
    assert 'boostwright predict "my car"' in out


def test_help_and_version(streams: Captured) -> None:
    assert main(["--help"]) == 0
    out, _ = streams()
    for command in ("new", "check", "predict", "proof"):
        assert f"\n  {command} " in out
    assert main(["--version"]) == 0
    assert streams()[0].startswith("boostwright 0.")
    assert main([]) == 2
    assert main(["mend"]) == 2


ONLY_WHEN_NEEDED = (
    "numpy",
    "numba",
    "scipy",
    "matplotlib",
    "rich",
    "tomlkit",
    "boostwright.tasks",
    "boostwright.solve",
)


@pytest.mark.parametrize("arguments", [["--help"], ["predict", "--help"], ["--version"]])
def test_help_imports_nothing_that_costs_time(arguments: list[str]) -> None:
    code = (
        "import sys; from boostwright.cli.main import main; main(sys.argv[1:]);"
        f"print([name for name in {ONLY_WHEN_NEEDED!r} if name in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stderr.strip() == "[]"


def test_a_reader_that_goes_away_is_no_error() -> None:
    code = "import sys; sys.argv = ['boostwright', '--help']; from boostwright.cli.main import run; run()"
    read, write = os.pipe()
    os.close(read)
    with os.fdopen(write, "wb") as broken:
        done = subprocess.run([sys.executable, "-c", code], stdout=broken, stderr=subprocess.PIPE, timeout=60)
    assert done.stderr == b""


def test_a_terminal_that_knows_only_ascii_gets_its_text() -> None:
    code = (
        "import sys; import boostwright.cli.main as m;"
        "m.main = lambda arguments: print('\\u00e9\\u00e8') or 0; m.run()"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        timeout=60,
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
    )
    assert done.returncode == 0
    assert done.stdout.strip() == b"\\xe9\\xe8"


def test_predict_leaves_the_import_system_as_it_was(task: Task) -> None:
    seen: list[object] = []
    original = task.predict

    def predict(folder: Path, **request: Any) -> Any:
        seen.append(sys.modules.get("scipy.linalg.cython_blas", "free"))
        return original(folder, **request)

    task.predict = predict  # type: ignore[method-assign]
    before = sys.modules.get("scipy.linalg.cython_blas", "free")
    assert main(["predict", "car"]) == 0
    assert seen == [None if before == "free" else before]
    assert sys.modules.get("scipy.linalg.cython_blas", "free") == before
