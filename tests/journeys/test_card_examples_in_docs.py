"""The part cards printed in the documentation are good cards."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from boostwright.cards.look_up import find_card

PAGE = Path(__file__).parents[2] / "docs" / "howto" / "part-card-of-your-own.md"
TEXT = PAGE.read_text(encoding="utf-8")
CARDS = re.findall(r"```toml\n(.*?)```", TEXT, re.DOTALL)
NAMES = [re.search(r'^name = "(.*)"', card, re.MULTILINE) for card in CARDS]


@pytest.mark.parametrize("number", range(len(CARDS)))
def test_printed_card_is_found_and_gives_no_cause_to_ask(tmp_path: Path, number: int) -> None:
    folder = tmp_path / "cards"
    folder.mkdir()
    tables = re.findall(r"```csv\n(.*?)```", TEXT, re.DOTALL)
    assert len(tables) == 1
    (folder / "my-compressor.csv").write_text(tables[0], encoding="utf-8")
    name = NAMES[number]
    assert name is not None
    (folder / f"{name[1]}.toml").write_text(CARDS[number], encoding="utf-8")
    kind = re.search(r'^kind = "(.*)"', CARDS[number])
    assert kind is not None
    card = find_card(kind[1], name[1], tmp_path)
    assert card.found_in == "the build's cards"
    assert not card.warnings


def test_all_were_tried() -> None:
    assert len(CARDS) == 4
