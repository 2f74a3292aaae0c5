import os
from pathlib import Path

import pytest

from boostwright.report.files import (
    OutputError,
    check_output_file,
    check_output_folder,
    make_output_folder,
    write_whole,
)


def test_a_file_is_replaced_whole_and_nothing_else_stays_behind(tmp_path: Path) -> None:
    path = tmp_path / "out.csv"
    path.write_text("old")
    write_whole(path, "nächste\n", "--csv")
    assert path.read_bytes() == "nächste\n".encode()
    assert [entry.name for entry in tmp_path.iterdir()] == ["out.csv"]


def test_a_new_file_has_the_rights_the_user_is_used_to(tmp_path: Path) -> None:
    ordinary = tmp_path / "ordinary"
    ordinary.write_text("")
    write_whole(tmp_path / "ours", b"x", "--csv")
    assert (tmp_path / "ours").stat().st_mode == ordinary.stat().st_mode


def test_what_stood_there_survives_a_refused_write(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "out.csv"
    path.write_text("old")

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "replace", refuse)
    with pytest.raises(OutputError, match="cannot be written: Permission denied"):
        write_whole(path, "new", "--csv")
    assert path.read_text() == "old"
    assert [entry.name for entry in tmp_path.iterdir()] == ["out.csv"]


def test_folders_on_the_way_are_made(tmp_path: Path) -> None:
    check_output_file(tmp_path / "a" / "b" / "out.csv", "--csv")
    assert not (tmp_path / "a").exists()
    write_whole(tmp_path / "a" / "b" / "out.csv", "text", "--csv")
    assert (tmp_path / "a" / "b" / "out.csv").read_text() == "text"


def test_a_pipe_or_device_is_written_into() -> None:
    write_whole(Path(os.devnull), "text", "--json")
    assert Path(os.devnull).exists()


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("build.toml", "describes a car or a part"),
        ("folder", "is a folder"),
        ("file/out.csv", "is a file, not a folder"),
        ("file/deeper/out.csv", "is a file, not a folder"),
    ],
)
def test_a_place_that_cannot_be_written_is_refused_before_any_work(
    tmp_path: Path, name: str, message: str
) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputError, match=message) as caught:
        check_output_file(tmp_path / name, "--csv")
    assert "--csv" in str(caught.value)
    assert "Remedy" in str(caught.value)


def test_a_file_is_no_folder_for_pictures(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputError, match="is a file, not a folder"):
        check_output_folder(tmp_path / "file", "--plot")
    with pytest.raises(OutputError, match="cannot be made"):
        make_output_folder(tmp_path / "file" / "deeper", "--plot")
    check_output_folder(tmp_path / "not-there-yet", "--plot")
