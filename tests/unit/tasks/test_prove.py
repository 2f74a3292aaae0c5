"""The task behind ``boostwright proof``."""

from __future__ import annotations

import dataclasses

import pytest

from boostwright.proof.case import EVIDENCE
from boostwright.tasks.prove import prove


def test_prove_runs_everything_and_is_frozen() -> None:
    result = prove()
    assert result.passed
    assert not result.failed
    assert tuple(result.counts) == tuple(EVIDENCE)
    assert sum(result.counts.values()) == len(result.cases)
    with pytest.raises(dataclasses.FrozenInstanceError):
        result.cases = ()  # type: ignore[misc]


def test_prove_runs_what_is_asked() -> None:
    assert prove(["heat", "fuels"]).subjects == ("heat", "fuels")
