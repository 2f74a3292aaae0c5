"""Files of made logs come back through the importer as they were: times, values, mapping right or asked."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from boostwright.logs.made.faults import SimulationError, read_fault
from boostwright.logs.made.kit_file import KITS, KitFacts, namings, read_kit
from boostwright.logs.made.recorded import Recorded, record
from boostwright.logs.made.write_mdf import mdf_bytes
from boostwright.logs.made.write_text import HABITS, text_bytes
from boostwright.logs.made.write_truth import INVENTED, samples_parquet, true_parquet
from boostwright.logs.mapping.channels import open_channels
from boostwright.tasks.import_log import ImportedLog, import_logs
from tests.support.made_run import made_run
from tests.support.read_log import codes, read_back

RUN = made_run(70.0, 0.002)
ABOUT = [INVENTED.replace(",", ";"), "seed 1"]


def _made(kit: str, writing: str, *faults: str, index: int = 0) -> Recorded:
    logger = replace(read_kit(kit, KitFacts(5, 0.2)).loggers[index], writing=writing)
    return record(logger, RUN, [read_fault(one) for one in faults], 1, 0.0, 70.0)


def _written(log: Recorded, folder: Path) -> Path:
    if log.logger.writing == "mdf":
        pytest.importorskip("asammdf")
        path, data = folder / "log.mf4", mdf_bytes(log, ABOUT)
    else:
        path, data = folder / "log.csv", text_bytes(log, ABOUT)[0]
    path.write_bytes(data)
    return path


def _imported(path: Path) -> ImportedLog:
    (log,) = import_logs([path], path.parent / "logs").logs
    return log


@pytest.mark.parametrize("writing", [*HABITS, "mdf"])
@pytest.mark.parametrize("kit", KITS)
def test_round_trip(kit: str, writing: str, tmp_path: Path) -> None:
    log = _made(kit, writing)
    got = _imported(_written(log, tmp_path))
    channels, wanted = open_channels(got.entry.folder), log.channels()
    by_name = {one.name: one for one in log.logger.instruments}
    for proposal in got.proposals:
        instrument = by_name[proposal.column]
        assert proposal.taken or proposal.status == "asked", proposal.column
        if not proposal.taken:
            continue
        series = channels.read(instrument.channel)
        sampled = writing in ("mdf", "one-value-a-row")
        want = log.reading(instrument.channel).value if sampled else wanted.read(instrument.channel).value
        assert series.value.size == want.size
        assert series.value == pytest.approx(
            want, rel=3e-7, abs=1e-6 * max(1.0, float(np.nanmax(np.abs(want)))), nan_ok=True
        )
        if instrument.basis:
            assert series.basis == instrument.basis
        if not sampled:
            # stamps are rounded to a millisecond
            assert np.abs(series.time - wanted.read(instrument.channel).time).max() <= 0.0011
    taken = [one for one in got.proposals if one.taken]
    if kit != "hobby" and writing != "plain":
        assert len(taken) == len(got.proposals), "names with units need no question"
    assert not [note for note in got.entry.notes if note.harm]


@pytest.mark.parametrize("writing", [*HABITS, "mdf"])
def test_the_file_itself_says_that_it_is_invented(writing: str, tmp_path: Path) -> None:
    data = _written(_made("hobby", writing), tmp_path).read_bytes()
    assert b"Invented data; made by a model: no measurement" in data
    if writing != "mdf":
        assert data.startswith(b"# Invented data")


@pytest.mark.parametrize("writing", ["comma", "semicolon", "mdf"])
def test_same_seed_same_bytes(writing: str, tmp_path: Path) -> None:
    first = _written(_made("hobby", writing), tmp_path).read_bytes()
    assert first == _written(_made("hobby", writing), tmp_path).read_bytes()
    logs = [_made("hobby", writing)]
    assert samples_parquet(logs) == samples_parquet([_made("hobby", writing)])
    assert true_parquet(RUN, 0.01) == true_parquet(RUN, 0.01)


def test_repeated_header_is_seen_and_left_out(tmp_path: Path) -> None:
    log = _made("standalone", "comma", "repeated-header times=3")
    path = _written(log, tmp_path)
    header = path.read_text().splitlines()[2]
    assert path.read_text().splitlines().count(header) == 4
    tables, notes = read_back(path)
    assert sum(one.time.size for one in tables) == log.samples.rows.size
    assert "header-repeated" in codes(notes)


def test_truncated_row_ends_in_a_number(tmp_path: Path) -> None:
    log = _made("standalone", "comma", "truncated-row")
    data = _written(log, tmp_path).read_bytes()
    assert not data.endswith(b"\n")
    whole = text_bytes(replace(log, file_faults=()), ABOUT)[0]
    assert whole.startswith(data)
    _, told = text_bytes(log, ABOUT)
    assert told[0].code == "truncated-row"
    assert told[0].numbers["line"] == data.count(b"\n") + 1


@pytest.mark.parametrize("writing", ["clock", "comma"])
def test_a_clock_that_rolls_over_is_unrolled(writing: str, tmp_path: Path) -> None:
    log = _made("standalone", writing, "clock-rolls-over after=30s")
    path = _written(log, tmp_path)
    (table,), notes = read_back(path)
    assert "clock-rolled-over" in codes(notes)
    assert np.abs(table.time - (log.stamps - log.stamps[0])).max() <= 0.0011
    _, told = text_bytes(log, ABOUT)
    assert told[0].numbers["at"] == pytest.approx(30.0, abs=0.1)


def test_glued_files_come_apart(tmp_path: Path) -> None:
    log = _made("standalone", "comma", "glued after=40s")
    tables, _ = read_back(_written(log, tmp_path))
    assert [one.table.part for one in tables] == [1, 2]
    assert sum(one.time.size for one in tables) == log.samples.rows.size
    assert tables[1].time[0] == 0.0
    assert tables[0].time[-1] == pytest.approx(40.0, abs=0.1)


def test_decimal_comma(tmp_path: Path) -> None:
    log = _made("standalone", "comma", "decimal-comma")
    (table,), _ = read_back(_written(log, tmp_path))
    want = log.channels().read("pressure_im").value / 1e3
    assert table.columns["Manifold Pressure"] == pytest.approx(want, rel=1e-6)


def test_faults_of_a_text_are_refused_where_they_cannot_be() -> None:
    with pytest.raises(SimulationError, match="MDF"):
        mdf_bytes(_made("hobby", "mdf", "truncated-row"), ABOUT)
    with pytest.raises(SimulationError, match="one value a row"):
        text_bytes(_made("hobby", "one-value-a-row", "glued"), ABOUT)


@pytest.mark.parametrize("habit", namings())
def test_names_of_a_habit_are_taken_rightly_or_not_at_all(habit: str, tmp_path: Path) -> None:
    own = [name for name in namings()[habit] if name.replace("#", "1") in RUN.channels]
    channels = "".join(f'"{name}" = {{ digits = 4 }}\n' for name in own)
    path = tmp_path / "all.toml"
    path.write_text(
        f'[[logger]]\nsampling = "together"\nrate = "20 Hz"\nnames = "{habit}"\n[logger.channels]\n{channels}'
    )
    (logger,) = read_kit(path, KitFacts(3, 0.2)).loggers
    log = record(logger, RUN, [], 1, 0.0, 70.0)
    got = _imported(_written(log, tmp_path))
    by_name = {one.name: one for one in log.logger.instruments}
    assert len(got.proposals) == len(by_name)
    taken = 0
    for proposal in got.proposals:
        instrument = by_name[proposal.column]
        if proposal.taken and proposal.choice is not None:
            taken += 1
            numbered = (instrument.channel, f"{instrument.channel}_1")  # one lambda may be called the first
            assert proposal.choice.channel in numbered, proposal.column
            assert proposal.choice.unit == instrument.measured_in, proposal.column
            if instrument.basis:
                assert proposal.choice.basis == instrument.basis, proposal.column
    assert taken >= 0.4 * len(by_name)
