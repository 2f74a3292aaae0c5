"""Which cases a what-if runs: the build as it stands, cases of its own, every combination of the choices, or each key
by itself at its low and high end."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from boostwright.build import Build
from boostwright.errors import Fault
from boostwright.tasks.whatif_file import WrittenWhatIf
from boostwright.tasks.whatif_result import Case
from boostwright.tasks.whatif_spec import (
    Choice,
    Option,
    Step,
    WhatIfError,
    parse_card,
    parse_step,
    parse_vary,
)

__all__ = ["AS_IT_STANDS", "MOST_CASES", "CaseList", "cases_of"]

AS_IT_STANDS = "as it stands"
"""Name of the case that changes nothing; always the first."""

MOST_CASES = 1_000_000
"""Cases of one run at most."""


@dataclass(frozen=True)
class CaseList:
    """Cases in order, the build as it stands first.

    axes   with two lists of values and nothing else: keys and values of both, the first one changing slower
    steps  one at a time: each step, whose low and high case stand at 1 + 2 i and 2 + 2 i
    """

    cases: tuple[Case, ...]
    axes: tuple[tuple[str, tuple[str, ...]], ...] = ()
    steps: tuple[Step, ...] = ()


def cases_of(
    build: Build,
    vary: Sequence[str],
    cards: Sequence[str],
    written: WrittenWhatIf,
    one_at_a_time: bool,
    most: int = MOST_CASES,
) -> CaseList:
    """The cases asked for on the command line and in a file together.

    With nothing asked for, the parts of the build's [plan] are the cases. Raises WhatIfError with every fault.
    """
    if one_at_a_time:
        return _steps(build, vary, cards, written)
    choices = [parse_vary(text, "vary") for text in written.vary]
    choices += [parse_card(text, "cards") for text in written.cards]
    choices += [parse_vary(text) for text in vary] + [parse_card(text) for text in cards]
    _not_twice(choices)
    choices += written.choices
    single = list(written.cases)
    if not choices and not single:
        parts = build["plan"].records("parts")
        single = [Case(part.name, part.settings, part.price, part.currency) for part in parts]
    if not choices and not single:
        raise _nothing()
    count = len(single) + (math.prod(len(choice.options) for choice in choices) if choices else 0)
    if count > most:
        message = f"asks for {count} cases; the most is {most}{_more_elsewhere(most)}."
        raise WhatIfError(
            [Fault("what-if", "", "", message, remedy="Take fewer values of each, or two runs.")]
        )
    first = Case(AS_IT_STANDS, (), 0.0)
    combined = []
    if choices:
        every = (_combined(options) for options in itertools.product(*(choice.options for choice in choices)))
        combined = [
            case for case in every if case.settings
        ]  # one that changes nothing is the build as it stands
    cases = (first, *single, *combined)
    _one_currency(cases)
    axes: tuple[tuple[str, tuple[str, ...]], ...] = ()
    if len(choices) == 2 and not single and all(_numbers(choice) for choice in choices):
        axes = tuple((choice.name, tuple(_value(option) for option in choice.options)) for choice in choices)
    return CaseList(cases, axes)


def _more_elsewhere(most: int) -> str:
    return "" if most >= MOST_CASES else f" here ({MOST_CASES} on the command line)"


def _combined(options: Sequence[Option]) -> Case:
    settings = tuple(setting for option in options for setting in option.settings)
    prices = [option.price for option in options]
    priced = any(option.currency for option in options)
    price = sum(p for p in prices if p is not None) if priced and None not in prices else None
    currency = (
        next((option.currency for option in options if option.currency), "") if price is not None else ""
    )
    return Case(", ".join(option.words for option in options if option.settings), settings, price, currency)


def _numbers(choice: Choice) -> bool:
    return bool(choice.keys) and all(_value(option)[:1] in "+-.0123456789" for option in choice.options)


def _value(option: Option) -> str:
    return option.settings[0].partition("=")[2]


def _steps(build: Build, vary: Sequence[str], cards: Sequence[str], written: WrittenWhatIf) -> CaseList:
    if cards:
        message = "is a list of parts, which have no low and no high end."
        raise WhatIfError(
            [Fault("--card", "", cards[0], message, remedy="Leave --one-at-a-time out for parts.")]
        )
    place, texts = ("--vary", vary) if vary else ("one_at_a_time", written.one_at_a_time)
    if not texts:
        raise _nothing()
    steps: list[Step] = []
    faults: list[Fault] = []
    for text in texts:
        try:
            steps.append(parse_step(text, build, place))
        except WhatIfError as error:
            faults += error.faults
    if faults:
        raise WhatIfError(faults)
    cases = [Case(AS_IT_STANDS, (), 0.0)]
    for step in steps:
        for end in (step.low, step.high):
            name = f"{' and '.join(step.keys)} = {end}"
            cases.append(Case(name, tuple(f"{key}={end}" for key in step.keys)))
    return CaseList(tuple(cases), steps=tuple(steps))


def _not_twice(choices: Sequence[Choice]) -> None:
    """A key that two lists set would take the last one's value in silence."""
    keys = [key for choice in choices for key in choice.keys]
    twice = [key for key in dict.fromkeys(keys) if keys.count(key) > 1]
    if twice:
        message = "is varied twice, and only the last one would count."
        raise WhatIfError(
            [Fault("what-if", key, "", message, remedy="Put its values into one list.") for key in twice]
        )


def _one_currency(cases: Sequence[Case]) -> None:
    met = list(dict.fromkeys(case.currency for case in cases if case.currency))
    if len(met) > 1:
        message = f"are in {' and '.join(met)}, which cannot be compared."
        raise WhatIfError(
            [Fault("what-if", "price", "", f"Prices {message}", remedy="Give all in one currency.")]
        )


def _nothing() -> WhatIfError:
    remedy = (
        'Name values with --vary "wastegate.valve_diameter=38, 44, 50 mm", cards with --card, a file with --from, or '
        "put a whatif.toml into the build's folder; parts of [plan] count too."
    )
    return WhatIfError([Fault("what-if", "", "", "Nothing is asked for.", remedy=remedy)])
