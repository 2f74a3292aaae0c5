"""What stands behind each relation: the proof read by relation instead of by case.

A case worked out from the relation's own formula shows that it is coded right and no more, so it is counted apart.
"""

from __future__ import annotations

from collections.abc import Sequence

from boostwright.proof.case import EVIDENCE, RelationProof
from boostwright.report.prose import paragraph

__all__ = ["relations_page", "relations_text"]

_NO_FIGURE = ("definition", "common practice")
_GROUPS = (
    (
        "Only another kind of value",
        "A value quoted by another text, recalled, or computed by a reference library stands behind them.",
    ),
    (
        "Own formula only",
        "Nothing from outside stands behind them but the formula itself: trust them as far as its status says.",
    ),
    (
        "Definitions, balances and common practice",
        "They take no figure from a source, so there is none to read; what cases they have show their coding, and the "
        "tests of laws hold them.",
    ),
)


def _grouped(unread: Sequence[RelationProof]) -> list[tuple[str, str, list[RelationProof]]]:
    """Relations without a read value, in the order of ``_GROUPS``; empty groups are left out."""
    members: list[list[RelationProof]] = [[], [], []]
    for one in unread:
        if one.best and one.best != "own formula":
            members[0].append(one)
        else:
            members[2 if one.status in _NO_FIGURE else 1].append(one)
    return [(*group, found) for group, found in zip(_GROUPS, members, strict=True) if found]


def _verdict(relations: Sequence[RelationProof]) -> str:
    read = sum(one.best == "read" for one in relations)
    alone = sum("read" in one.cases for one in relations)
    return (
        f"Of {len(relations)} relations {read} have a value that was seen in its source, {alone} of them a value of "
        f"their own and {read - alone} only inside a sum of several relations; {len(relations) - read} have none yet."
    )


def relations_text(relations: Sequence[RelationProof], width: int) -> str:
    """The list "no read source yet" for a terminal, a paragraph a part of the physics; "" without relations."""
    if not relations:
        return ""
    lines = ["No read source yet", paragraph(_verdict(relations), width)]
    for title, _, members in _grouped([one for one in relations if one.best != "read"]):
        lines += ["", f"  {title} ({len(members)})"]
        by_module: dict[str, list[str]] = {}
        for one in members:
            module, _, name = one.name.rpartition(".")
            by_module.setdefault(module, []).append(name)
        lines += [
            paragraph(f"{module}: {', '.join(names)}", width, "    ", "      ")
            for module, names in by_module.items()
        ]
    return "\n".join(lines)


def _count(one: RelationProof, word: str) -> str:
    alone, summed = one.cases.get(word, 0), one.in_sums.get(word, 0)
    if not summed:
        return str(alone) if alone else ""
    return f"{alone} + {summed}" if alone else f"+ {summed}"


def relations_page(relations: Sequence[RelationProof]) -> list[str]:
    """Two sections of the page: every relation with its cases, and the list "no read source yet"."""
    if not relations:
        return []
    lines = [
        "## What stands behind each relation",
        "",
        _verdict(relations) + " Cases by what they are worth; a number after + counts cases in which the "
        "relation is one of several in a sum.",
        "",
        "| relation | source | formula known | " + " | ".join(EVIDENCE) + " |",
        "|---|---|---|" + "---:|" * len(EVIDENCE),
    ]
    for one in relations:
        counts = " | ".join(_count(one, word) for word in EVIDENCE)
        lines.append(f"| `{one.name}` | `{one.source}` | {one.status} | {counts} |")
    lines += ["", "## No read source yet", ""]
    for title, meaning, members in _grouped([one for one in relations if one.best != "read"]):
        lines += [f"### {title}", "", f"{meaning} {len(members)} relations.", ""]
        lines += ["| relation | source | formula known | best value |", "|---|---|---|---|"]
        lines += [
            f"| `{one.name}` | `{one.source}` | {one.status} | {one.best or 'none'} |" for one in members
        ]
        lines.append("")
    return lines
