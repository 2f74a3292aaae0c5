"""Files as a small workshop writes them by hand or out of a spreadsheet, and the answers to what is asked of them."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from boostwright.cli.main import main
from boostwright.logs.mapping.channels import open_channels
from boostwright.tasks.import_log import ImportedLog, ImportOptions, TextOptions, import_logs

RPM = 2 * np.pi / 60


def _import(
    folder: Path, text: str, encoding: str = "utf-8", options: ImportOptions | None = None
) -> ImportedLog:
    file = folder / "log.csv"
    file.write_bytes(text.encode(encoding))
    result = import_logs([file], folder / "logs", options)
    assert not result.failed, result.failed
    return result.logs[0]


def _channels(log: ImportedLog) -> dict[str, str]:
    return {p.column: p.choice.channel for p in log.proposals if p.taken and p.choice is not None}


def _pull(mark: str) -> list[tuple[float, str, int]]:
    """(time [s], engine speed with thousands marked, the same in rpm) from rest through idle to 6000 rpm."""
    rows = []
    for k in range(120):
        speed = 0 if k < 20 else 900 if k < 40 else 900 + 64 * (k - 40)
        rows.append((k / 10, f"{speed:,}".replace(",", mark), speed))
    return rows


@pytest.mark.parametrize(
    ("mark", "encoding"),
    [
        ("\u00a0", "cp1252"),
        ("\u00a0", "mac-roman"),
        ("\u00a0", "utf-8"),
        ("\u202f", "utf-8"),
        ("\u2019", "cp1252"),
    ],
)
def test_thousands_parted_by_a_blank_that_does_not_break(tmp_path: Path, mark: str, encoding: str) -> None:
    """As spreadsheets part them; the degree sign of the other columns must still be one."""
    rows = "".join(
        f"{time:.1f};{text};{60 + k % 9};{k % 30}\n" for k, (time, text, _) in enumerate(_pull(mark))
    )
    log = _import(tmp_path, "Time [s];RPM;T ex [°C];Ign [°KW]\n" + rows, encoding)
    speed = open_channels(log.entry.folder).read("engine_speed")
    np.testing.assert_allclose(speed.value / RPM, [rpm for _, _, rpm in _pull(mark)], atol=0.01)
    assert _channels(log)["Ign"] == "angle_spark"


def test_a_speed_in_turns_is_the_engines(tmp_path: Path) -> None:
    rows = "".join(f"{time:.1f};{rpm}\n" for time, _, rpm in _pull(""))
    assert _channels(_import(tmp_path, "Time [s];Speed [rpm]\n" + rows)) == {"Speed": "engine_speed"}


@pytest.mark.parametrize(("hottest", "taken"), [(840, {"T vor Turbo": "egt_reading"}), (60, {})])
def test_what_its_numbers_cannot_be_is_not_offered(
    tmp_path: Path, hottest: int, taken: dict[str, str]
) -> None:
    """Before the turbo may be the compressor's inlet or the turbine's; of 840 degC only one of them."""
    rows = "".join(f"{k / 10:.1f};{20 + (hottest - 20) * k // 99}\n" for k in range(100))
    log = _import(tmp_path, "Zeit [s];T vor Turbo [°C]\n" + rows)
    assert _channels(log) == taken
    assert bool(log.questions) is not bool(taken)


def test_horsepower_at_the_end_of_a_name(tmp_path: Path) -> None:
    rows = "".join(f"{k / 10:.1f};{100 + k}\n" for k in range(50))
    (question,) = _import(tmp_path, "Zeit [s];Power PS\n" + rows).questions
    assert [choice.words() for choice in question.choices] == ["power PS", "power_wheel PS"]


CURVE = "RPM;Torque Nm\n" + "".join(
    f"{speed};{380 - (speed - 4500) ** 2 / 5e4:.1f}\n" for speed in range(2500, 6600, 100)
)


def test_a_curve_over_engine_speed_has_no_ramp(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A dyno's printed curve has no time: rows counted as seconds must give no acceleration."""
    file = tmp_path / "sheet.csv"
    file.write_text(CURVE)
    assert main(["import", str(file), "--to", str(tmp_path / "logs"), "--map", "Torque Nm=torque Nm"]) == 0
    assert "RPM rises by 100 from row to row" in " ".join(capsys.readouterr().out.split())
    assert main(["derive", str(tmp_path / "logs" / "sheet")]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "Its times are not known" in told
    assert "engine_acceleration (a time" in told or "a time (boostwright import" in told
    assert "power" in told


def test_a_rate_that_is_said_later_is_heeded(tmp_path: Path) -> None:
    """As the question asks for; the answers given before are kept, and a third import reads nothing anew."""
    first = _import(tmp_path, CURVE, options=ImportOptions(maps=("Torque Nm=torque Nm",)))
    second = _import(tmp_path, CURVE, options=ImportOptions(TextOptions(rate=20.0)))
    assert second.entry.tables[0].end == pytest.approx(first.entry.tables[0].end / 20.0)
    assert _channels(second)["Torque Nm"] == "torque"
    for options in (ImportOptions(TextOptions(rate=20.0)), None):
        third = _import(tmp_path, CURVE, options=options)
        assert (third.new, third.entry.folder) == (False, second.entry.folder)


def test_an_answer_may_be_copied_from_the_question(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "log.csv"
    rows = "".join(f"{k / 10},{1000 + k},{300 + k % 20}\n" for k in range(40))
    file.write_text("Time [s],RPM,Fuel Press [kPa]\n" + rows)
    run = ["import", str(file), "--to", str(tmp_path / "logs")]
    assert main(run) == 0
    told = capsys.readouterr().out
    assert '--map "Fuel Press=fuel_pressure kPa absolute"' in told
    assert main([*run, "--map", "Fuel Press=fuel_pressure kPa gauge"]) == 0
    assert "fuel_pressure  kPa gauge" in capsys.readouterr().out
    assert main([*run, "--map", "RPM=pressure_im"]) == 2
    assert '--map "RPM=pressure_im kPa absolute"' in capsys.readouterr().err


def test_why_a_column_with_a_unit_is_asked_about(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "log.csv"
    file.write_text("Time [s],Throttle [%]\n" + "".join(f"{k / 10},{30 + 1.5 * k}\n" for k in range(100)))
    assert main(["import", str(file), "--to", str(tmp_path / "logs")]) == 0
    assert "(the header says %, which its numbers (" in capsys.readouterr().out


def test_a_library_that_is_missing_is_named_with_the_python_that_lacks_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another Python's pip would put it where nobody looks."""
    from boostwright.logs.importers.can import load_databases
    from boostwright.logs.importers.mdf import read_mdf
    from boostwright.logs.records import LogError, Notes

    monkeypatch.setitem(sys.modules, "asammdf", None)
    monkeypatch.setitem(sys.modules, "cantools", None)
    monkeypatch.chdir(Path(sys.executable).parent)
    old = Path(__file__).resolve().parents[1] / "data" / "logs" / "kit_multirate_3.mdf"
    for run in (lambda: list(read_mdf(old, Notes(), ())), lambda: load_databases((tmp_path / "bus.dbc",))):
        with pytest.raises(LogError) as refused:
            run()
        remedy = refused.value.faults[0].remedy
        assert f'{Path(sys.executable).name} -m pip install "boostwright[mdf' in remedy
    with pytest.raises(LogError, match="kit_multirate_3"):
        list(read_mdf(old, Notes(), ()))
