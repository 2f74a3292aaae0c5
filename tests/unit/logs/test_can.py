"""Bits of CAN frames: against the library's own decoding, and databases that cannot be trusted."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.logs.importers.can import decode_frames, signal_values
from boostwright.logs.records import LogError, Notes

cantools = pytest.importorskip("cantools")
DATA = Path(__file__).resolve().parents[2] / "data" / "logs"

HEAD = 'VERSION ""\nNS_ :\nBS_:\nBU_: A\n\n'
MIXED = """BO_ 100 M: 8 A
 SG_ Little : 3|13@1+ (0.5,-10) [0|0] "rpm" A
 SG_ LittleSigned : 16|12@1- (1,0) [0|0] "" A
 SG_ Big : 39|16@0+ (0.1,0) [0|0] "kPa" A
 SG_ BigSigned : 51|11@0- (2,1) [0|0] "" A
"""


def _frames(data: np.ndarray, identifier: int = 100):
    count = data.shape[0]
    length = np.full(count, data.shape[1])
    return np.arange(count) * 0.01, np.full(count, identifier), np.zeros(count, dtype=bool), length, data


def test_bits_are_those_of_the_library(tmp_path: Path) -> None:
    file = tmp_path / "a.dbc"
    file.write_text(HEAD + MIXED)
    message = cantools.database.load_file(str(file)).messages[0]
    data = np.random.default_rng(5).integers(0, 256, (300, 8), dtype=np.uint8)
    expected = [message.decode(bytes(row.tolist())) for row in data]
    for signal in message.signals:
        found = signal_values(signal, data, np.full(300, 8))
        np.testing.assert_allclose(found, [one[signal.name] for one in expected])


def test_frames_too_short_have_no_value(tmp_path: Path) -> None:
    file = tmp_path / "a.dbc"
    file.write_text(HEAD + MIXED)
    message = cantools.database.load_file(str(file)).messages[0]
    found = signal_values(
        message.get_signal_by_name("Big"), np.zeros((2, 8), dtype=np.uint8), np.array([8, 5])
    )
    assert np.isfinite(found).tolist() == [True, False]


def test_overlapping_signals_are_left_out_with_their_names(tmp_path: Path) -> None:
    file = tmp_path / "a.dbc"
    overlap = 'BO_ 100 M: 8 A\n SG_ X : 0|12@1+ (1,0) [0|0] "" A\n SG_ Y : 8|8@1+ (1,0) [0|0] "" A\n'
    sound = '\nBO_ 101 N: 8 A\n SG_ Z : 0|8@1+ (1,0) [0|0] "" A\n'
    file.write_text(HEAD + overlap + sound)
    notes = Notes()
    time, identifier, long, length, data = _frames(np.full((4, 8), 7, dtype=np.uint8))
    identifier = np.array([100, 101, 100, 101])
    rows = list(decode_frames((time, identifier, long, length, data), (file,), notes, 0))
    assert [r.table.columns[0].name for r in rows] == ["Z"]
    (note,) = notes.all()
    assert "X and Y share bits" in note.text
    assert note.harm


def test_switched_signals_get_tables_of_their_own(tmp_path: Path) -> None:
    file = tmp_path / "a.dbc"
    switched = """BO_ 100 M: 8 A
 SG_ S M : 0|8@1+ (1,0) [0|0] "" A
 SG_ P m0 : 8|8@1+ (1,0) [0|0] "kPa" A
 SG_ T m1 : 8|8@1+ (1,-40) [0|0] "degC" A
"""
    file.write_text(HEAD + switched)
    data = np.zeros((4, 8), dtype=np.uint8)
    data[:, 0] = [0, 1, 0, 1]
    data[:, 1] = [100, 90, 101, 91]
    found = {r.table.columns[0].name: r for r in decode_frames(_frames(data), (file,), Notes(), 0)}
    assert found["P"].values[0].tolist() == [100, 101]
    assert found["T"].values[0].tolist() == [50, 51]
    np.testing.assert_allclose(found["T"].time, [0.01, 0.03])


@pytest.mark.parametrize("name", ["multiplex.dbc", "cp1252.dbc"])
def test_databases_with_odd_things_in_them_load(name: str) -> None:
    from boostwright.logs.importers.can import load_databases

    load_databases((DATA / name,))


def test_a_broken_database_is_refused(tmp_path: Path) -> None:
    from boostwright.logs.importers.can import load_databases

    file = tmp_path / "bad.dbc"
    file.write_text("BO_ what is this")
    with pytest.raises(LogError, match="no DBC"):
        load_databases((file,))
