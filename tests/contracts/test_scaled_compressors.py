"""The scaled compressor cards that are shipped are those that the study makes, and say that they are scaled."""

from __future__ import annotations

import pytest

from boostwright.cards.look_up import find_card, list_cards
from studies.compressor_scaling.scale_cards import LIBRARY, SIZES_MM, scaled_card

MADE = [(parent, size) for parent, sizes in SIZES_MM.items() for size in sizes]


@pytest.mark.parametrize(("parent", "size"), MADE)
def test_shipped_card_is_the_one_that_is_made(parent: str, size: int) -> None:
    name, text, table = scaled_card(find_card("compressor", parent), size)
    assert (LIBRARY / f"{name}.toml").read_text(encoding="utf-8") == text
    assert (LIBRARY / f"{name}.csv").read_text(encoding="utf-8") == table


def test_every_compressor_is_measured_or_made() -> None:
    made = {scaled_card(find_card("compressor", parent), size)[0] for parent, size in MADE}
    # the invented family is held to its own script (studies/invented_turbos)
    rest = {name for name in list_cards("compressor") if not name.startswith("invented-")}
    assert rest == made | set(SIZES_MM)


@pytest.mark.parametrize("name", list_cards("compressor"))
def test_status_limit_and_size(name: str) -> None:
    card = find_card("compressor", name)
    status = {"scaled": "scaled", "invented": "invented for the demo"}.get(name.split("-")[0], "published")
    assert card.header.status == status
    assert not card.warnings
    assert card.values["tip_speed_limit"].source != card.header.source
    assert card.si("wheel_diameter") > 0.0
    if name.startswith("scaled-"):
        parent = find_card("compressor", card.text("scaled_from"))
        scale = card.si("wheel_diameter") / parent.si("wheel_diameter")
        assert card.si("scale") == pytest.approx(scale, rel=1e-5)
        assert parent.header.source in card.header.source
        assert card.header.licence == parent.header.licence
