"""A long task says how far it is, and ends where its listener asks it to."""

from __future__ import annotations

from pathlib import Path

import pytest

from boostwright.tasks.plan import plan
from boostwright.tasks.progress import Share
from boostwright.tasks.uncertainty import predict_bands

ESTATE = Path(__file__).resolve().parents[3] / "examples" / "hill_climb_estate"
SPEEDS = [314.0, 471.0]


class _Enough(Exception):
    """What a listener raises to end a task."""


def test_a_part_of_a_part_tells_its_place_in_the_whole() -> None:
    heard: list[tuple[int, int, str]] = []
    part = Share(lambda *told: heard.append(told)).part(0.5, 1.0).part(0.0, 0.5)
    part.at(0.0, "first")
    part.at(1.0, "last")
    part.at(7.0, "past the end")
    Share().at(0.5, "to nobody")
    assert heard == [(50, 100, "first"), (75, 100, "last"), (75, 100, "past the end")]


def test_a_plan_tells_a_growing_share_with_words() -> None:
    heard: list[tuple[int, int, str]] = []
    plan(ESTATE, speeds=SPEEDS, samples=40, progress=lambda *told: heard.append(told))
    done = [told[0] for told in heard]
    assert done == sorted(done)
    assert done[0] == 0
    assert 80 <= done[-1] <= 100
    assert len({words for _, _, words in heard}) >= 4
    assert all(of == 100 and words for _, of, words in heard)


def test_bands_count_their_samples() -> None:
    heard: list[tuple[int, int, str]] = []
    predict_bands(ESTATE, speeds=SPEEDS, samples=150, progress=lambda *told: heard.append(told))
    done = [told[0] for told in heard]
    assert done == sorted(done)
    assert done[0] == 0
    assert done[-1] == heard[-1][1] == 150
    assert len(done) > 2


@pytest.mark.parametrize("task", [plan, predict_bands])
def test_what_the_listener_raises_ends_the_task(task: object) -> None:
    def stop(done: int, of: int, words: str) -> None:
        if done:
            raise _Enough

    with pytest.raises(_Enough):
        task(ESTATE, speeds=SPEEDS, samples=400, progress=stop)  # type: ignore[operator]
