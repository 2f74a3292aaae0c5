"""Runs the proof cases: every relation against what its source says."""

from __future__ import annotations

import dataclasses
import functools
import importlib
import math
import pkgutil
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from typing import Any

import numpy as np

from boostwright import physics
from boostwright.errors import UnknownPart
from boostwright.physics.relation import REGISTRY, Relation
from boostwright.proof.case import Case, CaseResult, ProofResult, RelationProof
from boostwright.proof.chains import CHAINS
from boostwright.proof.reader import read_cases, subjects, to_unit

__all__ = ["covered_relations", "load_relations", "relation_proofs", "relations_of", "run_case", "run_cases"]


@functools.cache
def load_relations() -> Mapping[str, Relation]:
    """Import every module of ``physics`` and return all relations by dotted name."""
    prefix = f"{physics.__name__}."
    for module in pkgutil.walk_packages(physics.__path__, prefix):
        importlib.import_module(f"boostwright.physics.{module.name.removeprefix(prefix)}")
    return REGISTRY


def relations_of(case: Case) -> tuple[str, ...]:
    """Return the dotted names of the relations that a case exercises: its own, or those of its chain."""
    if case.relation.startswith("chain."):
        return CHAINS[case.relation.removeprefix("chain.")].relations
    return (case.relation,)


def covered_relations(cases: Iterable[Case]) -> set[str]:
    """Return the dotted names of the relations that these cases exercise, directly or through a chain."""
    return {name for case in cases for name in relations_of(case)}


def relation_proofs(cases: Iterable[Case]) -> tuple[RelationProof, ...]:
    """Count, for every relation of the physics by name, the cases that exercise it by what they are worth."""
    alone: dict[str, Counter[str]] = {name: Counter() for name in load_relations()}
    in_sums: dict[str, Counter[str]] = {name: Counter() for name in alone}
    for case in cases:
        names = relations_of(case)
        for name in names:
            (in_sums if len(names) > 1 else alone)[name][case.evidence] += 1
    return tuple(
        RelationProof(name, one.source, one.status, dict(alone[name]), dict(in_sums[name]))
        for name, one in sorted(load_relations().items())
    )


def run_cases(wanted: Iterable[str] | None = None) -> ProofResult:
    """Run the cases of the subjects named, or of all.

    wanted  subjects as named by the case files; None runs all
    Returns the results in order. Raises UnknownPart for a subject that does not exist, CaseError for a
    case that is not well written."""
    known = subjects()
    chosen = known if wanted is None else tuple(wanted)
    for name in chosen:
        if name not in known:
            raise UnknownPart(f"no proof subject {name!r}; there are: {', '.join(known)}")
    cases = tuple(run_case(case) for name in chosen for case in read_cases(name))
    return ProofResult(cases, relation_proofs(cases) if wanted is None else ())


def run_case(case: Case) -> CaseResult:
    """Compute the value of one case and compare it; raises UnknownPart when its relation does not exist."""
    computed = to_unit(_value(case), case.unit)
    if isinstance(case.expected, tuple):
        low, high = case.expected
        outside = min(computed - low, 0.0) + max(computed - high, 0.0)
        return _result(case, computed, outside, math.nan, outside == 0.0)
    deviation = computed - case.expected
    allowed = case.tolerance * (abs(case.expected) if case.kind == "relative" else 1.0)
    # Decimal fractions of the source are not exact in binary: a last-digit match must not fail by rounding.
    slack = 4.0 * math.ulp(max(abs(case.expected), abs(computed)))
    used = abs(deviation) / allowed if allowed > 0.0 else math.nan
    return _result(case, computed, deviation, used, bool(abs(deviation) <= allowed + slack))


def _result(case: Case, computed: float, deviation: float, used: float, passed: bool) -> CaseResult:
    values = {field.name: getattr(case, field.name) for field in dataclasses.fields(case)}
    return CaseResult(**values, computed=computed, deviation=deviation, used=used, passed=passed)


def _value(case: Case) -> float:
    inputs: dict[str, Any] = {
        name: np.asarray(value, dtype=float) if isinstance(value, list) else value
        for name, value in case.inputs.items()
    }
    value = np.asarray(_function(case.relation)(**inputs), dtype=float)
    if value.shape != ():
        raise UnknownPart(f"{case.id}: {case.relation} gives an array; a case compares one number")
    return float(value)


def _function(name: str) -> Callable[..., Any]:
    if name.startswith("chain."):
        found = CHAINS.get(name.removeprefix("chain."))
        if found is None:
            raise UnknownPart(f"no chain {name!r}; there are: {', '.join(sorted(CHAINS))}")
        return found.function
    if name not in load_relations():
        raise UnknownPart(f"no relation {name!r} in physics")
    return REGISTRY[name]
