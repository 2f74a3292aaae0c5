"""A long run sees each card as it was when it was first read, and the next run sees what stands there then."""

from __future__ import annotations

from pathlib import Path
from shutil import copyfile

import pytest

from boostwright.cards.look_up import LIBRARY, cards_as_first_read, find_card
from boostwright.errors import UnknownPart


def _own_fuel(folder: Path, density: float) -> None:
    place = folder / "cards" / "fuel" / "mine.toml"
    place.parent.mkdir(parents=True, exist_ok=True)
    copyfile(LIBRARY / "fuel" / "petrol-ron95.toml", place)
    text = place.read_text(encoding="utf-8")
    assert 'density = "745 kg/m3"' in text
    changed = text.replace('density = "745 kg/m3"', f'density = "{density} kg/m3"')
    changed = changed.replace('name = "petrol-ron95"', 'name = "mine"')
    place.write_text(changed, encoding="utf-8")


def test_a_card_that_changes_is_seen_by_the_next_run_alone(tmp_path: Path) -> None:
    _own_fuel(tmp_path, 741.0)
    with cards_as_first_read():
        first = find_card("fuel", "mine", tmp_path)
        _own_fuel(tmp_path, 752.0)
        assert find_card("fuel", "mine", tmp_path) is first
        with cards_as_first_read():
            assert find_card("fuel", "mine", tmp_path) is first
    assert first.si("density") == 741.0
    assert find_card("fuel", "mine", tmp_path).si("density") == 752.0
    with cards_as_first_read():
        assert find_card("fuel", "mine", tmp_path).si("density") == 752.0


def test_a_card_that_is_not_there_is_looked_for_again(tmp_path: Path) -> None:
    with cards_as_first_read():
        with pytest.raises(UnknownPart):
            find_card("fuel", "mine", tmp_path)
        _own_fuel(tmp_path, 741.0)
        assert find_card("fuel", "mine", tmp_path).si("density") == 741.0
