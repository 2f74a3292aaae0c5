"""Logs that are broken: a word on what is wrong and where, what can be read kept, and nothing left half done."""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pytest

from boostwright.logs.importers.kind import MDF, TEXT, kind_of_file
from boostwright.logs.records import LogError
from boostwright.tasks.import_log import ImportOptions, import_logs
from tests.support.forked_reading import forks_for_readings
from tests.support.read_log import read_back

DATA = Path(__file__).resolve().parents[1] / "data" / "logs"
GOOD = "Time [s],RPM,MAP [kPa]\n" + "".join(f"{k / 10},{1000 + k},{98 + k % 3}\n" for k in range(50))

REFUSED = {
    "empty": (b"", "is empty"),
    "zeros": (bytes(5000), "nothing but zero bytes"),
    "blanks": (b"  \n \n\n   \n", "nothing but blanks"),
    "prose": (b"Dear customer,\nplease find enclosed nothing.\n", "no rows of numbers"),
    "binary": (random.Random(1).randbytes(9000), "is binary"),
    "spreadsheet": (b"PK\x03\x04" + bytes(100), "spreadsheet"),
    "packed": (b"\x1f\x8b\x08" + bytes(100), "packed"),
    "picture": (b"\x89PNG\r\n\x1a\n" + bytes(100), "picture"),
    "header alone": (b"Time,RPM,MAP\ns,rpm,kPa\n", "no rows of numbers"),
    "measurement file cut off": (b"MDF     4.10    " + bytes(20), "MDF"),
    "measurement file of noise": (b"MDF     4.10    " + random.Random(2).randbytes(5000), "MDF"),
}  # fmt: skip


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("kind", REFUSED)
def test_refused_with_a_reason_and_a_remedy_and_nothing_kept(tmp_path: Path, kind: str) -> None:
    data, words = REFUSED[kind]
    file = tmp_path / "bad.csv"
    file.write_bytes(data)
    result = import_logs([file], tmp_path / "logs")
    (failed,) = result.failed
    told = str(failed.faults[0])
    assert words in told
    assert failed.faults[0].remedy
    assert "bad.csv" in told
    assert list((tmp_path / "logs").glob("*")) == []
    assert file.read_bytes() == data


def test_a_folder_and_a_missing_file(tmp_path: Path) -> None:
    result = import_logs([tmp_path, tmp_path / "none.csv"], tmp_path / "logs")
    assert [
        "is a folder" in str(f.faults[0]) or "cannot be opened" in str(f.faults[0]) for f in result.failed
    ] == [True, True]


def test_a_bad_file_does_not_stop_the_others(tmp_path: Path) -> None:
    good, bad = tmp_path / "good.csv", tmp_path / "bad.csv"
    good.write_text(GOOD)
    bad.write_bytes(b"")
    result = import_logs([bad, good], tmp_path / "logs")
    assert len(result.failed) == 1
    assert result.logs[0].entry.tables[0].rows == 50


def test_unknown_encoding_is_refused(tmp_path: Path) -> None:
    from boostwright.logs.importers.text import TextOptions

    file = tmp_path / "log.csv"
    file.write_text(GOOD)
    with pytest.raises(LogError, match="not an encoding"):
        read_back(file, TextOptions(encoding="latin-99"))


@pytest.mark.parametrize(
    "name", sorted(p.name for p in DATA.iterdir() if p.suffix in (".csv", ".txt") and "licence" not in p.name)
)
def test_every_cut_of_a_log_reads_or_is_refused(tmp_path: Path, name: str) -> None:
    """A log cut anywhere gives the rows of the whole up to the cut, but for the last."""
    data = (DATA / name).read_bytes()
    whole, _ = read_back(DATA / name)
    file = tmp_path / "cut.csv"
    rng = random.Random(name)
    for cut in sorted(rng.randrange(len(data)) for _ in range(8)):
        file.write_bytes(data[:cut])
        try:
            tables, _ = read_back(file)
        except LogError:
            continue
        if len(whole) != 1 or len(tables) != 1 or tables[0].time.size < 30:
            continue
        rows = tables[0].time.size - 1
        if list(tables[0].columns) != list(whole[0].columns):
            continue
        for column, values in tables[0].columns.items():
            np.testing.assert_array_equal(values[:rows], whole[0].columns[column][:rows])


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", ["kit_multirate.mf4", "kit_multirate_3.mdf", "truck_idle_can_raw.mf4"])
def test_every_cut_of_a_measurement_file_reads_or_is_refused(
    tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    forks_for_readings(monkeypatch)
    data = (DATA / name).read_bytes()
    rng = random.Random(name)
    for number, cut in enumerate(sorted(rng.randrange(len(data)) for _ in range(6))):
        file = tmp_path / f"cut{number}.mf4"
        file.write_bytes(data[:cut])
        result = import_logs([file], tmp_path / "logs")
        assert len(result.failed) + len(result.logs) == 1


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", ["kit_multirate.mf4", "kit_multirate_3.mdf", "truck_idle_can_raw.mf4"])
def test_a_measurement_file_with_wrong_bytes_reads_or_is_refused(
    tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    forks_for_readings(monkeypatch)
    data = bytearray((DATA / name).read_bytes())
    rng = random.Random(name)
    for number in range(6):
        wrong = data.copy()
        for _ in range(30):
            wrong[rng.randrange(len(wrong))] = rng.randrange(256)
        file = tmp_path / f"wrong{number}.mf4"
        file.write_bytes(wrong)
        result = import_logs([file], tmp_path / "logs")
        assert len(result.failed) + len(result.logs) == 1


def test_kinds_are_told_by_bytes_not_by_names(tmp_path: Path) -> None:
    text = tmp_path / "log.mf4"
    text.write_text(GOOD)
    assert kind_of_file(text) == TEXT
    copy = tmp_path / "log.csv"
    copy.write_bytes((DATA / "kit_multirate.mf4").read_bytes())
    assert kind_of_file(copy) == MDF


def test_one_endless_line(tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_bytes(GOOD.encode() + b"9" * 300_000 + b"," + b"9" * 300_000)
    tables, notes = read_back(file)
    assert tables[0].time.size >= 50
    assert [n for n in notes if n.harm]


def test_a_dbc_that_leaves_no_row_says_why(tmp_path: Path) -> None:
    """Signals that overlap, and frames that no message describes: both in the error, since nothing is kept."""
    pytest.importorskip("asammdf")
    dbc = tmp_path / "over.dbc"
    dbc.write_text(
        'VERSION ""\nNS_ :\nBS_:\nBU_: ECU\nBO_ 2364540158 EEC1: 8 ECU\n'
        ' SG_ EngineSpeed : 24|16@1+ (0.125,0) [0|8031.875] "rpm" ECU\n'
        ' SG_ Other : 28|16@1+ (1,-125) [-125|125] "%" ECU\n'
        'BA_DEF_ BO_ "VFrameFormat" ENUM "StandardCAN","ExtendedCAN","reserved","J1939PG";\n'
        'BA_DEF_DEF_ "VFrameFormat" "StandardCAN";\nBA_ "VFrameFormat" BO_ 2364540158 3;\n'
    )
    log = Path(__file__).parents[1] / "data" / "logs" / "truck_idle_can_raw.mf4"
    (failed,) = import_logs([log], tmp_path / "logs", ImportOptions(databases=(dbc,))).failed
    text = str(failed.faults[0])
    assert "EngineSpeed and Other share bits" in text
    assert "no DBC names" in text
    assert "--dbc" in text
