"""Pulls that were found beside pulls that were made: the rule by which one counts as the other."""

from __future__ import annotations

import math
from collections.abc import Sequence

from boostwright.logs.pulls.records import Pull
from tests.support.made_logs_p import Made

SHARE = 0.8
"""A pull is found where the stretch in common is at least this share of the longer of both, and its gear is right."""
RATIO = 0.05


def in_common(a: float, b: float, c: float, d: float) -> float:
    """Stretch in common of two, as a share of the longer one."""
    longer = max(b - a, d - c)
    return max(0.0, min(b, d) - max(a, c)) / longer if longer > 0 else 0.0


def matches(made: Made, pulls: Sequence[Pull]) -> tuple[int, int, list[str]]:
    """Pulls that were found, pulls that were made, and in words what went wrong; one found counts for one made."""
    wanted = [one for one in made.truth if not one.miss]
    used: set[int] = set()
    wrong, found = [], 0
    for truth in wanted:
        shares = [
            (in_common(truth.start, truth.end, p.start, p.end), k)
            for k, p in enumerate(pulls)
            if k not in used
        ]
        share, k = max(shares, default=(0.0, -1))
        if share < SHARE:
            wrong.append(f"{made.kinds}: missed {truth}, best share {share:.2f}")
            continue
        used.add(k)
        ratio = pulls[k].gear_ratio
        if truth.gear and not abs(math.log(ratio / made.ratios[truth.gear - 1])) < RATIO:
            wrong.append(f"{made.kinds}: {truth} found at {ratio:.2f} rad/m in gear {pulls[k].gear!r}")
            continue
        found += 1
    for k, pull in enumerate(pulls):
        if k not in used:
            wrong.append(f"{made.kinds}: none made, but found {pull.start:.2f} to {pull.end:.2f} s")
    return found, len(wanted), wrong
