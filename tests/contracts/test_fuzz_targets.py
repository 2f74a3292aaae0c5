"""Broken logs thrown at each importer: the same few hundred each time, and every one that ever failed."""

from __future__ import annotations

import logging
from pathlib import Path

import pytest

from fuzz.mutate import mutated
from fuzz.targets import SEEDS, TARGETS

FAILED = sorted((Path(__file__).resolve().parents[1] / "data" / "logs" / "failed").iterdir())
COUNTS = {"text": 400, "mdf": 12, "database": 400, "answers": 200}
logging.getLogger("cantools").setLevel(logging.ERROR)


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("path", FAILED, ids=lambda path: path.name)
def test_what_once_failed_is_answered(path: Path) -> None:
    TARGETS[path.name.split("-")[0]](path.read_bytes())


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("target", TARGETS)
def test_mutations_are_answered(target: str) -> None:
    seeds = SEEDS[target]()
    for seed in range(COUNTS[target]):
        TARGETS[target](mutated(seeds, seed))


def test_a_mutation_is_the_same_for_the_same_seed() -> None:
    seeds = SEEDS["text"]()
    assert mutated(seeds, 7) == mutated(seeds, 7)
    assert len({mutated(seeds, seed) for seed in range(50)}) > 40
