"""The go / no-go sheet of a build: every rule asked, in the order of the work."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from boostwright.build import Build, read_build
from boostwright.tasks.plan_result import Plan
from boostwright.tasks.sheets import rules_control, rules_made, rules_measuring, rules_model, rules_oil
from boostwright.tasks.sheets.answer import GoNoGo, Stage
from boostwright.tasks.sheets.facts import Facts, facts_of
from boostwright.tasks.sheets.rule import Rule

__all__ = ["RULES", "go_no_go", "go_no_go_of", "judged"]

RULES: tuple[Rule, ...] = tuple(
    rule
    for stage in Stage
    for subject in (rules_oil, rules_made, rules_measuring, rules_control, rules_model)
    for rule in subject.RULES
    if rule.stage is stage
)
"""Every rule, by stage."""


def go_no_go(folder: Path, settings: Sequence[str] = ()) -> GoNoGo:
    """The go / no-go sheet of a build folder.

    settings  ``section.key=value`` laid over the build for this run
    Raises BuildError or CardError with every fault found.
    """
    return go_no_go_of(read_build(folder, list(settings)))


def go_no_go_of(build: Build, plan: Plan | None = None) -> GoNoGo:
    """The sheet of a build that was read already; judges the plan's boost table, or without one its own."""
    return judged(facts_of(build, plan))


def judged(facts: Facts) -> GoNoGo:
    """Every rule asked of the facts."""
    build = facts.build
    return GoNoGo(
        build=build.name,
        provenance=build.provenance,
        table=facts.table,
        days=tuple(f"{day.name}: {day.words}" for day in facts.days) if facts.held else (),
        lines=tuple(rule.line(facts) for rule in RULES),
        settings=build.source.settings,
    )
