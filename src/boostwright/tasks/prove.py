"""Check the program's physics against published values."""

from __future__ import annotations

from collections.abc import Iterable

from boostwright.proof.case import ProofResult
from boostwright.proof.runner import run_cases

__all__ = ["prove"]


def prove(subjects: Iterable[str] | None = None) -> ProofResult:
    """Run every proof case, or those of the subjects named.

    subjects  names of case files, such as 'gas_dynamics'; None runs all
    Returns a frozen ProofResult: the cases with deviation and verdict, counts by status. Raises UnknownPart for a
    subject that does not exist."""
    return run_cases(subjects)
