"""What the user says of columns: from options, from a file, and from an earlier log of the same shape."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from boostwright.errors import UnitError
from boostwright.logs.mapping.facts import Facts
from boostwright.logs.mapping.names import CHANNELS, Channel, channel_of
from boostwright.logs.mapping.proposal import ASKED, NONE, PROPOSED, REUSED, SAID, Choice, Proposal, settled
from boostwright.logs.mapping.unit_words import find_unit
from boostwright.logs.mapping.units_by_value import COMMON, fits
from boostwright.logs.records import LogError
from boostwright.units import KINDS, to_si

__all__ = ["Answer", "apply_answers", "apply_earlier", "read_answer_file", "read_answers"]

NO_CHANNEL = "none"
_BASES = ("absolute", "gauge")


@dataclass(frozen=True)
class Answer:
    """What is said of one column, or of all columns of a kind that were asked about.

    column   name in the file, or a kind of quantity (temperature)
    channel  our name, "none", or '' where only the unit is said
    unit     name in the table of units, '' where it is not said; basis the same
    place    option or file, for messages
    """

    column: str
    channel: str
    unit: str
    basis: str
    place: str


def read_answers(maps: Sequence[str], units: Sequence[str]) -> tuple[Answer, ...]:
    """Answers from ``--map COLUMN=CHANNEL``, which may have the unit behind it, and ``--unit COLUMN=UNIT``.

    Raises LogError.
    """
    said: dict[str, Answer] = {}
    for option, texts in (("--map", maps), ("--unit", units)):
        for text in texts:
            column, equals, value = text.rpartition("=")
            if not equals or not column.strip() or not value.strip():
                remedy = f'write for example {option} "MAP={"pressure_im" if option == "--map" else "kPa absolute"}"'
                raise LogError.of(option, "is no COLUMN=VALUE.", remedy, text)
            column, value = column.strip(), value.strip()
            before = said.get(column, Answer(column, "", "", "", option))
            if option == "--map":
                channel, unit, basis = _channel_and_unit(value, option)
                unit, basis = (unit, basis) if unit or basis else (before.unit, before.basis)
                said[column] = _checked(Answer(column, channel, unit, basis, option))
            else:
                unit, basis = _unit_and_basis(value, option)
                said[column] = _checked(Answer(column, before.channel, unit, basis, option))
    return tuple(said.values())


def read_answer_file(path: Path) -> tuple[Answer, ...]:
    """Answers from a TOML file, ``[columns."MAP"]`` with ``channel`` and ``unit`` for each. Raises LogError."""
    try:
        document = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as reason:
        raise LogError.of(str(path), f"cannot be read: {reason.strerror}.", "check the name") from reason
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as reason:
        raise LogError.of(
            str(path), f"is not TOML: {reason}.", 'write [columns."MAP"] and under it channel = ...'
        ) from reason
    columns = document.get("columns")
    if not isinstance(columns, Mapping) or set(document) != {"columns"}:
        raise LogError.of(
            str(path), "has no tables under columns.", 'write [columns."MAP"] and under it channel = ...'
        )
    answers = []
    for column, keys in columns.items():
        place = f'{path}, [columns."{column}"]'
        if not isinstance(keys, Mapping) or not set(keys) <= {"channel", "unit"} or not keys:
            raise LogError.of(
                place,
                "has other keys than channel and unit.",
                'channel = "pressure_im", unit = "kPa absolute"',
            )
        unit, basis = _unit_and_basis(str(keys["unit"]), place) if "unit" in keys else ("", "")
        answers.append(_checked(Answer(column, str(keys.get("channel", "")), unit, basis, place)))
    return tuple(answers)


def _channel_and_unit(text: str, place: str) -> tuple[str, str, str]:
    """A channel, alone or with unit and basis behind it, as the questions offer them: ``pressure_im kPa absolute``."""
    name, _, rest = text.partition(" ")
    if not rest.strip() or channel_of(name) is None:
        return text, "", ""
    return (name, *_unit_and_basis(rest.strip(), place))


def _unit_and_basis(text: str, place: str) -> tuple[str, str]:
    """A unit of the table and a basis; raises LogError where it is no unit."""
    words = text.split()
    basis = words[-1].lower() if words and words[-1].lower() in _BASES else ""
    bare = " ".join(words[:-1]) if basis else text.strip()
    if not bare and basis:
        return "", basis
    for kind in KINDS:
        try:
            to_si(1.0, kind, bare)
        except UnitError:
            continue
        return bare, basis
    word = find_unit(text)
    if word is not None and (word.unit or word.kind == "air_fuel_ratio"):
        return word.unit, word.basis or basis
    remedy = (
        "write hp (mechanical) or PS" if word is not None else "write a unit such as kPa absolute, degC, km/h"
    )
    raise LogError.of(place, "is no unit known here.", remedy, text)


def _checked(answer: Answer) -> Answer:
    """The answer; raises LogError where its channel is unknown."""
    if answer.channel and answer.channel != NO_CHANNEL and channel_of(answer.channel) is None:
        near = difflib.get_close_matches(answer.channel, CHANNELS, n=3, cutoff=0.4)
        remedy = f"nearest: {', '.join(near)}" if near else "the names stand in docs/reference/names.md"
        raise LogError.of(
            answer.place, "is no channel known here.", remedy, f"{answer.column}={answer.channel}"
        )
    return answer


def apply_answers(proposals: Sequence[Proposal], answers: Sequence[Answer]) -> tuple[Proposal, ...]:
    """The proposals with the answers laid over them. Raises LogError where one fits no column, or cannot be."""
    out = list(proposals)
    for answer in answers:
        hits = _hits(out, answer)
        if not hits:
            names = list(dict.fromkeys(p.column for p in proposals))
            near = difflib.get_close_matches(answer.column, names, n=3, cutoff=0.4)
            remedy = f"nearest: {', '.join(near)}" if near else f"columns are {', '.join(names[:12])}"
            raise LogError.of(answer.place, "names no column of this log.", remedy, answer.column)
        for k in hits:
            out[k] = _said(out[k], answer)
    return tuple(out)


def _hits(proposals: list[Proposal], answer: Answer) -> list[int]:
    exact = [k for k, p in enumerate(proposals) if p.column == answer.column]
    if not exact:
        exact = [k for k, p in enumerate(proposals) if p.column.lower() == answer.column.lower()]
    if exact or answer.column not in KINDS:
        return exact
    return [
        k
        for k, p in enumerate(proposals)
        if p.status == ASKED and p.choice is not None and _kind(p.choice.channel) == answer.column
    ]


def _kind(name: str) -> str:
    """Kind of quantity of a channel; '' for an unknown one."""
    found = channel_of(name)
    return found[0].kind if found else ""


def _said(proposal: Proposal, answer: Answer) -> Proposal:
    """The proposal with one answer."""
    if answer.channel == NO_CHANNEL:
        return settled(proposal, SAID, None, "you said that it is none of ours")
    before = proposal.choice
    name = answer.channel or (before.channel if before else "")
    found = channel_of(name)
    if found is None:
        raise LogError.of(
            answer.place, "says a unit for a column without a channel.", f'add --map "{proposal.column}=..."'
        )
    channel = found[0]
    unit, basis = answer.unit, answer.basis
    word = find_unit(proposal.raw_unit) if proposal.raw_unit else None
    if not unit:
        unit = word.unit if word is not None and word.kind == channel.kind else before.unit if before else ""
        if not unit and channel.kind not in ("", "dimensionless", "air_fuel_ratio"):
            raise LogError.of(
                answer.place,
                f"needs a unit of {channel.kind}.",
                f'add --unit "{proposal.column}=..."',
                proposal.column,
            )
    if channel.kind not in ("", "air_fuel_ratio"):
        try:
            to_si(1.0, channel.kind, unit)
        except UnitError as error:
            raise LogError.of(
                answer.place,
                f"{error}.",
                f"{name} is a {channel.kind.replace('_', ' ')}: say its unit too, "
                f'--map "{proposal.column}={name} {_example(channel)}"',
                proposal.column,
            ) from error
    name, basis = _with_basis(proposal, answer, name, channel.basis, basis, word.basis if word else "")
    return settled(proposal, SAID, Choice(name, unit, basis), "as you said")


def _example(channel: Channel) -> str:
    """A unit and basis of a channel, for a remedy."""
    unit = COMMON.get(channel.kind, ("",))[0]
    return f"{unit} {'absolute' if channel.basis == 'either' else channel.basis}".strip()


def _with_basis(
    proposal: Proposal, answer: Answer, name: str, only: str, said: str, header: str
) -> tuple[str, str]:
    """Channel and basis that go together: manifold pressure over the air's is boost."""
    pairs = {"pressure_im": "boost", "pressure_im_target": "boost_target"}
    back = {value: key for key, value in pairs.items()}
    basis = said or (header if only == "either" else "")
    if (answer.channel in pairs and said == "gauge") or (answer.channel in back and said == "absolute"):
        remedy = "boost is gauge, pressure_im is absolute"
        raise LogError.of(
            answer.place, "says channel and basis that do not go together.", remedy, proposal.column
        )
    if not answer.channel and name in pairs and said == "gauge":
        return pairs[name], "gauge"
    if not answer.channel and name in back and said == "absolute":
        return back[name], "absolute"
    if only in ("absolute", "gauge"):
        return name, only
    if only == "either" and not basis:
        before = proposal.choice
        if proposal.status == PROPOSED and before is not None and before.basis:
            return name, before.basis
        raise LogError.of(
            answer.place,
            "needs to say gauge or absolute.",
            f'add --unit "{proposal.column}=kPa absolute"',
            proposal.column,
        )
    return name, basis


def apply_earlier(
    proposals: Sequence[Proposal],
    earlier: Mapping[tuple[str, str], Choice | None],
    facts: Sequence[Facts],
    source: str,
) -> tuple[Proposal, ...]:
    """The proposals with what an earlier log of the same shape was settled to, where its numbers still fit.

    earlier  (column, raw unit) -> what it was, None for "none of ours"
    source   name of that log, for the reason
    """
    out = []
    for proposal, fact in zip(proposals, facts, strict=True):
        key = (proposal.column, proposal.raw_unit)
        if key not in earlier:
            out.append(proposal)
            continue
        choice = earlier[key]
        if choice is None:
            out.append(settled(proposal, NONE, None, f"as in {source}"))
        elif _still_fits(fact, choice):
            out.append(settled(proposal, REUSED, choice, f"as in {source}, which has the same columns"))
        else:
            out.append(proposal)
    return tuple(out)


def _still_fits(fact: Facts, choice: Choice) -> bool:
    """True where the numbers can be what they were in the earlier log; a column without numbers can."""
    found = channel_of(choice.channel)
    if found is None or not fact.values.size:
        return found is not None
    channel = found[0]
    if channel.kind == "":
        return True
    low = fits(fact, channel, choice.unit, gauge=choice.basis == "gauge")
    return low or fact.high < 1e-9 or abs(fact.high - fact.low) < 1e-9
