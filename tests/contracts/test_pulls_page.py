"""The page on pulls names every reason and every rule of the program, and the bounds as they are."""

from __future__ import annotations

import re
from dataclasses import fields
from pathlib import Path

from boostwright.logs.pulls.records import REASONS
from boostwright.logs.pulls.rules import RPM, PullRules
from boostwright.tasks.find_pulls import changed_rules

PAGE = Path(__file__).parents[2] / "docs" / "explain" / "pulls.md"


def rows(heading: str) -> dict[str, str]:
    """First and second cell of the table under a heading, by the name in the first."""
    section = PAGE.read_text(encoding="utf-8").split(f"## {heading}\n")[1].split("\n## ")[0]
    return dict(re.findall(r"^\| `([a-z_-]+)` \| ([^|]+?) \|", section, re.MULTILINE))


def test_every_reason_is_explained_and_none_that_is_not_there() -> None:
    assert set(rows("Reasons")) == set(REASONS)


def test_every_rule_stands_with_its_bound() -> None:
    told, rules = rows("What counts"), PullRules()
    assert set(told) == {field.name for field in fields(PullRules)}
    scales = {"rpm": RPM, "rpm/s": RPM, "%": 0.01, "s": 1.0, "true": 1.0}
    for name, words in told.items():
        found = re.match(r"([\d.]+) (\S+?)(?:,|$| )", words)
        if name == "coldest_coolant":
            assert (words, rules.coldest_coolant) == ("none", 0.0)
        elif name == "warm_coolant":
            assert words == f"{rules.warm_coolant - 273.15:.0f} degC"
        else:
            assert found is not None, words
            assert abs(float(found[1]) * scales[found[2]] - getattr(rules, name)) < 1e-9 * getattr(
                rules, name
            )


def test_every_rule_can_be_changed_from_the_command_line() -> None:
    written = {
        "full_throttle": "80 %", "least_rise": "1000 rpm", "least_time": "2 s", "least_samples": "7",
        "slowest_ramp": "30 rpm/s", "fastest_ramp": "3000 rpm/s", "ratio_tolerance": "4 %", "largest_gap": "1 s",
        "longest_bridge": "0.1 s", "warm_coolant": "70 degC", "coldest_coolant": "50 degC", "nearly": "50 %",
    }  # fmt: skip
    assert set(written) == {field.name for field in fields(PullRules)}
    changed = changed_rules([f"{name}={value}" for name, value in written.items()])
    assert changed.least_rise == 1000 * RPM
    assert changed.least_samples == 7
    assert changed.coldest_coolant == 323.15
    assert all(getattr(changed, name) != getattr(PullRules(), name) for name in written)
