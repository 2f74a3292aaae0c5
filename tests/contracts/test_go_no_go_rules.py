"""Every rule of the go / no-go sheet is whole: words, source of what is held against it, and three verdicts."""

from __future__ import annotations

import re

import pytest

from boostwright.build.schema import SECTIONS
from boostwright.tasks.sheets.answer import MISTAKES, Stage
from boostwright.tasks.sheets.go_no_go import RULES
from boostwright.tasks.sheets.rule import Rule

KNOWN = re.compile(
    r"common practice|own estimate|from memory|read in|told by|the model|card|build|margin|limits|plan"
)
KEYS = {f"{section.name}.{key}" for section in SECTIONS for key in section.keys}

EVERY = pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)


def test_codes_are_there_once_and_stages_follow_the_work() -> None:
    assert len({rule.code for rule in RULES}) == len(RULES) >= 40
    stages = [list(Stage).index(rule.stage) for rule in RULES]
    assert stages == sorted(stages)


@EVERY
def test_a_rule_asks_in_plain_words_and_says_what_it_holds_against_the_answer(rule: Rule) -> None:
    assert rule.question.endswith("?")
    assert 20 < len(rule.question) < 90
    assert KNOWN.search(rule.wanted), rule.wanted
    assert rule.guards is None or rule.guards in MISTAKES


def test_every_key_a_rule_names_is_a_key_of_the_build() -> None:
    from green_build import ESTATE, GREEN

    from boostwright.build import read_build
    from boostwright.tasks.sheets.facts import facts_of
    from boostwright.tasks.sheets.go_no_go import judged

    sections = ("oil", "coolant", "hoses", "fail_safes", "sensors", "clearance", "dyno")
    build = read_build(ESTATE, GREEN)
    away = [f"{name}.{key}=" for name in sections for key in build[name].values if build[name].written(key)]
    bare = read_build(ESTATE, [*GREEN, *away, "exhaust_manifold.material=", "limits.egt_reading="])
    lines = judged(facts_of(bare, speeds=(300.0, 500.0))).lines
    named = {key for line in lines for key in re.findall(r"\b[a-z_]+\.[a-z_]+\b", line.mend)}
    assert len(named) > 25
    assert named <= KEYS
