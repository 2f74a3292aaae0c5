"""A long what-if that is killed at any moment loses at most a batch, and goes on as if nothing had been."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import time
from pathlib import Path
from shutil import copytree

import pytest

from boostwright.build import read_build
from boostwright.tasks.whatif import Asked, whatif, whatif_build
from boostwright.tasks.whatif_result import FIGURES, Case, Row, WhatIf
from boostwright.tasks.whatif_run import BATCH
from boostwright.tasks.whatif_spec import WhatIfError
from boostwright.tasks.whatif_store import RowStore, key_of_run

EXAMPLE = Path(__file__).resolve().parents[3] / "examples" / "hill_climb_estate"
VARY = (
    "wastegate.valve_diameter & wastegate.branch_bore=34:54:21 mm",
    "turbine.choked_flow=0.02:0.03:21 kg/s*sqrt(K)/kPa",
)
_RUN = "from boostwright.cli.main import run; run()"
COUNT = 21 * 21 + 1


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    place = tmp_path / "build"
    copytree(EXAMPLE, place)
    (place / "whatif.toml").unlink(missing_ok=True)
    return place


def assert_same(one: WhatIf, other: WhatIf) -> None:
    """The same rows; which housing of a family was met first may show in the last digit."""
    assert len(one.rows) == len(other.rows)
    for mine, its in zip(one.rows, other.rows, strict=True):
        assert (mine.number, mine.case, mine.exceeded, mine.unsteady, mine.reason) == (
            (its.number, its.case, its.exceeded, its.unsteady, its.reason)
        )
        assert mine.figures == pytest.approx(dict(its.figures), rel=1e-12, nan_ok=True)


def rows_of(count: int) -> tuple[list[Case], list[Row]]:
    cases = [Case(f"case {n}", (f"wastegate.count={n}",)) for n in range(count)]
    figures = {name: 0.1 * index for index, name in enumerate(FIGURES)}
    figures |= {"threshold": float("-inf"), "creep_floor": float("nan")}
    made = [
        Row(n, case, {**figures, "peak_power": n / 3.0}, {"egt": (1.0, 2.0 / 7.0)}, {}, ("asked",), "")
        for n, case in enumerate(cases)
    ]
    made[1] = Row(1, cases[1], {}, {}, {}, (), "cannot be")
    return cases, made


def test_rows_come_back_as_they_were(tmp_path: Path) -> None:
    cases, rows = rows_of(5)
    store = RowStore(tmp_path, "key", cases)
    assert not store.exists
    store.begin()
    store.add(rows[:2])
    store.add(rows[2:])
    kept = RowStore(tmp_path, "key", cases).read()
    assert repr(list(kept.rows)) == repr(rows)
    assert kept.cut_off == 0


def test_a_tail_cut_off_anywhere_loses_its_batch_and_no_more(tmp_path: Path) -> None:
    cases, rows = rows_of(6)
    store = RowStore(tmp_path, "key", cases)
    store.begin()
    sizes = [store.path.stat().st_size]
    for first in range(0, 6, 2):
        store.add(rows[first : first + 2])
        sizes.append(store.path.stat().st_size)
    whole = store.path.read_bytes()
    for end in range(len(whole) + 1):
        store.path.write_bytes(whole[:end])
        kept = store.read()
        batches = max(sum(size <= end for size in sizes) - 1, 0)
        assert len(kept.rows) == 2 * batches
        store.add(rows[2 * batches : 2 * batches + 2] or rows[:0] or rows[4:6])
        if batches < 3:
            assert len(store.read().rows) == 2 * batches + 2


def test_damage_in_the_middle_and_a_foreign_file_are_not_believed(tmp_path: Path) -> None:
    cases, rows = rows_of(4)
    store = RowStore(tmp_path, "key", cases)
    store.begin()
    store.add(rows[:2])
    store.add(rows[2:])
    data = bytearray(store.path.read_bytes())
    for place in random.Random(1).sample(range(len(data)), 40):
        broken = bytearray(data)
        broken[place] ^= 0x15
        store.path.write_bytes(bytes(broken))
        kept = store.read()
        assert repr(list(kept.rows)) == repr(rows[: len(kept.rows)])
        assert len(kept.rows) < 4
        assert kept.cut_off > 0
    store.path.write_bytes(b"\x00" * 500)
    assert store.read().rows == ()


def test_the_key_hangs_on_everything_that_the_rows_hang_on(folder: Path) -> None:
    cases = [Case("a", ("wastegate.count=2",))]
    speeds = [200.0, 300.0]
    build = read_build(folder)
    first = key_of_run(build, speeds, (200.0, 300.0), cases)  # type: ignore[arg-type]
    assert key_of_run(build, speeds, (200.0, 300.0), cases) == first  # type: ignore[arg-type]
    assert key_of_run(build, [200.0, 301.0], (200.0, 300.0), cases) != first  # type: ignore[arg-type]
    assert key_of_run(build, speeds, (200.0, 299.0), cases) != first  # type: ignore[arg-type]
    assert key_of_run(build, speeds, (200.0, 300.0), [Case("a", ())]) != first  # type: ignore[arg-type]
    with_setting = read_build(folder, ["wastegate.count=2"])
    assert key_of_run(with_setting, speeds, (200.0, 300.0), cases) != first  # type: ignore[arg-type]
    card = next((folder / "cards").rglob("*.csv"))
    card.write_bytes(card.read_bytes() + b"\n")
    assert key_of_run(build, speeds, (200.0, 300.0), cases) != first  # type: ignore[arg-type]


def command(folder: Path, *more: str) -> list[str]:
    varied = [part for text in VARY for part in ("--vary", text)]
    return [sys.executable, "-c", _RUN, "whatif", str(folder), *varied, *more]


def test_killed_at_random_moments_and_gone_on_with_it_ends_with_the_same_rows(
    folder: Path, tmp_path: Path
) -> None:
    many = (*VARY, "exhaust.pressure_drop=8, 12, 16, 20 kPa")
    other = tmp_path / "other"
    copytree(folder, other)
    expected = whatif(other, Asked(vary=many))
    rng = random.Random(5)
    kills = 0
    for _ in range(5):
        wanted = batches_in(folder) + rng.randint(1, 5)
        run = subprocess.Popen(
            command(folder, "--vary", many[2], "--resume"),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        while run.poll() is None and batches_in(folder) < wanted:
            time.sleep(0.002)
        time.sleep(rng.uniform(0.0, 0.05))
        if run.poll() is None:
            run.send_signal(signal.SIGKILL)
            kills += 1
        run.wait()
        if rng.random() < 0.5:
            for path in (folder / "whatif").glob("*.rows"):  # what the machine had not yet written
                data = path.read_bytes()
                path.write_bytes(data[: len(data) - rng.randint(0, 200)])
    assert kills >= 2
    found = whatif(folder, Asked(vary=many, resume=True))
    assert_same(found, expected)
    assert found.ranked == expected.ranked


def batches_in(folder: Path) -> int:
    """Lines that a run has kept."""
    return sum(path.read_bytes().count(b"\n") for path in (folder / "whatif").glob("*.rows"))


def test_a_run_that_was_stopped_is_neither_thrown_away_nor_gone_on_with_unasked(folder: Path) -> None:
    build = read_build(folder)

    class Stopped(Exception):
        pass

    def stop(done: int, count: int) -> None:
        assert count == COUNT
        if done >= 2 * BATCH:
            raise Stopped

    with pytest.raises(Stopped):
        whatif_build(build, Asked(vary=VARY), progress=stop)
    with pytest.raises(WhatIfError, match="--resume"):
        whatif_build(build, Asked(vary=VARY))
    seen: list[int] = []
    found = whatif_build(build, Asked(vary=VARY, resume=True), progress=lambda done, _: seen.append(done))
    assert seen[0] == 2 * BATCH
    assert len(found.rows) == COUNT
    anew = whatif_build(build, Asked(vary=VARY, anew=True))
    assert_same(anew, found)


def test_a_place_that_cannot_be_written_to_is_said(folder: Path) -> None:
    (folder / "whatif").write_text("a file where the folder should be", encoding="utf-8")
    with pytest.raises(WhatIfError, match="cannot be used to keep the results in"):
        whatif(folder, Asked(vary=VARY))


def test_ctrl_c_leaves_what_is_done_and_says_how_to_go_on(folder: Path) -> None:
    many = "wastegate.spring_rating=0.3:0.6:200 bar gauge"  # long enough to be met at work
    run = subprocess.Popen(
        command(folder, "--vary", many), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True
    )
    assert run.stderr is not None
    for line in run.stderr:
        if line.startswith(f"{BATCH} of"):
            break
    run.send_signal(signal.SIGINT)
    _, rest = run.communicate(timeout=60)
    assert run.returncode == 130
    assert "--resume" in rest
    kept = next((folder / "whatif").glob("*.rows"))
    assert kept.stat().st_size > 1000
