"""Several recordings in one file, and clocks that run out: nothing left out in silence, no part judged by another."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.logs.mapping.channels import open_channels
from boostwright.logs.mapping.facts import Raw
from boostwright.logs.mapping.propose import propose
from boostwright.report.import_text import import_text
from boostwright.tasks.import_log import import_logs
from tests.support.read_log import codes, note, read_back

FIRST = "Time [s],RPM [rpm],MAP [kPa],Lambda\n" + "".join(
    f"{k / 20:.2f},{900 + k},{40 + k % 7},{1 + k % 3 / 100:.2f}\n" for k in range(60)
)


def _read(tmp_path: Path, text: str):
    path = tmp_path / "log.csv"
    path.write_text(text)
    return read_back(path)


@pytest.mark.parametrize("mark", [",", ";"])
def test_a_short_recording_above_a_longer_one_is_kept(tmp_path: Path, mark: str) -> None:
    second = mark.join(["Time [ms]", "n [1/min]", "EGT [degC]"]) + "\n"
    second += "".join(mark.join([f"{50 * k}", f"{1000 + k}", f"{700 + k % 9}"]) + "\n" for k in range(400))
    tables, notes = _read(tmp_path, FIRST + second)
    assert [table.time.size for table in tables] == [60, 400]
    assert [next(iter(table.columns)) for table in tables] == ["RPM", "n"]
    assert note(notes, "another-table").places == ("line 62",)


def test_rows_written_otherwise_from_a_line_on_keep_their_names(tmp_path: Path) -> None:
    names = ["Time [s]", "RPM", "MAP [kPa]", "Lambda", "EGT [degC]", "Oil [bar]", "Battery [V]", "Duty [%]"]
    numbers = [
        [k / 20, 900 + k, 40.5 + k % 7, 1.01, 600.5 + k % 5, 3.2, 13.8, 10.5 + k % 3] for k in range(400)
    ]
    lines = [",".join(names), *(",".join(f"{x:.3f}" for x in row) for row in numbers[:60])]
    lines += [";".join(f"{x:.3f}".replace(".", ",") for x in row) for row in numbers[60:]]
    tables, notes = _read(tmp_path, "\n".join(lines) + "\n")
    assert [table.time.size for table in tables] == [60, 340]
    assert list(tables[1].columns) == list(tables[0].columns)
    assert note(notes, "names-before").places == ("line 62",)
    assert "no-name" not in codes(notes)


def test_words_and_a_few_numbers_above_a_table_are_no_table(tmp_path: Path) -> None:
    above = "Car;estate\nMass;1450\nScale;1;2;3\nScale;1;2;4\n"
    text = above + FIRST.replace(",", ";")
    tables, _ = _read(tmp_path, text)
    assert [table.time.size for table in tables] == [60]


@pytest.mark.parametrize("period", [65.536, 86400.0, 604800.0])
def test_counters_of_another_unit_written_as_seconds_are_unrolled(tmp_path: Path, period: float) -> None:
    stamps = np.mod(period - 5.0 + np.arange(300) / 20, period)
    tables, notes = _read(tmp_path, "Time [s],RPM\n" + "".join(f"{s:.3f},{900 + s:.0f}\n" for s in stamps))
    assert len(tables) == 1
    np.testing.assert_allclose(tables[0].time, np.arange(300) / 20, atol=1e-3)
    assert "clock-rolled-over" in codes(notes)


@pytest.mark.parametrize(
    ("stamp", "said"),
    [
        (lambda k: f"{100 - k / 20:.2f}", "falls"),
        (lambda k: "5.00", "stays the same"),
        (lambda k: "NaN", "holds no number"),
        (lambda k: f"{(53 * k) % 101}", "jumps"),
    ],
)
def test_a_time_that_is_none_is_named(tmp_path: Path, stamp, said: str) -> None:
    _, notes = _read(
        tmp_path, "Time [s],RPM,MAP\n" + "".join(f"{stamp(k)},{900 + k},{98 + k % 5}\n" for k in range(80))
    )
    text = note(notes, "ask-time").text
    assert text.startswith("Time ")
    assert said in text
    assert "--rate" in text


def test_a_part_is_judged_by_its_own_engine_speed() -> None:
    """The first part stands, the second idles: at the same seconds of another clock it must not be called at rest."""
    time = np.arange(0.0, 20.0, 0.05)
    idle = 45.0 + np.sin(time)
    raws = [
        Raw(1, 1, "RPM", "rpm", "", (), time, np.zeros(time.size)),
        Raw(1, 1, "MAP", "kPa", "", (), time, 100.0 + 0.1 * np.sin(9.0 * time)),
        Raw(2, 1, "RPM", "rpm", "", (), time, 900.0 + 5.0 * np.sin(7.0 * time)),
        Raw(2, 1, "MAP", "kPa", "", (), time, idle),
    ]
    first, second = (one for one in propose(raws) if one.column == "MAP")
    assert first.choice is not None
    assert first.choice.basis == "absolute"
    assert "at rest" not in second.reason
    assert second.status == "proposed"
    assert second.choice == first.choice
    assert "part 1" in second.reason or "idle" in second.reason


def test_what_an_import_says_of_empty_columns_and_control_characters(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    rows = [f"{k / 20:.2f},{900 + k},NaN" for k in range(60)]
    path.write_text(
        "\n".join(["Time [s],RPM [rpm],MAP [kPa]", *rows, "\x1b[31mred\x07 words", *rows[-1:]]) + "\n"
    )
    result = import_logs([path], tmp_path / "logs")
    text = import_text(result, 100)
    assert "Without a single number, so not used: MAP." in text
    assert "\x1b" not in text
    assert "\\x1b[31mred\\x07 words" in text
    assert open_channels(result.logs[0].entry.folder).names == ("engine_speed",)
