"""The page of channels says what the program says."""

from __future__ import annotations

from pathlib import Path

from boostwright.logs.mapping.names import CHANNELS
from boostwright.tasks.names import QUANTITIES

PAGE = Path(__file__).resolve().parents[2] / "docs" / "reference" / "log-channels.md"


def test_every_channel_is_on_the_page_with_words_and_unit() -> None:
    rows = [line for line in PAGE.read_text(encoding="utf-8").splitlines() if line.startswith("| `")]
    found = {row.split("`")[1]: [cell.strip() for cell in row.split("|")[2:4]] for row in rows}
    assert found == {name: [channel.words, channel.si] for name, channel in CHANNELS.items()}


def test_a_name_means_in_a_log_what_it_means_in_a_prediction() -> None:
    for name in set(CHANNELS) & set(QUANTITIES):
        assert CHANNELS[name].si == QUANTITIES[name][0], name
