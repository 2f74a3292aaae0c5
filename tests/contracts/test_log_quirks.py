"""Every habit and quirk of log files met in practice: what is read, and what is said about it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.logs.importers.text import TextOptions
from boostwright.logs.records import LogError
from tests.support.read_log import codes, note, read_back

NAN = np.nan


def _read(tmp_path: Path, text: str | bytes, options: TextOptions | None = None, encoding: str = "utf-8"):
    path = tmp_path / "log.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
    return read_back(path, options)


def _one(tmp_path: Path, text: str | bytes, options: TextOptions | None = None, encoding: str = "utf-8"):
    tables, notes = _read(tmp_path, text, options, encoding)
    assert len(tables) == 1, [t.table for t in tables]
    return tables[0], notes


def _same(found: np.ndarray, expected: list[float]) -> None:
    np.testing.assert_allclose(
        found, np.array(expected, dtype=np.float32).astype(float), rtol=1e-6, equal_nan=True
    )


SEPARATED = {
    "comma": ("Time,RPM,MAP\n0.0,1000,98.5\n0.1,1010,99.25\n0.2,1020,100\n", ","),
    "semicolon": ("Time;RPM;MAP\n0.0;1000;98.5\n0.1;1010;99.25\n0.2;1020;100\n", ";"),
    "tab": ("Time\tRPM\tMAP\n0.0\t1000\t98.5\n0.1\t1010\t99.25\n0.2\t1020\t100\n", "\t"),
    "bar": ("Time|RPM|MAP\n0.0|1000|98.5\n0.1|1010|99.25\n0.2|1020|100\n", "|"),
    "blanks": ("Time  RPM   MAP\n 0.0  1000  98.5\n 0.1  1010  99.25\n 0.2  1020 100\n", " "),
    "comma and blank": ("Time, RPM, MAP\n0.0, 1000, 98.5\n0.1, 1010, 99.25\n0.2, 1020, 100\n", ","),
    "decimal comma": ("Time;RPM;MAP\n0,0;1000;98,5\n0,1;1010;99,25\n0,2;1020;100\n", ";"),
    "decimal comma, tabs": ("Time\tRPM\tMAP\n0,0\t1000\t98,5\n0,1\t1010\t99,25\n0,2\t1020\t100\n", "\t"),
    "decimal comma, blanks": ("Time RPM MAP\n0,0 1000 98,5\n0,1 1010 99,25\n0,2 1020 100\n", " "),
    "quoted": ('"Time","RPM","MAP"\n"0.0","1000","98.5"\n"0.1","1010","99.25"\n"0.2","1020","100"\n', ","),
    "quoted decimal comma": (
        '"Time","RPM","MAP"\n"0,0","1000","98,5"\n"0,1","1010","99,25"\n"0,2","1020","100"\n',
        ",",
    ),
    "exponents": ("Time,RPM,MAP\n0.0,1.0E+03,9.85e1\n1e-1,1.01e3,99.25\n2E-1,1020,1.0e+2\n", ","),
    "plus signs": ("Time,RPM,MAP\n+0.0,+1000,98.5\n+0.1,+1010,+99.25\n+0.2,+1020,+100\n", ","),
    "separator at the end of each line": (
        "Time,RPM,MAP,\n0.0,1000,98.5,\n0.1,1010,99.25,\n0.2,1020,100,\n",
        ",",
    ),
    "separator at the end of rows only": (
        "Time,RPM,MAP\n0.0,1000,98.5,\n0.1,1010,99.25,\n0.2,1020,100,\n",
        ",",
    ),
    "carriage return and line feed": (
        "Time,RPM,MAP\r\n0.0,1000,98.5\r\n0.1,1010,99.25\r\n0.2,1020,100\r\n",
        ",",
    ),
    "carriage returns": ("Time,RPM,MAP\r0.0,1000,98.5\r0.1,1010,99.25\r0.2,1020,100\r", ","),
    "blank lines between rows": ("Time,RPM,MAP\n\n0.0,1000,98.5\n\n0.1,1010,99.25\n\n0.2,1020,100\n", ","),
    "no line end at the end": ("Time,RPM,MAP\n0.0,1000,98.5\n0.1,1010,99.25\n0.2,1020,100", ","),
}


@pytest.mark.parametrize("habit", SEPARATED)
def test_separators_and_decimal_marks(tmp_path: Path, habit: str) -> None:
    read, _ = _one(tmp_path, SEPARATED[habit][0])
    assert list(read.columns) == ["RPM", "MAP"]
    np.testing.assert_allclose(read.time, [0, 0.1, 0.2])
    _same(read.columns["RPM"], [1000, 1010, 1020])
    _same(read.columns["MAP"], [98.5, 99.25, 100])


ENCODINGS = [
    "utf-8",
    "utf-8-sig",
    "utf-16",
    "utf-16-le",
    "utf-16-be",
    "cp1252",
    "latin-1",
    "mac-roman",
    "cp850",
]


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_encodings(tmp_path: Path, encoding: str) -> None:
    text = "Zeit [s];Kühlwasser [°C];Öldruck [bar]\n" + "".join(
        f"{k / 10:.1f};8{k};2.{k}\n" for k in range(9)
    )
    read, notes = _one(tmp_path, text, encoding=encoding)
    assert [(c.name, c.unit) for c in read.table.columns] == [("Kühlwasser", "°C"), ("Öldruck", "bar")]
    assert "encoding" in codes(notes)
    _same(read.columns["Kühlwasser"], [80 + k for k in range(9)])


def test_header_encoded_twice(tmp_path: Path) -> None:
    wrong = "Coolant [°C]".encode().decode("cp1252")
    read, _ = _one(tmp_path, f"Time [s],{wrong}\n0,80\n1,81\n2,82\n")
    assert read.table.columns[0].unit == "°C"


def test_degree_sign_of_another_encoding_in_one_line(tmp_path: Path) -> None:
    data = (
        "Time [s],Öl [bar]\n0,1\n1,2\n2,3\n".encode()
        + "Zeit [s],Öl [bar]\n".encode("cp1252")
        + b"0,4\n1,5\n2,6\n"
    )
    tables, _ = _read(tmp_path, data)
    assert [t.table.columns[0].name for t in tables] == ["Öl", "Öl"]


HEADERS = {
    "units in brackets": "Time [s],Oil Temp [°C],MAP [kPa]\n",
    "units in round brackets": "Time (s),Oil Temp (°C),MAP (kPa)\n",
    "a row of units": "Time,Oil Temp,MAP\ns,°C,kPa\n",
    "a row of units in brackets": "Time,Oil Temp,MAP\n[s],[°C],[kPa]\n",
    "preamble and units": "Recording of a test\nDate: today\n\nTime,Oil Temp,MAP\ns,°C,kPa\n",
    "comment marks before the header": "# made by a logger\n# Time [s],Oil Temp [°C],MAP [kPa]\n",
    "empty line under the header": "Time [s],Oil Temp [°C],MAP [kPa]\n\n",
    "numbers of channels above": "0,1,2\nTime [s],Oil Temp [°C],MAP [kPa]\n",
    "descriptions under the names": "Time,Oil Temp,MAP\nelapsed,gallery,plenum port\ns,°C,kPa\n",
}  # fmt: skip


@pytest.mark.parametrize("habit", HEADERS)
def test_header_rows(tmp_path: Path, habit: str) -> None:
    read, _ = _one(tmp_path, HEADERS[habit] + "".join(f"{k / 10},{90 + k},{98 + k / 2}\n" for k in range(12)))
    assert [(c.name, c.unit) for c in read.table.columns] == [("Oil Temp", "°C"), ("MAP", "kPa")]
    assert read.time.size == 12
    _same(read.columns["MAP"], [98 + k / 2 for k in range(12)])


def test_groups_of_names_over_several_columns(tmp_path: Path) -> None:
    text = ",Engine,,Wheels,\nTime,Speed,Torque,Speed,Torque\ns,rpm,Nm,km/h,Nm\n"
    text += "0,1000,100,20,700\n1,1100,101,21,701\n2,1200,102,22,702\n"
    read, _ = _one(tmp_path, text)
    assert list(read.columns) == ["Engine Speed", "Engine Torque", "Wheels Speed", "Wheels Torque"]
    assert [c.unit for c in read.table.columns] == ["rpm", "Nm", "km/h", "Nm"]


def test_first_header_cell_empty_or_junk(tmp_path: Path) -> None:
    for first in ("", "???", "\ufeff"):
        read, _ = _one(
            tmp_path,
            f"{first},RPM,MAP\n0.00,1000,98\n0.05,1001,99\n0.10,1002,99\n0.15,1003,99\n0.20,1003,99\n",
        )
        assert list(read.columns) == ["RPM", "MAP"]
        np.testing.assert_allclose(read.time, [0, 0.05, 0.1, 0.15, 0.2])


def test_empty_unit_brackets(tmp_path: Path) -> None:
    read, _ = _one(tmp_path, "Time [s],Gear [],Lambda []\n0,1,0.9\n1,2,0.8\n2,3,0.85\n")
    assert [(c.name, c.unit) for c in read.table.columns] == [("Gear", ""), ("Lambda", "")]


def test_no_header(tmp_path: Path) -> None:
    read, notes = _one(
        tmp_path, "".join(f"{k * 0.05:.2f},{1000 + 7 * k % 50},{98 + k % 5}\n" for k in range(30))
    )
    assert list(read.columns) == ["column 2", "column 3"]
    assert "no-header" in codes(notes)


def test_duplicate_names(tmp_path: Path) -> None:
    read, notes = _one(tmp_path, "Time,MAP,MAP,MAP (2),MAP\n0,1,2,3,4\n1,1,2,3,4\n2,1,2,3,4\n")
    assert len(set(read.columns)) == 4
    _same(np.array([v[0] for v in read.columns.values()]), [1, 2, 3, 4])
    assert note(notes, "double-name").count == 2


def test_header_and_units_repeated_among_rows(tmp_path: Path) -> None:
    head = "Time,RPM,MAP\ns,rpm,kPa\n"
    read, notes = _one(tmp_path, head + "0.0,1000,98\n0.1,1001,99\n" + head + "0.2,1002,100\n0.3,1003,101\n")
    _same(read.columns["RPM"], [1000, 1001, 1002, 1003])
    assert note(notes, "header-repeated").count == 2
    assert note(notes, "header-repeated").places[0] == "line 5"


def test_comments_and_events_among_rows(tmp_path: Path) -> None:
    read, notes = _one(
        tmp_path, "Time,RPM,MAP\n0.0,1000,98\n# lap 2\n0.1,1001,99\nMarker: lift\n0.2,1002,100\n"
    )
    _same(read.columns["RPM"], [1000, 1001, 1002])
    assert "line 3" in note(notes, "words-between-rows").places[0]


def test_two_files_glued_with_the_same_header(tmp_path: Path) -> None:
    one = "Time,RPM,MAP\n" + "".join(f"{k / 10},{1000 + k},98\n" for k in range(40))
    tables, notes = _read(tmp_path, one + one)
    assert [t.table.part for t in tables] == [1, 2]
    for read in tables:
        np.testing.assert_allclose(read.time, np.arange(40) / 10, atol=1e-9)
    assert "clock-starts-anew" in codes(notes)


def test_two_files_glued_with_other_columns(tmp_path: Path) -> None:
    first = "Time,RPM,MAP\n" + "".join(f"{k / 10},{1000 + k},98\n" for k in range(40))
    second = "Zeit [s];Öl [°C]\n" + "".join(f"{k / 5:.1f};9{k % 10}\n".replace(".", ",") for k in range(30))
    tables, notes = _read(tmp_path, first + second)
    assert [list(t.columns) for t in tables] == [["RPM", "MAP"], ["Öl"]]
    assert tables[1].time[-1] == pytest.approx(5.8)
    assert note(notes, "another-table").places == ("line 42",)


def test_glued_with_the_same_width_and_other_names(tmp_path: Path) -> None:
    first = "Time,RPM,MAP\n" + "".join(f"{k / 10},{1000 + k},98\n" for k in range(40))
    second = "Time,Oil,Fuel\n" + "".join(f"{k / 10},{5},{3}\n" for k in range(30))
    tables, _ = _read(tmp_path, first + second)
    assert [list(t.columns) for t in tables] == [["RPM", "MAP"], ["Oil", "Fuel"]]
    assert [t.time.size for t in tables] == [40, 30]


CLOCKS = {
    "hours, minutes, seconds": [f"17:58:{2 + k / 10:06.3f}" for k in range(20)],
    "minutes and seconds": [f"58:{2 + k / 10:04.1f}" for k in range(20)],
    "decimal comma in the clock": [f"17:58:{2 + k / 10:06.3f}".replace(".", ",") for k in range(20)],
    "colon before the fraction": [f"17:58:{2 + k // 10:02d}:{k % 10}00" for k in range(20)],
    "morning and afternoon": [f"5:58:{2 + k / 10:06.3f} PM" for k in range(20)],
    "date and clock": [f"2018-02-23 17:58:{2 + k / 10:06.3f}" for k in range(20)],
    "date and clock, T": [f"2018-02-23T17:58:{2 + k / 10:06.3f}Z" for k in range(20)],
    "day first": [f"23.02.2018 17:58:{2 + k / 10:06.3f}" for k in range(20)],
    "seconds since 1970": [f"{1519405082 + k / 10:.1f}" for k in range(20)],
    "milliseconds since 1970": [f"{1519405082000 + k * 100}" for k in range(20)],
    "milliseconds": [f"{k * 100}" for k in range(20)],
    "seconds": [f"{k / 10:.3f}" for k in range(20)],
}  # fmt: skip


@pytest.mark.parametrize("habit", CLOCKS)
def test_clocks(tmp_path: Path, habit: str) -> None:
    rows = "".join(f"{stamp};{1000 + k};98\n" for k, stamp in enumerate(CLOCKS[habit]))
    read, _ = _one(tmp_path, "Time;RPM;MAP\n" + rows)
    np.testing.assert_allclose(read.time, np.arange(20) / 10, atol=1e-4)
    _same(read.columns["RPM"], [1000 + k for k in range(20)])


def test_date_and_clock_in_two_columns(tmp_path: Path) -> None:
    rows = "".join(
        f"{'23' if k < 5 else '24'}.02.2018;{'23:59:5' if k < 5 else '00:00:0'}{5 + k if k < 5 else k - 5};98\n"
        for k in range(10)
    )
    read, _ = _one(tmp_path, "Date;Time;MAP\n" + rows)
    np.testing.assert_allclose(read.time, np.arange(10))
    assert list(read.columns) == ["MAP"]


@pytest.mark.parametrize(("unit", "count"), [("ms", 65536), ("us", 4294967296)])
def test_counter_rolls_over(tmp_path: Path, unit: str, count: int) -> None:
    step = {"ms": 50, "us": 50_000}[unit]
    stamps = [(count - 40 * step + k * step) % count for k in range(80)]
    read, notes = _one(
        tmp_path, f"Time [{unit}],RPM\n" + "".join(f"{s},{1000 + k}\n" for k, s in enumerate(stamps))
    )
    np.testing.assert_allclose(np.diff(read.time), 0.05, atol=1e-9)
    assert "clock-rolled-over" in codes(notes)


def test_midnight(tmp_path: Path) -> None:
    stamps = [f"23:59:{58 + k / 10:04.1f}" for k in range(20)] + [f"00:00:{k / 10:04.1f}" for k in range(20)]
    read, notes = _one(tmp_path, "Time,RPM\n" + "".join(f"{s},1\n" for s in stamps))
    np.testing.assert_allclose(np.diff(read.time), 0.1, atol=1e-6)
    assert "clock-rolled-over" in codes(notes)


def test_hour_rolls_over_in_minutes_and_seconds(tmp_path: Path) -> None:
    stamps = [f"59:{58 + k / 10:04.1f}" for k in range(20)] + [f"00:{k / 10:04.1f}" for k in range(20)]
    read, _ = _one(tmp_path, "Time,RPM\n" + "".join(f"{s},1\n" for s in stamps))
    np.testing.assert_allclose(np.diff(read.time), 0.1, atol=1e-6)


def test_coarse_stamps_are_kept_and_said(tmp_path: Path) -> None:
    read, notes = _one(
        tmp_path, "Time,RPM\n" + "".join(f"00:0{k // 40}.{k // 4 % 10},{k}\n" for k in range(60))
    )
    assert (np.diff(read.time) == 0).sum() == 45
    assert note(notes, "stamps-shared").count == 45


def test_time_backwards_a_little(tmp_path: Path) -> None:
    stamps = [0.0, 0.1, 0.2, 0.4, 0.3, 0.5, 0.6]
    read, notes = _one(tmp_path, "Time,RPM\n" + "".join(f"{s},{int(s * 10)}\n" for s in stamps))
    assert (np.diff(read.time) > 0).all()
    _same(read.columns["RPM"], [0, 1, 2, 3, 4, 5, 6])
    assert "line 6" in note(notes, "time-backwards").places[0]


def test_time_unit_that_fits_two_is_asked(tmp_path: Path) -> None:
    text = "Time,RPM\n" + "".join(f"{5 * k},1000\n" for k in range(20))
    _, notes = _read(tmp_path, text)
    assert "--time-unit" in note(notes, "ask-time").text
    read, notes = _one(tmp_path, text, TextOptions(time_unit="ms"))
    assert "ask-time" not in codes(notes)
    assert read.time[-1] == pytest.approx(0.095)


def test_no_time_is_asked_for(tmp_path: Path) -> None:
    text = "RPM,MAP\n" + "".join(f"{1000 + (7 * k) % 50},{98 + (3 * k) % 7}\n" for k in range(30))
    _, notes = _read(tmp_path, text)
    assert "--rate" in note(notes, "ask-time").text
    read, notes = _one(tmp_path, text, TextOptions(rate=20))
    assert read.time[-1] == pytest.approx(29 / 20)
    assert "ask-time" not in codes(notes)


MISSING = ["", "NaN", "nan", "---", "-", "N/A", "null", "#DIV/0!", "1.#QNAN", "?", "****"]


@pytest.mark.parametrize("word", MISSING)
def test_words_for_no_value(tmp_path: Path, word: str) -> None:
    read, notes = _one(tmp_path, f"Time,RPM,MAP\n0.0,1000,98\n0.1,{word},99\n0.2,1002,{word}\n0.3,1003,101\n")
    _same(read.columns["RPM"], [1000, NAN, 1002, 1003])
    _same(read.columns["MAP"], [98, 99, NAN, 101])
    assert "not-a-number" not in codes(notes)


def test_several_rates_with_gaps(tmp_path: Path) -> None:
    rows = "".join(f"{k / 100:.2f},{1000 + k},{500 + k if k % 10 == 0 else ''}\n" for k in range(100))
    read, _ = _one(tmp_path, "Time,RPM,EGT\n" + rows)
    assert np.isfinite(read.columns["EGT"]).sum() == 10
    assert np.isfinite(read.columns["RPM"]).sum() == 100


def test_first_rows_triangular(tmp_path: Path) -> None:
    rows = ["0.0,1,,,", "0.1,1,2,,", "0.2,1,2,3,", *(f"0.{k},1,2,3,4" for k in range(3, 9))]
    read, notes = _one(tmp_path, "Time,A1,B1,C1,D1\n" + "\n".join(rows) + "\n")
    _same(read.columns["D1"], [NAN, NAN, NAN, 4, 4, 4, 4, 4, 4])
    assert not [n for n in notes if n.harm]


THOUSANDS = {
    "comma": ("Time;RPM;P\n0.0;950;98.5\n0.1;1,050;98.5\n0.2;12,345;1,234.5\n", 12345.0, 1234.5),
    "point": ("Time;RPM;P\n0,0;950;98,5\n0,1;1.050;98,5\n0,2;12.345;1.234,5\n", 12345.0, 1234.5),
    "blank": ("Time;RPM;P\n0,0;950;98,5\n0,1;1 050;98,5\n0,2;12 345;1 234,5\n", 12345.0, 1234.5),
    "apostrophe": ("Time;RPM;P\n0.0;950;98.5\n0.1;1'050;98.5\n0.2;12'345;1'234.5\n", 12345.0, 1234.5),
    "quoted": ('Time,RPM,P\n0.0,950,98.5\n0.1,"1,050",98.5\n0.2,"12,345","1,234.5"\n', 12345.0, 1234.5),
    "no-break blank": (
        "Time;RPM;P\n0,0;950;98,5\n0,1;1\u00a0050;98,5\n0,2;12\u00a0345;1\u00a0234,5\n",
        12345.0,
        1234.5,
    ),
}


@pytest.mark.parametrize("mark", THOUSANDS)
def test_thousands_marks(tmp_path: Path, mark: str) -> None:
    text, speed, pressure = THOUSANDS[mark]
    read, _ = _one(tmp_path, text)
    _same(read.columns["RPM"], [950, 1050, speed])
    _same(read.columns["P"], [98.5, 98.5, pressure])


def test_units_within_cells(tmp_path: Path) -> None:
    read, _ = _one(
        tmp_path, "Time,RPM,MAP\n0.0,1000 rpm,98 kPa\n0.1,1010 rpm,99 kPa\n0.2,1020 rpm,99.5 kPa\n"
    )
    assert [c.unit for c in read.table.columns] == ["rpm", "kPa"]
    _same(read.columns["MAP"], [98, 99, 99.5])


def test_words_as_states(tmp_path: Path) -> None:
    read, _ = _one(tmp_path, "Time,RPM,Pump,Mode\n0.0,1000,ON,idle\n0.1,1010,OFF,pull\n0.2,1020,ON,idle\n")
    assert read.table.states == {1: ["ON", "OFF"], 2: ["idle", "pull"]}
    _same(read.columns["Mode"], [0, 1, 0])


def test_last_row_cut_off(tmp_path: Path) -> None:
    read, notes = _one(tmp_path, "Time,RPM,MAP,EGT\n0.0,1000,98,500\n0.1,1001,99,501\n0.2,1002,10")
    _same(read.columns["RPM"], [1000, 1001, 1002])
    _same(read.columns["MAP"], [98, 99, NAN])
    assert "line 4" in note(notes, "last-row-cut").places[0]


def test_short_and_long_rows(tmp_path: Path) -> None:
    read, notes = _one(tmp_path, "Time,RPM,MAP\n0.0,1000,98\n0.1,1001\n0.2,1002,99,7,8\n0.3,1003,100\n")
    np.testing.assert_allclose(read.time, [0, 0.1, 0.3])
    _same(read.columns["MAP"], [98, NAN, 100])
    assert "line 3" in note(notes, "row-too-short").places[0]
    assert "line 4" in note(notes, "row-too-long").places[0]


def test_words_where_numbers_should_be_are_named(tmp_path: Path) -> None:
    read, notes = _one(tmp_path, "Time,RPM,MAP\n0.0,1000,98\n0.1,abc,99\n0.2,1002,100\n")
    _same(read.columns["RPM"], [1000, NAN, 1002])
    found = note(notes, "not-a-number")
    assert found.harm
    assert found.places == ("line 3, column 2 (RPM): 'abc'",)


def test_zero_bytes(tmp_path: Path) -> None:
    rows = (
        b"Time,RPM,MAP\n0.0,1000,98\n0.1,1001,99\n"
        + b"\0" * 512
        + b"\n0.2,1002,100\n0.3,1003,101\n"
        + b"\0" * 4096
    )
    read, notes = _one(tmp_path, rows)
    _same(read.columns["RPM"], [1000, 1001, 1002, 1003])
    assert note(notes, "zero-bytes").harm


def test_junk_at_the_end(tmp_path: Path) -> None:
    text = "Time,RPM,MAP\n0.0,1000,98\n0.1,1001,99\n0.2,1002,100\n\nEnd of recording\nChecksum: 4711\n\x1a"
    read, notes = _one(tmp_path, text)
    _same(read.columns["RPM"], [1000, 1001, 1002])
    assert "words-between-rows" in codes(notes)


def test_repeated_rows_are_kept(tmp_path: Path) -> None:
    read, _ = _one(tmp_path, "Time,RPM\n0.0,1000\n0.1,1001\n0.1,1001\n0.2,1002\n")
    assert read.time.size == 4


def test_row_without_a_time(tmp_path: Path) -> None:
    read, notes = _one(tmp_path, "Time,RPM,MAP\n0.0,1000,98\n,1001,99\n0.2,1002,100\n0.3,1003,100\n")
    _same(read.columns["RPM"], [1000, 1002, 1003])
    assert "line 3" in note(notes, "row-without-time").places[0]


def test_large_whole_numbers_keep_their_digits(tmp_path: Path) -> None:
    read, _ = _one(tmp_path, "Time,Counter\n0.0,123456789\n0.1,123456790\n0.2,123456791\n")
    assert read.columns["Counter"].tolist() == [123456789, 123456790, 123456791]


def test_many_digits_and_hexadecimal(tmp_path: Path) -> None:
    read, _ = _one(tmp_path, "Time,V,State\n0.0,1.23456789012345678901,0x1F\n0.1,0.1,0x20\n0.2,0.2,0x21\n")
    _same(read.columns["V"], [1.2345678901234567, 0.1, 0.2])
    _same(read.columns["State"], [31, 32, 33])


def test_one_value_a_row(tmp_path: Path) -> None:
    rows = "".join(
        f"{k / 10};{'RPM' if k % 2 else 'Oil Temp'};{1000 + k if k % 2 else 90};{'rpm' if k % 2 else '°C'}\n"
        for k in range(40)
    )
    tables, _ = _read(tmp_path, "Time;Name;Value;Unit\n" + rows)
    found = {t.table.columns[0].name: t for t in tables}
    assert set(found) == {"RPM", "Oil Temp"}
    assert found["Oil Temp"].table.columns[0].unit == "°C"
    np.testing.assert_allclose(found["RPM"].time[:2], [0.1, 0.3])


def test_comma_for_fields_and_decimals_is_refused_with_a_remedy(tmp_path: Path) -> None:
    text = "Time,RPM,MAP\n" + "".join(f"0,{k},1000,5,98,{k}\n" for k in range(9))
    with pytest.raises(LogError, match="between fields and within numbers"):
        _read(tmp_path, text)


def test_all_rows_without_a_number(tmp_path: Path) -> None:
    read, _ = _one(tmp_path, "Time,RPM,MAP\n" + "".join(f"{k / 10},NaN,NaN\n" for k in range(20)))
    assert np.isnan(read.columns["RPM"]).all()


def test_engine_off_for_the_whole_log(tmp_path: Path) -> None:
    read, _ = _one(tmp_path, "Time,RPM,MAP\n" + "".join(f"{k / 10},0,98.4\n" for k in range(20)))
    assert (read.columns["RPM"] == 0).all()
