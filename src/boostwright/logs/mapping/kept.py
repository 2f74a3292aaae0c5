"""The mapping of a stored log as data: ``mapping.json`` beside its manifest, rewritten in one step."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from boostwright.logs.mapping.proposal import NONE, SAID, Choice, Proposal
from boostwright.logs.records import LogError
from boostwright.saving import save_atomically

__all__ = [
    "MAPPING",
    "choice_document",
    "earlier_of_shape",
    "mapping_document",
    "read_mapping",
    "save_mapping",
]

MAPPING = "mapping.json"
_FORMAT = 1


def choice_document(choice: Choice | None) -> dict[str, str] | None:
    """A choice as plain data."""
    return None if choice is None else {"channel": choice.channel, "unit": choice.unit, "basis": choice.basis}


def mapping_document(proposals: Sequence[Proposal], shape: str) -> dict[str, Any]:
    """All columns of a log and what they are taken for."""
    return {
        "format": _FORMAT,
        "shape": shape,
        "columns": [
            {
                "part": p.part,
                "group": p.group,
                "column": p.column,
                "raw_unit": p.raw_unit,
                "status": p.status,
                "taken": p.taken,
                "choice": choice_document(p.choice),
                "confidence": p.confidence,
                "reason": p.reason,
                "question": p.question,
                "choices": [choice_document(choice) for choice in p.choices],
            }
            for p in proposals
        ],
    }


def save_mapping(folder: Path, proposals: Sequence[Proposal], shape: str) -> None:
    """Write the mapping of the log in a folder. Raises LogError where that fails."""
    text = json.dumps(mapping_document(proposals, shape), indent=1, ensure_ascii=False) + "\n"
    try:
        save_atomically(folder / MAPPING, text.encode("utf-8"))
    except OSError as reason:
        raise LogError.of(
            str(folder / MAPPING), f"cannot be written: {reason.strerror}.", "check the disk"
        ) from reason


def read_mapping(folder: Path) -> tuple[tuple[Proposal, ...], str]:
    """The mapping of the log in a folder and its shape; empty where none was kept, or it is damaged."""
    try:
        document = json.loads((folder / MAPPING).read_text(encoding="utf-8"))
        proposals = tuple(
            Proposal(
                c["part"],
                c["group"],
                c["column"],
                c["raw_unit"],
                c["status"],
                _choice(c["choice"]),
                c["confidence"],
                c["reason"],
                c["question"],
                tuple(x for x in map(_choice, c["choices"]) if x is not None),
            )
            for c in document["columns"]
        )
        return proposals, str(document["shape"])
    except (OSError, ValueError, KeyError, TypeError):
        return (), ""


def _choice(document: dict[str, str] | None) -> Choice | None:
    return None if document is None else Choice(document["channel"], document["unit"], document["basis"])


def earlier_of_shape(
    parent: Path, shape: str, besides: Path
) -> tuple[dict[tuple[str, str], Choice | None], str]:
    """What the columns of the latest log of a shape were settled to, and its name; what was asked is left out.

    besides  the log itself
    """
    found: list[tuple[float, Path]] = []
    for path in parent.glob(f"*/{MAPPING}"):
        if path.parent != besides:
            found.append((path.stat().st_mtime, path.parent))
    for _, folder in sorted(found, reverse=True):
        proposals, other = read_mapping(folder)
        if other == shape:
            settled: dict[tuple[str, str], Choice | None] = {}
            for p in proposals:
                if p.taken or (p.status == NONE and p.confidence == 1.0) or p.status == SAID:
                    settled[p.column, p.raw_unit] = p.choice if p.taken else None
            return settled, folder.name
    return {}, ""
