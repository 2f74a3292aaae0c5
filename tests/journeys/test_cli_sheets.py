"""``boostwright plan BUILD --sheets``: files of one page, text on request, and folders that cannot be."""

from __future__ import annotations

import json
from pathlib import Path

import pypdf
import pytest
from green_build import ESTATE

from boostwright.cli.main import main

FEW = ("--samples", "0", "--speeds", "2000, 3000, 4500, 6000 rpm")


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = main(["plan", str(ESTATE), *FEW, *arguments])
    shown = capsys.readouterr()
    return code, shown.out, shown.err


def test_four_pages_and_their_numbers(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, _, errors = run(
        capsys, "--sheets", str(tmp_path / "new" / "sheets"), "--json", str(tmp_path / "plan.json")
    )
    assert code == 0, errors
    names = sorted(path.name for path in (tmp_path / "new" / "sheets").iterdir())
    assert names == ["dyno-card.pdf", "go-no-go.pdf", "order-sheet.pdf", "pocket-card.pdf", "sheets.json"]
    for name in names[:4]:
        reader = pypdf.PdfReader(tmp_path / "new" / "sheets" / name)
        assert len(reader.pages) == 1, name
        assert "Hill climb estate" in reader.pages[0].extract_text()
    sheets = json.loads((tmp_path / "new" / "sheets" / "sheets.json").read_text(encoding="utf-8"))
    assert set(sheets) == {"order_sheet", "go_no_go", "dyno_card", "pocket_card"}
    assert len(sheets["dyno_card"]["target"]) == 4
    assert f"5 files in {tmp_path / 'new' / 'sheets'}" in errors


def test_text_on_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    code, text, errors = run(capsys, "--set", "plan.parts=", "--sheets", "-")
    assert code == 0, errors
    for title in ("Order sheet: ", "Go / no-go: ", "Dyno card: ", "Pocket card: "):
        assert f"\n{title}Hill climb estate" in text
    assert not Path("-").exists()


def test_a_file_where_the_folder_should_be_is_refused_before_any_work(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    standing = tmp_path / "sheets"
    standing.write_text("mine", encoding="utf-8")
    code, _, errors = run(capsys, "--sheets", str(standing))
    assert code == 2
    assert "--sheets" in errors
    assert standing.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("name", ["hill_climb_estate", "transverse_three"])
def test_both_examples_say_honestly_what_is_not_known(name: str) -> None:
    from boostwright.tasks.sheets.answer import Stage, Verdict
    from boostwright.tasks.sheets.go_no_go import go_no_go

    sheet = go_no_go(ESTATE.parent / name)
    verdicts = [line.verdict for line in sheet.lines]
    assert verdicts.count(Verdict.GO) > len(verdicts) / 3
    assert Verdict.NOT_ANSWERED in verdicts
    assert not sheet.may_go(Stage.FIRST_FIRE)
