"""The records of a mapping: what is proposed of each raw column, what was said, what must be asked."""

from __future__ import annotations

from dataclasses import dataclass, replace

__all__ = ["ASKED", "NONE", "NO_NUMBER", "PROPOSED", "REUSED", "SAID", "Choice", "Proposal", "settled"]

PROPOSED, ASKED, SAID, REUSED, NONE = "proposed", "asked", "said", "reused", "none"
NO_NUMBER = "holds no number at all"
"""Reason of a column that is empty, or holds only signs for no value."""


@dataclass(frozen=True)
class Choice:
    """One answer to a question: channel, unit of the program's table, basis ('' where it has none)."""

    channel: str
    unit: str
    basis: str = ""

    def words(self) -> str:
        """As an answer is written."""
        return " ".join(part for part in (self.channel, self.unit, self.basis) if part)


@dataclass(frozen=True)
class Proposal:
    """A raw column and what it is taken for.

    part, group, column, raw_unit  which column, in the words of the file
    status      proposed (taken), asked (not taken until answered), said by the user, reused from an earlier log of
                the same shape, none (no channel of ours)
    choice      channel, unit and basis; for "asked" the likeliest one or None
    confidence  0 to 1
    reason      why, in words
    question    what is asked, '' where nothing
    choices     the answers that fit
    """

    part: int
    group: int
    column: str
    raw_unit: str
    status: str
    choice: Choice | None
    confidence: float
    reason: str
    question: str = ""
    choices: tuple[Choice, ...] = ()

    @property
    def taken(self) -> bool:
        """True where the column stands for a channel."""
        return self.status in (PROPOSED, SAID, REUSED) and self.choice is not None


def settled(proposal: Proposal, status: str, choice: Choice | None, reason: str) -> Proposal:
    """The same column with an answer."""
    sure = 1.0 if status == SAID else proposal.confidence
    return replace(
        proposal,
        status=status if choice is not None else NONE,
        choice=choice,
        confidence=sure,
        reason=reason,
        question="",
        choices=(),
    )
