"""The same checks over every relation of the physics."""

from __future__ import annotations

import inspect
import itertools
import re
from collections.abc import Iterator

import numba
import numpy as np
import pytest

from boostwright.errors import OutOfDomain
from boostwright.physics.relation import Interval, Relation
from boostwright.proof.reader import read_cases, subjects
from boostwright.proof.runner import covered_relations, load_relations
from boostwright.provenance.source import RELATION_STATUS, read_sources

RELATIONS = dict(sorted(load_relations().items()))
CASES = [case for subject in subjects() for case in read_cases(subject)]
COVERED = covered_relations(CASES)
ARRAYS = ("mole_fractions", "air_mole_fractions")
ARGUMENT = re.compile(r"^\s+(?P<name>\w+)\s+\((?P<shape>[^)]*)\)\s+\[(?P<unit>[^\]]+)\](?P<words>.*)$")

every_relation = pytest.mark.parametrize("name", RELATIONS)


def test_there_are_relations() -> None:
    assert len(RELATIONS) > 150


@every_relation
def test_has_a_proof_case_or_needs_none(name: str) -> None:
    relation = RELATIONS[name]
    assert name in COVERED or relation.status in ("common practice", "definition"), (
        f"{name} ({relation.status}) has no case in proof/cases"
    )


def test_every_case_names_a_relation_that_exists() -> None:
    assert set(RELATIONS) >= COVERED


@every_relation
def test_source_and_status_exist(name: str) -> None:
    assert RELATIONS[name].source in read_sources()
    assert RELATIONS[name].status in RELATION_STATUS


@every_relation
def test_status_agrees_with_how_the_source_is_known(name: str) -> None:
    """A formula cannot be better known than by reading: 'read' needs a source that somebody saw."""
    relation = RELATIONS[name]
    if relation.status == "own estimate":
        assert relation.source in ("own-work",) or read_sources()[relation.source].seen != "definition"
    if relation.status == "definition":
        return
    assert relation.source != "definition", f"{name} takes something from somewhere: say from where"
    if relation.status == "read":
        assert read_sources()[relation.source].seen in ("read", "read second-hand")


def described_arguments(relation: Relation) -> dict[str, tuple[str, str, str]]:
    """Argument -> shape, unit, words (the unit alone may say enough where the name does)."""
    found = {}
    for line in (relation.__doc__ or "").splitlines():
        if (match := ARGUMENT.match(line)) and match["name"] in relation.signature.parameters:
            found[match["name"]] = (match["shape"], match["unit"], match["words"].strip())
    return found


@every_relation
def test_docstring_describes_every_argument(name: str) -> None:
    relation = RELATIONS[name]
    described = described_arguments(relation)
    assert list(described) == list(relation.signature.parameters), "one line an argument, in their order"
    for argument, (shape, unit, _) in described.items():
        assert shape.startswith("..."), f"{argument}: batch axes come first"
        assert unit.strip()


@every_relation
def test_docstring_says_what_comes_back_what_is_refused_and_whence(name: str) -> None:
    text = RELATIONS[name].__doc__ or ""
    assert re.search(r"Returns \([^)]*\)\s+\[[^\]]+\]", text), "Returns (shape) [unit]"
    assert "Source:" in text
    if RELATIONS[name].domain:
        assert "Raises\n    OutOfDomain" in text or "Raises OutOfDomain" in text.replace("\n    ", " ")
    else:
        assert "Raises nothing" in text.replace("\n    ", " ")


@every_relation
def test_domain_and_range_name_arguments(name: str) -> None:
    relation = RELATIONS[name]
    assert set(relation.domain) | set(relation.valid) <= set(relation.signature.parameters)


@every_relation
def test_a_value_outside_the_domain_is_refused_by_name(name: str) -> None:
    relation = RELATIONS[name]
    for argument, interval in relation.domain.items():
        arguments = sample_arguments(relation)
        arguments[argument] = np.nan if argument not in ARRAYS else np.full(7, np.nan)
        with pytest.raises(OutOfDomain, match=argument):
            relation(**arguments)
        if np.isfinite(interval.low):
            below = interval.low - max(1.0, abs(interval.low))
            arguments[argument] = below if argument not in ARRAYS else np.full(7, below)
            with pytest.raises(OutOfDomain, match=argument):
                relation(**arguments)


def sample_arguments(relation: Relation) -> dict[str, float | np.ndarray]:
    """Ordinary arguments inside the domain of a relation."""
    values: dict[str, float | np.ndarray] = {}
    for number, argument in enumerate(relation.signature.parameters):
        interval = relation.domain.get(argument)
        value = 0.5 + 0.01 * number
        if argument == "coefficients":
            values[argument] = np.array([[1000.0, 0.1, 0, 0, 0, -3e5, 10.0]] * 2)
            continue
        if argument in ARRAYS:
            values[argument] = np.array([0.7, 0.2, 0.01, 0.03, 0.02, 0.03, 0.01])
            continue
        if "temperature" in argument:
            value = 300.0 + 10.0 * number
        if interval is not None:
            low = interval.low if np.isfinite(interval.low) else min(value, interval.high)
            high = interval.high if np.isfinite(interval.high) else max(low + 1.0, 2.0 * value)
            if not (low < value < high):
                value = low + 0.4 * (high - low)
        values[argument] = value
    return brought_together(relation, values)


def brought_together(
    relation: Relation, values: dict[str, float | np.ndarray]
) -> dict[str, float | np.ndarray]:
    """The same arguments, one made smaller wherever they do not go together."""
    for held in relation.needs.values():
        names = list(inspect.signature(held).parameters)
        for share, name in itertools.product((1.0, 0.1, 0.01), names):
            trial = {**values, name: share * values[name]}
            if held(*(trial[one] for one in names)):
                values = trial
                break
    return values


@every_relation
def test_arguments_that_do_not_go_together_are_refused_in_words(name: str) -> None:
    """Smaller and smaller, larger and larger, one of them at a time, until the condition breaks."""
    relation = RELATIONS[name]
    good = sample_arguments(relation)
    for words, held in relation.needs.items():
        broken = 0
        for argument, share in itertools.product(inspect.signature(held).parameters, (1e-3, 1e3, -1e7)):
            one = {**good, argument: share * good[argument]}
            interval = relation.domain.get(argument)
            if interval is not None and not interval.holds(float(one[argument])):
                continue
            if held(*(one[key] for key in inspect.signature(held).parameters)):
                continue
            broken += 1
            with pytest.raises(OutOfDomain, match=re.escape(words.split(" x ")[0]) + "|lies outside"):
                relation(**one)
        assert broken, f"{words} cannot be broken"


def edges(
    relation: Relation, values: dict[str, float | np.ndarray]
) -> Iterator[dict[str, float | np.ndarray]]:
    """The arguments with one of them at an end of its domain, at 0 or 1, or equal to another of the same unit."""
    of = {name: unit for name, (_, unit, _) in described_arguments(relation).items()}
    for name in values:
        if isinstance(values[name], np.ndarray):
            continue
        interval = relation.domain.get(name, Interval())
        ends = [
            end for end in (interval.low, interval.high, 0.0, 1.0) if np.isfinite(end) and interval.holds(end)
        ]
        alike = [other for key, other in values.items() if key != name and of[key] == of[name]]
        for value in (*ends, *alike):
            yield {**values, name: value}


@every_relation
def test_at_its_edges_it_answers_or_refuses_in_its_own_words(name: str) -> None:
    """Never a complex number, never another error; and a float is answered as an array of one is."""
    relation = RELATIONS[name]
    for arguments in edges(relation, sample_arguments(relation)):
        try:
            answer = relation(**arguments)
        except OutOfDomain:
            continue
        assert np.asarray(answer).dtype.kind == "f", arguments
        row = {key: np.asarray(value)[None] for key, value in arguments.items()}
        np.testing.assert_allclose(relation(**row)[0], answer, rtol=1e-9, err_msg=str(arguments))


@every_relation
def test_arrays_give_what_a_loop_gives(name: str) -> None:
    relation = RELATIONS[name]
    one = sample_arguments(relation)
    batch = {
        key: np.stack([value] * 3) if isinstance(value, np.ndarray) else np.full(3, value)
        for key, value in one.items()
    }
    single = np.asarray(relation(**one))
    together = np.asarray(relation(**batch))
    assert together.shape == (3, *single.shape)
    np.testing.assert_allclose(together, np.stack([single] * 3), rtol=1e-13)


@pytest.mark.parametrize(
    "name", [n for n, r in RELATIONS.items() if not set(ARRAYS) & set(r.signature.parameters)]
)
def test_formula_compiles_to_the_same_float(name: str) -> None:
    """A kernel gets the same number, as a plain float, from the compiled formula."""
    relation = RELATIONS[name]
    if name == "gas.air.humid_air_mole_fractions":
        pytest.skip("gives an array of seven; called from Python only")
    arguments = sample_arguments(relation)
    compiled = numba.njit(error_model="numpy")(relation.formula)
    value = compiled(*arguments.values())
    assert isinstance(value, float)
    assert value == pytest.approx(float(relation(**arguments)), rel=1e-12, nan_ok=True)
