"""How far a hand misses is told from its strokes."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.cards.digitise.hand import miss_across
from boostwright.cards.digitise.session import Stroke


def rings(miss: float, traced: bool = False) -> list[Stroke]:
    """Four rings of 60 points, 200 pixels across, missed by a normal error each way."""
    rng = np.random.default_rng(1)
    turn = np.linspace(0.0, 2.0 * np.pi, 60, endpoint=False)
    ring = 200.0 * np.column_stack([np.cos(turn), np.sin(turn)])
    return [
        Stroke("island", "70 %", ring + miss * rng.normal(size=ring.shape), True, traced=traced)
        for _ in range(4)
    ]


@pytest.mark.parametrize("miss", [0.3, 0.5])
def test_the_miss_comes_back(miss: float) -> None:
    assert miss_across(rings(miss)) == pytest.approx(miss, rel=0.2)


def test_it_is_held_between_what_hands_do() -> None:
    assert miss_across(rings(0.0)) == 0.15
    assert miss_across(rings(5.0)) == 0.7
    assert miss_across(rings(0.0)[:0]) == 0.7
    assert miss_across(rings(0.0, traced=True)) == 0.4
