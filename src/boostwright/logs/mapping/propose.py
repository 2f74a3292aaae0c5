"""All columns of a log judged together: those that settle others first, then each, then who claims the same channel."""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from boostwright.logs.mapping.facts import Facts, Raw, facts_of
from boostwright.logs.mapping.judge import Context, judge
from boostwright.logs.mapping.meaning import named
from boostwright.logs.mapping.names import CHANNELS, channel_of
from boostwright.logs.mapping.proposal import ASKED, NONE, PROPOSED, Choice, Proposal
from boostwright.logs.mapping.units_by_value import fitting_units, in_si

__all__ = ["propose", "shape_of"]

_CLOSE = 1e-6
_SPOKEN_AGAINST = 0.5  # sureness below which numbers contradict what is asked


def shape_of(raws: Sequence[Raw]) -> str:
    """A key of the columns of a log: names and units, whatever their order or part."""
    words = sorted({(raw.name, raw.unit) for raw in raws})
    return hashlib.sha256(json.dumps(words).encode()).hexdigest()[:32]


def propose(raws: Sequence[Raw]) -> tuple[Proposal, ...]:
    """A proposal for each raw column, in their order."""
    facts = [facts_of(raw) for raw in raws]
    by_part: dict[int, list[int]] = defaultdict(list)
    for index, one in enumerate(facts):
        by_part[one.raw.part].append(index)
    contexts = {part: _context([facts[k] for k in indices]) for part, indices in by_part.items()}
    proposals = [judge(one, contexts[one.raw.part]) for one in facts]
    _as_in_other_parts(proposals)
    for indices in by_part.values():
        _speeds(facts, proposals, indices)
        _number_tracks(proposals, indices)
        _settle_claims(facts, proposals, indices)
    return tuple(_with_codes(one, proposal) for one, proposal in zip(facts, proposals, strict=True))


def _context(facts: list[Facts]) -> Context:
    """What settles other columns of the same part; parts have clocks of their own, so no other part's will do."""
    return Context(_anchor(facts, "engine_speed"), _anchor(facts, "throttle_position"))


def _as_in_other_parts(proposals: list[Proposal]) -> None:
    """A column that one part of the file settles and another leaves open without speaking against it is the same."""
    settled_by: dict[tuple[int, str, str], dict[Choice, int]] = defaultdict(dict)
    for one in proposals:
        if one.status == PROPOSED and one.choice is not None:
            settled_by[one.group, one.column, one.raw_unit].setdefault(one.choice, one.part)
    for index, one in enumerate(proposals):
        found = settled_by.get((one.group, one.column, one.raw_unit), {})
        if one.status != ASKED or one.confidence < _SPOKEN_AGAINST or len(found) != 1:
            continue
        ((choice, part),) = found.items()
        if choice in one.choices:
            reason = f"{one.reason}; as in part {part} of the file"
            proposals[index] = replace(
                one, status=PROPOSED, choice=choice, reason=reason, question="", choices=(), confidence=0.9
            )


def _with_codes(one: Facts, proposal: Proposal) -> Proposal:
    """Say which numbers were taken for no value."""
    if not one.codes:
        return proposal
    codes = " and ".join(f"{float(np.float32(code)):.6g}" for code in one.codes)
    return replace(proposal, reason=f"{proposal.reason}; {codes} taken for no value")


def _anchor(facts: list[Facts], channel: str) -> Facts | None:
    """The column that is surely a channel, its unit settled; None where there is none or it is in doubt."""
    best: tuple[float, Facts] | None = None
    for one in facts:
        if not one.values.size or one.raw.states:
            continue
        found = named(one).candidates
        if not found or found[0].channel != channel or len(found) > 1:
            continue
        proposal = judge(one, Context())
        if proposal.status != PROPOSED or proposal.choice is None:
            continue
        one.settled["unit"] = proposal.choice.unit
        if best is None or proposal.confidence > best[0]:
            best = (proposal.confidence, one)
    return best[1] if best else None


def _speeds(facts: list[Facts], proposals: list[Proposal], indices: list[int]) -> None:
    """A road speed without a unit settled by another one: they are the same car's."""
    known = [
        (facts[k], choice.unit)
        for k in indices
        if proposals[k].taken
        and (choice := proposals[k].choice)
        and choice.channel.startswith("vehicle_speed")
    ]
    if not known:
        return
    other, unit = known[0]
    for index in indices:
        one, proposal = facts[index], proposals[index]
        if (
            proposal.status != ASKED
            or not proposal.choice
            or not proposal.choice.channel.startswith("vehicle_speed")
        ):
            continue
        theirs = in_si(1.0, "velocity", unit) * other.at(one.raw.time)
        both = np.isfinite(theirs) & np.isfinite(one.raw.values) & (theirs > 5.0)
        if both.sum() < 20:
            continue
        ratio = float(np.median(theirs[both] / np.maximum(one.raw.values[both], 1e-9)))
        fits = [
            u
            for u in fitting_units(one, CHANNELS["vehicle_speed"])
            if abs(ratio / in_si(1.0, "velocity", u) - 1) < 0.12
        ]
        if len(fits) == 1 and proposal.confidence >= 0.65:
            choice = Choice(proposal.choice.channel, fits[0])
            reason = f"in {fits[0]} it agrees with {other.raw.name}"
            proposals[index] = replace(
                proposal,
                status=PROPOSED,
                choice=choice,
                reason=reason,
                question="",
                choices=(),
                confidence=0.92,
            )


def _number_tracks(proposals: list[Proposal], indices: list[int]) -> None:
    """Two tracks of one pedal or throttle get numbers in the order of their columns."""
    for name in ("pedal_position", "throttle_position"):
        same = [
            k
            for k in indices
            if proposals[k].status == PROPOSED and (c := proposals[k].choice) and c.channel == name
        ]
        if len(same) > 1:
            for number, k in enumerate(same, start=1):
                choice = proposals[k].choice
                if choice is not None:
                    proposals[k] = replace(proposals[k], choice=replace(choice, channel=f"{name}_{number}"))


def _settle_claims(facts: list[Facts], proposals: list[Proposal], indices: list[int]) -> None:
    """Columns that claim one channel: the same numbers again are left out, others are asked about."""
    claims: dict[str, list[int]] = defaultdict(list)
    for k in indices:
        choice = proposals[k].choice
        if proposals[k].status == PROPOSED and choice is not None:
            claims[choice.channel].append(k)
    for channel, claimants in claims.items():
        if len(claimants) < 2:
            continue
        claimants.sort(key=lambda k: -proposals[k].confidence)
        first = claimants[0]
        for k in claimants[1:]:
            if _same(facts[first], facts[k]):
                text = f"the same numbers as {proposals[first].column}"
                proposals[k] = replace(proposals[k], status=NONE, choice=None, reason=text)
        rest = [k for k in claimants if proposals[k].status == PROPOSED]
        if len(rest) < 2 or proposals[rest[0]].confidence - proposals[rest[1]].confidence > 0.15:
            rest = rest[1:]
        names = " and ".join(proposals[k].column for k in claimants)
        for k in rest:
            _ask_which(proposals, k, channel, names)


def _ask_which(proposals: list[Proposal], k: int, channel: str, names: str) -> None:
    proposal, found = proposals[k], channel_of(channel)
    choice = proposal.choice
    words = found[0].words if found else channel
    question = f"{proposal.column}: {names} may both be {words}. Which is {channel}?"
    proposals[k] = replace(
        proposal,
        status=ASKED,
        confidence=0.5,
        question=question,
        choices=(choice,) if choice else (),
        reason=f"{names} claim the same channel",
    )


def _same(one: Facts, other: Facts) -> bool:
    """True where two columns hold the same numbers at the same times."""
    theirs = other.at(one.raw.time)
    both = np.isfinite(theirs) & np.isfinite(one.raw.values)
    if both.sum() < 5:
        return False
    scale = max(float(np.abs(one.raw.values[both]).max()), 1e-9)
    return bool(np.abs(theirs[both] - one.raw.values[both]).max() < _CLOSE * scale)
