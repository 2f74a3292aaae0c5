"""What the name of a column means: the channels it may be, by its words and the kind of its unit."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from boostwright.logs.mapping.facts import Facts
from boostwright.logs.mapping.names import CHANNELS, channel_of
from boostwright.logs.mapping.rules import Candidate, candidates, near, says_a_thing
from boostwright.logs.mapping.unit_words import UnitWord, find_unit, folded
from boostwright.logs.mapping.units_by_value import COMMON, fits, in_si
from boostwright.logs.mapping.words import Spoken, kind_notion, spoken

__all__ = ["OPEN", "SIGNALS", "TAKEN", "Named", "likely", "named", "not_denied", "unit_behind"]

SIGNALS = {"voltage", "counts", "resistance", "frequency", "current", "mass_per_stroke"}
"""Kinds of unit of a sensor's signal, or of a count by the stroke."""

TAKEN = 0.85
"""Surer than this is taken; the rest is asked."""

OPEN = {
    "torque_open": ("torque", "torque_wheel"),
    "power_open": ("power", "power_wheel"),
    "fuel_flow": ("mass_flow_fuel", "volume_flow_fuel"),
}
"""Channels that a name leaves open, and which they may be."""

_BY_UNIT = {
    "rotational_speed": ("engine_speed", "shaft_speed"),
    "velocity": ("vehicle_speed", "vehicle_speed_gps"),
    "mass_flow": ("mass_flow_air", "mass_flow_fuel"),
    "volume_flow": ("volume_flow_fuel",),
    "voltage": ("voltage_battery",),
    "time": ("injector_time",),
    "torque": ("torque", "torque_wheel"),
    "power": ("power", "power_wheel"),
    "angle": ("angle_spark",),
    "air_fuel_ratio": ("air_fuel_ratio", "air_fuel_ratio_target"),
}
"""The few channels that are read in units of a kind."""

_RULED = 0.6  # as sure as a name that means several channels by a rule, and has no strange word
_GLOWING, _WARM = 570.0, 338.0  # K
_STEADY, _THIN, _DENSE = 1.5e3, 60e3, 108e3  # Pa


@dataclass(frozen=True)
class Named:
    """What a column's name says: channels, the surest first, notions, numbers, a unit that stands in it.

    also  channels that come near, offered besides where there is doubt
    """

    candidates: tuple[Candidate, ...]
    notions: frozenset[str]
    numbers: tuple[int, ...]
    unit: UnitWord | None = None
    also: tuple[str, ...] = ()


def named(facts: Facts) -> Named:
    """What the name says, and where it says nothing, the other header rows."""
    name = re.sub(r"\s*\(\d+\)$", "", facts.raw.name)
    own = channel_of(folded(name))
    if own is not None and own[0].name not in ("torque", "power"):  # which may be at the wheels
        found = Candidate(own[0].name, 0.99, "the name is one of ours")
        return Named((found,), frozenset(), (own[1],) if own[1] else ())
    kind = facts.word.kind if facts.word else ""
    said = spoken(name, kind)
    got = _meant(said, kind)
    if not got and facts.raw.comment:
        said = spoken(facts.raw.comment, kind)
        got = _meant(said, kind)
    also: tuple[Candidate, ...] = ()
    if got and got[0].sure < TAKEN:
        told = kind or (said.unit.kind if said.unit else "")
        also = near(said.notions | kind_notion(said, told), said.unknown, told)
    extra = tuple(one.channel for one in also)
    return Named(got or _by_unit_alone(facts, said), said.notions, said.numbers, said.unit, extra)


def _by_unit_alone(facts: Facts, said: Spoken) -> tuple[Candidate, ...]:
    """What may be asked of a name that speaks of no thing known here, by its unit and its numbers."""
    word = facts.word or said.unit
    if word is None or says_a_thing(said.notions):
        return ()
    if word.kind in ("time", "angle") and not (said.unknown or said.numbers):
        return ()  # a clock, or the crank's own angle
    unit = word.unit or COMMON.get(word.kind, ("",))[0]
    names = likely(facts, word.kind, unit)
    if "target" in said.notions:
        names = tuple(f"{name}_target" for name in names if f"{name}_target" in CHANNELS)
    names = tuple(
        name for name in names if any(fits(facts, CHANNELS[name], unit, gauge=g) for g in (False, True))
    )
    strange = ", ".join(said.unknown) or facts.raw.name
    why = f"the name has words not known here: {strange}; unit and numbers leave few channels"
    return tuple(Candidate(name, 0.3, why) for name in names)


def likely(facts: Facts, kind: str, unit: str) -> tuple[str, ...]:
    """The few channels that a column in a unit mostly is, by the kind of unit and the size of its numbers."""
    return _BY_UNIT.get(kind) or _by_size(facts, kind, unit)


def _by_size(facts: Facts, kind: str, unit: str) -> tuple[str, ...]:
    """The channels that a temperature or pressure of this size mostly is (common practice, no source)."""
    if kind not in ("temperature", "pressure"):
        return ()
    low, middle, high = (in_si(value, kind, unit) for value in (facts.low, facts.middle, facts.high))
    if kind == "temperature":
        if high > _GLOWING:
            return ("egt_reading", "egt_reading_downpipe")
        warm = ("temperature_coolant", "temperature_oil", "temperature_2")
        return warm if middle > _WARM else ("temperature_im", "temperature_bp", "temperature_amb")
    if high - low < _STEADY and _THIN < middle < _DENSE:
        return ("pressure_amb",)
    return ("pressure_im", "pressure_em_static", "pressure_oil", "fuel_pressure")


def _meant(said: Spoken, kind: str) -> tuple[Candidate, ...]:
    """The channels that a name and the kind of its unit point to."""
    kind = kind or (said.unit.kind if said.unit else "")
    got = candidates(said.notions, said.unknown)
    if not got:
        got = candidates(said.notions | kind_notion(said, kind), said.unknown)
    if not got:
        got = near(said.notions | kind_notion(said, kind), said.unknown, kind)
    elif kind == "rotational_speed" and said.notions - {"actual"} == {"speed"} and not said.unknown:
        why = "a speed without a word on whose, counted in turns"
        return (Candidate("engine_speed", 0.9, why),)
    elif kind and kind not in SIGNALS and not any(_of_kind(one.channel, kind) for one in got):
        more = near(said.notions | kind_notion(said, kind), said.unknown, kind)
        plain = tuple(replace(one, sure=0.4) for one in got if one.sure > TAKEN)
        return (*more, *plain)
    if len(got) > 1 and kind:
        got = tuple(one for one in got if _of_kind(one.channel, kind)) or got
    return got


def not_denied(facts: Facts, found: tuple[Candidate, ...], word: UnitWord | None) -> tuple[Candidate, ...]:
    """Of several channels that a name means by a rule those that its numbers, in the unit the file states, can be.

    One that is left alone is taken: nothing but its numbers tells the others apart.
    """
    if word is None or not word.unit or len(found) < 2 or found[0].sure < _RULED:
        return found
    kept = tuple(
        one
        for one in found
        if one.channel not in CHANNELS
        or CHANNELS[one.channel].kind != word.kind
        or any(fits(facts, CHANNELS[one.channel], word.unit, gauge=g) for g in (False, True))
    )
    if len(kept) != 1:
        return kept or found
    why = f"{kept[0].why}; {facts.high:.4g} {word.unit} is no {' or '.join(o.channel for o in found if o not in kept)}"
    return (replace(kept[0], sure=max(kept[0].sure, 0.9), why=why),)


def unit_behind(facts: Facts, channel: str) -> UnitWord | None:
    """The unit that ends the name of a torque or power, such as PS, which in other names is something else."""
    last = re.split(r"[\s_]+", facts.raw.name.strip())[-1]
    word = find_unit(last)
    kinds = {CHANNELS[one].kind for one in OPEN.get(channel, ())}
    return word if word is not None and word.kind in kinds else None


def _of_kind(name: str, kind: str) -> bool:
    """True where a channel can be in units of a kind."""
    kinds = {CHANNELS[one].kind for one in OPEN.get(name, (name,))}
    ratios = {"air_fuel_ratio", "dimensionless", ""}
    return kind in kinds or (kind in ratios and bool(kinds & ratios))
