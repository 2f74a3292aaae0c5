"""Find the pulls of a log: start, end, gear, ramp and state of each, and why every other stretch is none."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from typing import Any

from boostwright.build.build import Build
from boostwright.logs.gear import GearFacts
from boostwright.logs.mapping.names import channel_of
from boostwright.logs.pulls.records import REASONS, NotTaken, Pull, PullSearch
from boostwright.logs.pulls.rules import RPM, PullFacts, PullRules
from boostwright.logs.pulls.search import find_pulls_in
from boostwright.logs.records import LogError
from boostwright.numerics.code_cache import cache_directory
from boostwright.tasks.log_place import LogPlace

__all__ = [
    "REASONS",
    "RPM",
    "FoundPulls",
    "NotTaken",
    "PartPulls",
    "Pull",
    "PullFacts",
    "PullRules",
    "PullSearch",
    "changed_rules",
    "channel_of",
    "facts_of_build",
    "find_pulls",
    "search_is_compiled",
]


@dataclass(frozen=True)
class PartPulls:
    """The answer for one part of a log.

    part    its number
    search  pulls, what was not taken, how it was told
    """

    part: int
    search: PullSearch


@dataclass(frozen=True)
class FoundPulls:
    """The pulls of a log.

    log        name of the file it came from; folder: where it is stored, '' where it was read for this answer only
    build      name of the build whose gears and barometer were used, '' for none
    parts      an answer for each part that was looked at
    rules      the bounds they were found by
    notes      what to know of the log itself
    questions  columns that wait for an answer and so could not be used
    """

    log: str
    folder: str
    build: str
    parts: tuple[PartPulls, ...]
    rules: PullRules
    notes: tuple[str, ...]
    questions: tuple[str, ...]

    @property
    def pulls(self) -> tuple[Pull, ...]:
        """The pulls of all parts, in order."""
        return tuple(pull for one in self.parts for pull in one.search.pulls)

    @property
    def not_taken(self) -> tuple[NotTaken, ...]:
        """What was not taken, in all parts, in order."""
        return tuple(stretch for one in self.parts for stretch in one.search.not_taken)


def find_pulls(place: LogPlace, rules: PullRules | None = None, part: int = 0) -> FoundPulls:
    """Find the pulls of a log.

    place  the log, as ``open_log_place`` gives it; gear ratios and barometer come from its build, where it has one
    part   the part to look at; 0 for all
    A log in which nothing can be found is an answer, with its reasons. Raises LogError where there is no such part or
    the stored log cannot be read.
    """
    rules = rules or PullRules()
    facts = facts_of_build(place.build) if place.build is not None else PullFacts()
    if part:
        place.of_part(part)
    wanted = (part,) if part else place.parts
    searches = [find_pulls_in(place.of_part(one).channels, facts, rules) for one in wanted]
    if not place.timed:
        searches = [_without_rates(one) for one in searches]
    parts = tuple(PartPulls(one, search) for one, search in zip(wanted, searches, strict=True))
    asked = tuple(p.column for p in place.questions if p.part in wanted)
    notes = tuple(note for note in place.notes if "clocks of their own" not in note)
    return FoundPulls(
        place.name,
        str(place.folder) if place.kept else "",
        place.build.folder.resolve().name if place.build is not None else "",
        parts,
        rules,
        notes,
        tuple(dict.fromkeys(asked)),
    )


def _without_rates(search: PullSearch) -> PullSearch:
    """The pulls of a log whose times are only counted rows: nothing of them has a rate."""
    none = math.nan
    pulls = (
        replace(one, load="", ramp=none, ramp_error=none, ramp_low=none, ramp_high=none)
        for one in search.pulls
    )
    return replace(search, pulls=tuple(pulls))


def search_is_compiled() -> bool:
    """False where the next search waits some ten seconds for machine code, once after an installation or an update."""
    return any(cache_directory().rglob("rise_kernel.rises*.nbi"))


def facts_of_build(build: Build) -> PullFacts:
    """What a build says that the search can use: gear ratios, final drive, rolling radius, the air's pressure."""
    vehicle, ambient = build["vehicle"], build["ambient"]
    ratios = tuple(vehicle.numbers("gear_ratios")) if vehicle.has("gear_ratios") else ()
    final = vehicle.si("final_drive") if vehicle.has("final_drive") else None
    radius = vehicle.si("rolling_radius") if vehicle.has("rolling_radius") else None
    pressure = ambient.si("pressure") if ambient.has("pressure") else None
    return PullFacts(GearFacts(ratios, final, radius), pressure)


_SCALES = {
    "full_throttle": ("%", 0.01, 0.0),
    "least_rise": ("rpm", RPM, 0.0),
    "least_time": ("s", 1.0, 0.0),
    "least_samples": ("", 1.0, 0.0),
    "slowest_ramp": ("rpm/s", RPM, 0.0),
    "fastest_ramp": ("rpm/s", RPM, 0.0),
    "ratio_tolerance": ("%", 0.01, 0.0),
    "largest_gap": ("s", 1.0, 0.0),
    "longest_bridge": ("s", 1.0, 0.0),
    "warm_coolant": ("degC", 1.0, 273.15),
    "coldest_coolant": ("degC", 1.0, 273.15),
    "nearly": ("%", 0.01, 0.0),
}


def changed_rules(settings: tuple[str, ...] | list[str]) -> PullRules:
    """The rules with some of them changed, each written as "NAME=VALUE UNIT".

    settings  for example ``least_rise=1000 rpm``; the unit may be left out
    Raises LogError for a name, a number or a unit that cannot be.
    """
    rules = PullRules()
    for text in settings:
        name, _, value = (part.strip() for part in text.partition("="))
        if name not in _SCALES:
            raise LogError.of("--rule", f"has no {name or 'name'}.", f"rules are {', '.join(_SCALES)}", text)
        unit, scale, offset = _SCALES[name]
        found = re.fullmatch(r"([-+]?\d+(?:\.\d+)?)\s*(\S*)", value)
        if found is None or found[2] not in ("", unit):
            raise LogError.of(
                "--rule", "is not a number in its unit.", f"write {name}={_example(name)}", text
            )
        number = float(found[1]) * scale + offset
        if number < 0 or (name == "full_throttle" and not 0.3 <= number <= 1.0):
            raise LogError.of("--rule", "is out of range.", f"write {name}={_example(name)}", text)
        if name == "least_samples":
            rules = replace(rules, least_samples=int(number))
        else:
            changed: dict[str, Any] = {name: number}
            rules = replace(rules, **changed)
    return rules


def _example(name: str) -> str:
    unit, scale, offset = _SCALES[name]
    return f'"{(getattr(PullRules(), name) - offset) / scale:.4g} {unit}"'.replace(' "', '"')
