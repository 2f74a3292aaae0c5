"""The store: whole or not there, the same file noticed, columns and pictures given back as they were."""

from __future__ import annotations

import hashlib
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pyarrow.parquet as pq
import pytest

from boostwright.logs.importers.text import TextOptions
from boostwright.logs.mapping.channels import open_channels
from boostwright.logs.records import LogError
from boostwright.logs.store.keep import keep_log
from boostwright.logs.store.pyramid import STEP, Pyramid, PyramidWriter, envelope
from boostwright.logs.store.reader import open_log
from boostwright.logs.store.staging import Staging, clear_remains, log_name
from boostwright.tasks.import_log import ImportOptions, import_logs

ROWS = 1000
ROOT = Path(__file__).resolve().parents[3]


def _log(folder: Path, name: str = "Pull 3 (Röller).csv", shift: float = 0.0) -> Path:
    file = folder / name
    lines = ["Time [s],Engine Speed [rpm],Manifold Pressure [kPa abs],Oil Temp [°C]"]
    lines += [
        f"{k / 20:.2f},{1500 + k + shift:.1f},{95 + k % 100},{'' if k % 7 else 90}" for k in range(ROWS)
    ]
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return file


def test_original_is_kept_with_its_hash(tmp_path: Path) -> None:
    file = _log(tmp_path)
    kept = keep_log(file, tmp_path / "logs", TextOptions())
    assert kept.entry.folder.name == "pull-3-roller"
    assert kept.entry.original.read_bytes() == file.read_bytes()
    assert kept.entry.sha256 == hashlib.sha256(file.read_bytes()).hexdigest()


def test_parquet_is_float32_with_float64_time_and_lz4(tmp_path: Path) -> None:
    kept = keep_log(_log(tmp_path), tmp_path / "logs", TextOptions())
    meta = pq.ParquetFile(kept.entry.folder / kept.entry.tables[0].parquet)
    assert [str(t) for t in meta.schema_arrow.types] == ["double", "float", "float", "float"]
    column = meta.metadata.row_group(0).column(1)
    assert column.compression == "LZ4"
    assert "BYTE_STREAM_SPLIT" in column.encodings


def test_columns_come_back(tmp_path: Path) -> None:
    log = open_log(keep_log(_log(tmp_path), tmp_path / "logs", TextOptions()).entry.folder)
    stamps, columns = log.read(log.tables[0], ["Oil Temp", "Engine Speed"])
    np.testing.assert_allclose(stamps, np.arange(ROWS) / 20)
    np.testing.assert_array_equal(columns["Engine Speed"], np.float32(1500 + np.arange(ROWS)))
    assert np.isnan(columns["Oil Temp"]).sum() == ROWS - len(range(0, ROWS, 7))
    with pytest.raises(LogError, match="no column"):
        log.read(log.tables[0], ["Boost"])


def test_stamps_are_read_once_and_every_way_of_asking_gives_the_same(tmp_path: Path) -> None:
    folder = keep_log(_log(tmp_path), tmp_path / "logs", TextOptions()).entry.folder
    first, second = open_log(folder), open_log(folder)
    stamps, together = first.read(first.tables[0])
    for name, values in together.items():
        one, alone = second.read(second.tables[0], [name])
        np.testing.assert_array_equal(alone[name], values)
        np.testing.assert_array_equal(one, stamps)
        assert one is second.read(second.tables[0], [name])[0]
    assert second.read(second.tables[0], [])[1] == {}


def test_names_with_points_are_kept_apart(tmp_path: Path) -> None:
    file = tmp_path / "points.csv"
    names = ("Lambda", "Lambda.Target", "Lambda.Target.2", "RPM.1", "RPM")
    rows = [",".join(str(v) for v in (k / 10, *(100 * n + k for n in range(5)))) for k in range(200)]
    file.write_text("Time," + ",".join(names) + "\n" + "\n".join(rows) + "\n")
    log = open_log(keep_log(file, tmp_path / "logs", TextOptions()).entry.folder)
    for asked in (["Lambda"], ["RPM", "Lambda.Target"], list(names), ["RPM.1"]):
        _, columns = log.read(log.tables[0], asked)
        assert list(columns) == asked
        for name, values in columns.items():
            np.testing.assert_array_equal(values, 100 * names.index(name) + np.arange(200))


@pytest.mark.parametrize("packed", ["zstd", "snappy", "none"])
def test_a_store_packed_otherwise_still_opens(tmp_path: Path, packed: str) -> None:
    """As an earlier version of the program left it."""
    folder = keep_log(_log(tmp_path), tmp_path / "logs", TextOptions()).entry.folder
    log = open_log(folder)
    stamps, columns = log.read(log.tables[0])
    path = folder / log.tables[0].parquet
    pq.write_table(pq.read_table(path), path, compression=packed, use_dictionary=False, row_group_size=300)
    again = open_log(folder)
    stamps_then, columns_then = again.read(again.tables[0])
    np.testing.assert_array_equal(stamps_then, stamps)
    for name, values in columns.items():
        np.testing.assert_array_equal(columns_then[name], values)


def test_picture_base_has_the_extremes_of_each_stretch(tmp_path: Path) -> None:
    log = open_log(keep_log(_log(tmp_path), tmp_path / "logs", TextOptions()).entry.folder)
    stamps, columns = log.read(log.tables[0])
    pyramid = log.pyramid(log.tables[0])
    values = columns["Manifold Pressure"]
    for k in range(pyramid.time.size):
        part = values[k * STEP : (k + 1) * STEP]
        assert pyramid.low[1, k] == part.min()
        assert pyramid.high[1, k] == part.max()
    at, low, high = pyramid.draw(1, 10.0, 30.0, 5)
    inside = (stamps >= 10.0) & (stamps <= 30.0)
    assert at.size <= 5
    assert low.min() <= values[inside].min()
    assert high.max() >= values[inside].max()
    assert (low <= high).all()


def test_the_whole_drawn_coarsely_has_the_extremes_of_every_stretch(tmp_path: Path) -> None:
    rng = np.random.default_rng(2)
    values = np.cumsum(rng.normal(size=300_000)).astype(np.float32)
    stamps = np.arange(values.size) * 0.01
    writer = PyramidWriter(1)
    for begin in range(0, values.size, 70_001):
        writer.add(stamps[begin : begin + 70_001], [values[begin : begin + 70_001]])
    writer.save(tmp_path / "p.npz")
    pyramid = Pyramid.load(tmp_path / "p.npz")
    for begin, end, pixels in ((0.0, 1e9, 40), (0.0, 1e9, 100), (500.0, 2500.0, 20), (700.0, 900.0, 1000)):
        at, low, high = pyramid.draw(0, begin, end, pixels)
        assert at.size == low.size == high.size <= pixels
        rows = np.searchsorted(stamps, at)
        for k in range(at.size - 1):
            part = values[rows[k] : rows[k + 1]]
            assert (low[k], high[k]) == (part.min(), part.max())


def test_envelope_of_rows_in_memory_passes_over_gaps() -> None:
    values = np.array([1, np.nan, 3, np.nan, np.nan, np.nan, 7, -2], dtype=np.float32)
    _, low, high = envelope(np.arange(8.0), values, 4)
    np.testing.assert_array_equal(low, np.float32([1, 3, np.nan, -2]))
    np.testing.assert_array_equal(high, np.float32([1, 3, np.nan, 7]))


def test_the_same_file_is_noticed(tmp_path: Path) -> None:
    file = _log(tmp_path)
    first = import_logs([file], tmp_path / "logs").logs[0]
    other = tmp_path / "renamed.csv"
    other.write_bytes(file.read_bytes())
    second = import_logs([other], tmp_path / "logs").logs[0]
    assert (first.new, second.new) == (True, False)
    assert second.entry.folder == first.entry.folder
    third = import_logs([file], tmp_path / "logs", ImportOptions(again=True)).logs[0]
    assert third.entry.folder.name == "pull-3-roller-2"


def test_another_file_of_the_same_name_gets_a_number(tmp_path: Path) -> None:
    import_logs([_log(tmp_path)], tmp_path / "logs")
    result = import_logs([_log(tmp_path, shift=5.0)], tmp_path / "logs")
    assert result.logs[0].entry.folder.name == "pull-3-roller-2"


def test_names_of_folders() -> None:
    assert log_name(Path("2018-02-23 Prüfstand #3.CSV")) == "2018-02-23-prufstand-3"
    assert log_name(Path("日本.csv")) == "log"


def test_a_failure_leaves_nothing(tmp_path: Path) -> None:
    def failing() -> None:
        with Staging(tmp_path) as staging:
            (staging.folder / "half").write_text("x")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        failing()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="needs a lock the system lets go")
def test_remains_of_a_killed_import_go_and_a_running_one_stays(tmp_path: Path) -> None:
    code = f"""
import time
from pathlib import Path
from boostwright.logs.store.staging import Staging
staging = Staging(Path({str(tmp_path)!r}))
(staging.folder / "half").write_text("x")
print("ready", flush=True)
time.sleep(60)
"""
    running = subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT / "src")},
    )  # fmt: skip
    assert running.stdout is not None
    assert running.stdout.readline().strip() == "ready"
    assert clear_remains(tmp_path) == 0
    assert len(list(tmp_path.iterdir())) == 1
    running.send_signal(signal.SIGKILL)
    running.wait()
    running.stdout.close()
    for _ in range(50):
        if clear_remains(tmp_path):
            break
        time.sleep(0.1)
    assert list(tmp_path.iterdir()) == []


def test_a_damaged_manifest_is_said_and_does_not_stop_the_next_import(tmp_path: Path) -> None:
    file = _log(tmp_path)
    folder = import_logs([file], tmp_path / "logs").logs[0].entry.folder
    (folder / "manifest.json").write_text("{")
    with pytest.raises(LogError, match="cannot be read"):
        open_log(folder)
    assert import_logs([file], tmp_path / "logs").logs[0].new


def test_channels_in_si(tmp_path: Path) -> None:
    folder = import_logs([_log(tmp_path)], tmp_path / "logs").logs[0].entry.folder
    channels = open_channels(folder)
    assert set(channels.names) == {"engine_speed", "pressure_im", "temperature_oil"}
    pressure = channels.read("pressure_im")
    assert pressure.basis == "absolute"
    np.testing.assert_allclose(pressure.value[:3], [95e3, 96e3, 97e3])
    np.testing.assert_allclose(channels.read("engine_speed").value[0], 1500 * 2 * np.pi / 60)
    np.testing.assert_allclose(channels.read("temperature_oil").value[0], 363.15)
    with pytest.raises(LogError, match="no channel"):
        channels.read("boost")


def test_mapping_is_data_beside_the_log(tmp_path: Path) -> None:
    folder = import_logs([_log(tmp_path)], tmp_path / "logs").logs[0].entry.folder
    document = json.loads((folder / "mapping.json").read_text())
    assert {c["column"]: c["choice"]["channel"] for c in document["columns"] if c["taken"]} == {
        "Engine Speed": "engine_speed", "Manifold Pressure": "pressure_im", "Oil Temp": "temperature_oil",
    }  # fmt: skip
    assert all(c["reason"] for c in document["columns"])
