"""Bibliography."""

from __future__ import annotations

import pytest

from boostwright.errors import UnknownPart
from boostwright.physics.relation import Relation
from boostwright.proof.reader import read_cases, subjects
from boostwright.proof.runner import load_relations
from boostwright.provenance.source import CASE_STATUS, RELATION_STATUS, find_source, read_sources


@pytest.mark.parametrize("key", read_sources())
def test_every_source_says_how_it_is_known(key: str) -> None:
    source = find_source(key)
    assert source.authors
    assert source.title
    assert source.seen in RELATION_STATUS or source.seen in CASE_STATUS
    assert source.title in source.citation
    assert key == key.lower()


def test_no_source_is_there_for_show() -> None:
    """Each is cited by a relation or by a case, or is one of the words for having none."""
    relations: list[Relation] = list(load_relations().values())
    cited = {relation.source for relation in relations}
    cited |= {case.source for subject in subjects() for case in read_cases(subject)}
    unused = set(read_sources()) - cited - {"common-practice", "own-work", "definition"}
    assert not unused


def test_unknown_key_is_named() -> None:
    with pytest.raises(UnknownPart, match="nobody"):
        find_source("nobody-1900")
