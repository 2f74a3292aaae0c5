"""One raw column judged: which channel its name means, which unit its header or its numbers say, which basis.

Whatever stays open after name, header, numbers and the other channels is asked, never taken for the likelier thing.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

import numpy as np

from boostwright.logs.mapping.basis import IMPOSSIBLE, basis_of
from boostwright.logs.mapping.facts import Facts
from boostwright.logs.mapping.meaning import (
    OPEN,
    SIGNALS,
    TAKEN,
    Named,
    likely,
    named,
    not_denied,
    unit_behind,
)
from boostwright.logs.mapping.names import CHANNELS, Channel, channel_of
from boostwright.logs.mapping.proposal import ASKED, NO_NUMBER, NONE, PROPOSED, Choice, Proposal
from boostwright.logs.mapping.rules import Candidate
from boostwright.logs.mapping.unit_words import UnitWord, folded
from boostwright.logs.mapping.units_by_value import (
    COMMON,
    fits,
    fitting_units,
    in_si,
    share_or_per_cent,
    too_small_for,
)

__all__ = ["Context", "judge"]

_LISTED = 8  # answers that a question names


@dataclass(frozen=True)
class Context:
    """Channels that settle others: engine speed and throttle, their units known; None where the log has none."""

    speed: Facts | None = None
    throttle: Facts | None = None


def _proposal(facts: Facts, status: str, choice: Choice | None, sure: float, reason: str, **more) -> Proposal:  # type: ignore[no-untyped-def]
    raw = facts.raw
    return Proposal(raw.part, raw.group, raw.name, raw.unit, status, choice, round(sure, 2), reason, **more)


def judge(facts: Facts, context: Context) -> Proposal:
    """The proposal for one column."""
    if facts.raw.states:
        return _proposal(facts, NONE, None, 0.9, f"holds words: {', '.join(facts.raw.states[:4])}")
    if not facts.values.size:
        return _proposal(facts, NONE, None, 0.9, NO_NUMBER)
    said = named(facts)
    word = facts.word or said.unit or _unit_of_name(facts.raw.name)
    return _widened(_judged(facts, context, said, word), facts, said, word)


def _widened(proposal: Proposal, facts: Facts, said: Named, word: UnitWord | None) -> Proposal:
    """A question with the answers besides that its name comes near to."""
    if proposal.status != ASKED or not said.also:
        return proposal
    names = (name for one in said.also for name in OPEN.get(one, (one,)))
    more = tuple(choice for name in names for choice in _choices(facts, _with_number(name, said), word))
    new = tuple(choice for choice in dict.fromkeys(more) if choice not in proposal.choices)
    listed = "".join(f" | {choice.words()}" for choice in new[: max(0, _LISTED - len(proposal.choices))])
    return replace(proposal, choices=(*proposal.choices, *new), question=proposal.question + listed)


def _judged(facts: Facts, context: Context, said: Named, word: UnitWord | None) -> Proposal:
    """The proposal for one column whose name was read."""
    if not said.candidates:
        return _proposal(facts, NONE, None, 0.5, "its name means no channel known here; --map gives it one")
    said = replace(said, candidates=not_denied(facts, said.candidates, word))
    first = said.candidates[0]
    if first.channel in OPEN:
        return _open(facts, first, word or unit_behind(facts, first.channel))
    if len(said.candidates) > 1:
        options = tuple(
            choice
            for one in said.candidates
            for name in OPEN.get(one.channel, (one.channel,))
            for choice in _choices(facts, _with_number(name, said), word)
        )
        return _ask(facts, options, first.sure, first.why, "Which channel is this?")
    channel = CHANNELS[first.channel]
    channel, why_not = _by_unit(channel, word, facts)
    if why_not:
        return _proposal(facts, NONE, None, 0.8, why_not)
    return _judge_unit(facts, context, said, channel, word, first)


def _unit_of_name(name: str) -> UnitWord | None:
    """The unit of a column whose name is one: ``RPM``, ``Engine RPM``."""
    words = re.split(r"[^a-z/]+", folded(name))
    return UnitWord("rotational_speed", "rpm") if "rpm" in words else None


def _by_unit(channel: Channel, word: UnitWord | None, facts: Facts) -> tuple[Channel, str]:
    """The channel as the unit has it, and why the column is none of ours where the unit says so."""
    if word is None or channel.kind == "":
        return channel, ""
    lambda_sign = folded(facts.raw.unit) in ("λ", "lambda", "la")
    pairs = {"lambda": "air_fuel_ratio", "lambda_target": "air_fuel_ratio_target"}
    if channel.name in pairs and word.kind == "air_fuel_ratio":
        return CHANNELS[pairs[channel.name]], ""
    back = {value: key for key, value in pairs.items()}
    if channel.name in back and lambda_sign:
        return CHANNELS[back[channel.name]], ""
    if word.kind != channel.kind and word.kind in SIGNALS:
        return (
            channel,
            f"in {facts.raw.unit or word.unit} it is the raw signal of a sensor, or counted by the stroke",
        )
    if channel.kind == "dimensionless" and word.kind == "angle" and channel.name.startswith("throttle"):
        return channel, "a throttle angle in degrees: what is fully open is not known"
    return channel, ""


def _with_number(name: str, said: Named) -> str:
    """The channel's name with the number in the column's, where the channel has numbers."""
    channel = CHANNELS.get(name)
    if channel is None or not channel.numbered or not said.numbers or not 1 <= said.numbers[0] <= 16:
        return name
    return f"{name}_{said.numbers[0]}"


def _choices(
    facts: Facts, name: str, word: UnitWord | None, units: list[str] | None = None
) -> tuple[Choice, ...]:
    """The answers that fit one channel."""
    found = channel_of(name)
    if found is None:
        return ()
    channel = found[0]
    if units is None:
        told = word is not None and word.kind == channel.kind and word.unit
        units = (
            [word.unit]
            if told and word is not None
            else fitting_units(facts, channel) or list(COMMON.get(channel.kind, ("",)))
        )
    out = []
    for unit in units:
        if channel.name in ("pressure_im", "boost", "pressure_im_target", "boost_target"):
            target = "_target" if channel.name.endswith("target") else ""
            out += [Choice("pressure_im" + target, unit, "absolute"), Choice("boost" + target, unit, "gauge")]
        elif channel.basis == "either":
            out += [Choice(name, unit, "absolute"), Choice(name, unit, "gauge")]
        else:
            out.append(Choice(name, unit, channel.basis))
    return tuple(dict.fromkeys(out))


def _span(facts: Facts) -> str:
    return f"{facts.low:.4g} to {facts.high:.4g}"


def _ask(facts: Facts, options: tuple[Choice, ...], sure: float, reason: str, question: str) -> Proposal:
    options = tuple(dict.fromkeys(options))
    best = options[0] if options else None
    listed = " | ".join(choice.words() for choice in options[:_LISTED])
    if len(options) > _LISTED:
        listed += f" | {len(options) - _LISTED} more"
    name = facts.raw.name
    text = f"{name}: {question} {listed}" if listed else f"{name}: {question}"
    return _proposal(facts, ASKED, best, min(sure, 0.8), reason, question=text, choices=options)


def _open(facts: Facts, first: Candidate, word: UnitWord | None) -> Proposal:
    """Torque and power without a word on where, fuel flow by mass or volume."""
    names = OPEN[first.channel]
    if word is not None and word.kind in SIGNALS:
        return _proposal(facts, NONE, None, 0.8, f"in {facts.raw.unit} it is the raw signal of a sensor")
    kinds = [name for name in names if word is None or CHANNELS[name].kind == word.kind]
    told = word.unit if word is not None and first.channel == "fuel_flow" and len(kinds) == 1 else ""
    if told and first.sure > TAKEN and _declared_fits(facts, CHANNELS[kinds[0]], told):
        return _proposal(
            facts, PROPOSED, Choice(kinds[0], told), 0.97, f"{first.why}; unit {told} in the header"
        )
    options = tuple(
        choice
        for name in kinds or names
        for choice in _choices(facts, name, word if word and word.unit else None)
    )
    where = "at the crankshaft or at the wheels?" if first.channel != "fuel_flow" else "by mass or by volume?"
    return _ask(facts, options, first.sure, first.why, where)


def _declared_fits(facts: Facts, channel: Channel, unit: str) -> bool:
    """True where a unit from the header leaves the readings within what the channel can read."""
    shift = 100e3 if channel.basis == "either" else 0.0
    low, high = (in_si(value, channel.kind, unit) for value in (facts.low, facts.high))
    slack = (
        0.02 * (channel.high - channel.low) if channel.kind in ("rotational_speed", "dimensionless") else 0.0
    )
    return channel.low - shift - slack <= low and high <= channel.high + slack


def _judge_unit(
    facts: Facts, context: Context, said: Named, channel: Channel, word: UnitWord | None, first: Candidate
) -> Proposal:
    name = _with_number(channel.name, said)
    manifold = channel.name in ("pressure_im", "boost")
    alike = word is None or word.kind == channel.kind or channel.kind == ""
    if not alike and (channel.kind, word.kind if word else "") != ("air_fuel_ratio", "dimensionless"):
        text = f"the name means {channel.words}, the unit {facts.raw.unit} is another kind of thing."
        return _ask(facts, _choices(facts, name, None), 0.3, text, "What is it?")
    if channel.kind in ("", "air_fuel_ratio"):
        return _plain(facts, channel, name, first)
    if word is not None and word.unit == "" and channel.kind == "power":
        options = tuple(Choice(name, unit, channel.basis) for unit in ("hp (mechanical)", "PS"))
        return _ask(facts, options, first.sure, first.why, "Which horsepower?")
    if word is not None and word.unit == "" and word.kind == channel.kind and channel.kind != "dimensionless":
        return _ask(
            facts, _choices(facts, name, None), first.sure, first.why, f"Which {facts.raw.unit or 'unit'}?"
        )
    declared = word.unit if word is not None and word.kind == channel.kind else None
    if declared is not None and channel.kind == "dimensionless":
        declared = share_or_per_cent(facts, channel, declared)
        if declared is None:
            return _ask(
                facts,
                _choices(facts, name, None, ["%", ""]),
                0.5,
                "its numbers go from 0 to 1",
                "Per cent or a share?",
            )
    if declared is not None:
        wide = CHANNELS["boost"] if manifold else channel
        if not (
            _declared_fits(facts, channel, declared) or (manifold and _declared_fits(facts, wide, declared))
        ):
            others = [unit for unit in fitting_units(facts, channel) if unit != declared]
            like = likely(facts, channel.kind, declared)
            alike_ones = [
                c for c in like if c != channel.name and _declared_fits(facts, CHANNELS[c], declared)
            ]
            options = _choices(facts, name, None, others or list(COMMON[channel.kind]))
            for one in alike_ones:
                options += _choices(facts, _with_number(one, said), word)
            text = f"the header says {facts.raw.unit}, which its numbers ({_span(facts)}) do not fit"
            return _ask(facts, options, 0.4, text, "Which channel and unit?" if alike_ones else "Which unit?")
        if larger := too_small_for(facts, channel, declared):
            text = f"in {declared} its numbers ({_span(facts)}) are far too small for {channel.words}"
            return _ask(facts, _choices(facts, name, None, [*larger, declared]), 0.4, text, "Which unit?")
        why = f"{first.why}; unit {declared} " + ("in the header" if facts.word else "in its name")
        return _basis(facts, context, said, channel, name, declared, word, min(first.sure, 0.98), why)
    return _unit_by_numbers(facts, context, said, channel, name, first)


def _plain(facts: Facts, channel: Channel, name: str, first: Candidate) -> Proposal:
    """Counts and ratios, which have no unit to ask for."""
    choice = Choice(name, "", "")
    if not (channel.low <= facts.low and facts.high <= channel.high):
        options = (
            (Choice("lambda", ""), choice)
            if channel.name == "air_fuel_ratio" and facts.high < 3
            else (choice,)
        )
        text = f"its numbers ({_span(facts)}) are not those of {channel.words}"
        return _ask(facts, options, 0.4, text, "What is it?")
    if channel.name == "gear" and np.mean(np.abs(facts.values - np.rint(facts.values)) > 0.05) > 0.02:
        return _ask(facts, (choice,), 0.4, "its numbers are not whole", "Is this the gear?")
    if first.sure < TAKEN:
        return _ask(facts, (choice,), first.sure, first.why, f"Is this {channel.words}?")
    return _proposal(facts, PROPOSED, choice, first.sure, f"{first.why}; its numbers fit")


def _unit_by_numbers(
    facts: Facts, context: Context, said: Named, channel: Channel, name: str, first: Candidate
) -> Proposal:
    """No unit in the header: the numbers may settle it."""
    if channel.name in ("lambda", "lambda_target"):
        return _lambda_by_numbers(facts, channel, name, first)
    manifold = channel.name in ("pressure_im", "boost", "pressure_im_target", "boost_target")
    fitting = fitting_units(facts, channel)
    if manifold:
        fitting = _manifold_units(facts, context)
    if len(fitting) == 1 and channel.kind not in ("torque", "power"):
        why = f"{first.why}; no unit in the header, its numbers ({_span(facts)}) fit {fitting[0] or 'a share'} alone"
        return _basis(facts, context, said, channel, name, fitting[0], None, min(first.sure, 0.92), why)
    text = f"{first.why}; no unit in the header, and its numbers ({_span(facts)}) "
    text += (
        f"fit {' and '.join(unit or 'a share' for unit in fitting)}"
        if fitting
        else "fit no unit that is usual"
    )
    return _ask(
        facts, _choices(facts, name, None, fitting or None), min(first.sure, 0.7), text, "Which unit?"
    )


def _manifold_units(facts: Facts, context: Context) -> list[str]:
    """Units in which it would be a manifold pressure or boost, and which the engine at rest does not deny."""
    found = []
    for unit in COMMON["pressure"]:
        absolute = fits(facts, CHANNELS["pressure_im"], unit)
        gauge = fits(facts, CHANNELS["boost"], unit) and _boost_like(facts, unit)
        seen = (
            basis_of(facts, unit, "boost", context.speed, context.throttle).basis if absolute or gauge else ""
        )
        if (absolute and seen in ("absolute", "")) or (gauge and seen in ("gauge", "")):
            found.append(unit)
    return found


def _boost_like(facts: Facts, unit: str) -> bool:
    """True where the numbers as gauge pressure span what an engine's boost does."""
    low, high = in_si(facts.low, "pressure", unit), in_si(facts.high, "pressure", unit)
    return high - low > 15e3


def _lambda_by_numbers(facts: Facts, channel: Channel, name: str, first: Candidate) -> Proposal:
    """A wideband without a unit: lambda, an air-fuel ratio, or the volts of a sensor."""
    ratio = name.replace("lambda", "air_fuel_ratio")
    if facts.low >= 0.55 and facts.middle < 2.5 and first.sure >= TAKEN:
        return _proposal(
            facts, PROPOSED, Choice(name, ""), 0.93, f"{first.why}; its numbers are those of lambda"
        )
    if facts.low >= 7 and facts.high <= 30:
        calls_it_lambda = "lam" in folded(facts.raw.name)
        if not calls_it_lambda and first.sure >= TAKEN:
            return _proposal(
                facts,
                PROPOSED,
                Choice(ratio, ""),
                0.9,
                f"{first.why}; its numbers are those of an air-fuel ratio",
            )
        text = f"the name says lambda, its numbers ({_span(facts)}) an air-fuel ratio"
        return _ask(facts, (Choice(ratio, ""), Choice(name, "")), 0.6, text, "Which?")
    text = f"its numbers ({_span(facts)}) may be lambda, an air-fuel ratio or a sensor's volts"
    return _ask(facts, (Choice(name, ""), Choice(ratio, "")), 0.4, text, "Which?")


def _basis(
    facts: Facts,
    context: Context,
    said: Named,
    channel: Channel,
    name: str,
    unit: str,
    word: UnitWord | None,
    sure: float,
    why: str,
) -> Proposal:
    """The basis of a pressure, and the end of the judgement of all else."""
    manifold = channel.name in ("pressure_im", "boost", "pressure_im_target", "boost_target")
    if not manifold and channel.basis != "either":
        if sure < TAKEN:
            return _ask(facts, _choices(facts, name, None, [unit]), sure, why, f"Is this {channel.words}?")
        return _proposal(facts, PROPOSED, Choice(name, unit, channel.basis), sure, why)
    stated = word.basis if word is not None else ""
    if not stated:
        stated = "absolute" if "absolute" in said.notions else "gauge" if "gauge" in said.notions else ""
    base = channel.name.removesuffix("_target")
    seen = basis_of(facts, unit, base, context.speed, context.throttle)
    if channel.name.endswith("_target"):
        seen = type(seen)("", "") if seen.basis == "absolute" else seen
    basis = stated or seen.basis
    if seen.basis == IMPOSSIBLE:
        return _ask(
            facts,
            _choices(facts, name, None, [unit]),
            0.4,
            f"{why}; but {seen.why}",
            "Gauge or absolute, and in which unit?",
        )
    if stated and seen.basis and stated != seen.basis:
        text = f"{why}; the file says {stated}, but {seen.why}"
        return _ask(facts, _choices(facts, name, None, [unit]), 0.4, text, "Gauge or absolute?")
    if not basis:
        return _ask(facts, _choices(facts, name, None, [unit]), 0.6, why, "Gauge or absolute?")
    if manifold:
        target = "_target" if channel.name.endswith("_target") else ""
        name = ("pressure_im" if basis == "absolute" else "boost") + target
    reason = f"{why}; {basis}: " + ("the file says so" if stated else seen.why)
    if sure < TAKEN:
        return _ask(
            facts,
            (Choice(name, unit, basis), *_choices(facts, name, None, [unit])),
            sure,
            reason,
            "Is this right?",
        )
    return _proposal(facts, PROPOSED, Choice(name, unit, basis), sure, reason)
