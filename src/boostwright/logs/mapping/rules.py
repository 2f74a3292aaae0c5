"""Which notions in a name mean which channel, and which of them leave it open."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from boostwright.logs.mapping.compounds import NOT_OURS
from boostwright.logs.mapping.names import CHANNELS
from boostwright.logs.mapping.tables import table_lines

__all__ = ["Candidate", "candidates", "near", "says_a_thing"]


@dataclass(frozen=True)
class Candidate:
    """A channel a name may mean, how surely (0 to 1) as far as the name goes, and in words why."""

    channel: str
    sure: float
    why: str


_FREE = frozenset({"neutral", "actual", "absolute", "gauge"})
_ADDS_NOTHING = frozenset({"position", "air", "engine", "share", "actuator"})
_IMPLIED = {
    "compressor": {"turbo"},
    "turbine": {"turbo", "exhaust"},
    "egt": {"exhaust", "temperature", "turbo"},
    "emap": {"exhaust", "manifold", "pressure"},
    "map": {"manifold", "intake", "pressure"},
    "iat": {"intake", "temperature"},
    "spark": {"angle"},
    "rail": {"fuel", "injector"},
    "injector": {"fuel"},
    "gate": {"turbo", "exhaust"},
    "maf": {"flow", "mass", "intake"},
    "lambda": {"exhaust", "afr", "fuel"},
    "afr": {"lambda", "fuel"},
    "baro": {"ambient", "pressure"},
    "rotation": {"speed"},
    "wheel": {"vehicle"},
    "roller": {"vehicle", "wheel"},
    "gearbox": {"oil"},
    "knock": {"spark", "level"},
    "ethanol": {"fuel"},
    "boost": {"turbo"},
    "backpressure": {"pressure", "exhaust"},
}  # fmt: skip
"""Notions that say nothing new beside another one."""

_OF_A_KIND = frozenset(
    {
        "pressure", "temperature", "rotation", "speed", "flow", "mass", "position", "angle", "duty", "voltage",
        "torque", "power", "time", "level", "share", "before", "after", "target", "cylinder", "bank", "air",
        "engine", "difference",
    }
)  # fmt: skip
"""Notions that do not name a thing: alone they point to no channel."""

_OF_PLACE = frozenset(
    {"before", "after", "engine", "intake", "exhaust", "turbo", "cooler", "throttle", "air", "oil"}
)
"""Notions of where a thing is; a name that a rule refuses for one of them may still be asked about."""

_KIND_OF_OPEN = {
    "torque_open": ("torque",),
    "power_open": ("power",),
    "fuel_flow": ("mass_flow", "volume_flow"),
}
_MOST = 4  # channels offered where a name only comes near them


@dataclass(frozen=True)
class _Rule:
    channel: str
    wanted: frozenset[str]
    doubt: bool
    forbidden: frozenset[str]
    implied: frozenset[str]


def _parsed() -> tuple[_Rule, ...]:
    rules = []
    for line in table_lines("rules.txt"):
        channel, _, rest = line.partition(":")
        wanted, _, forbidden = rest.partition("/")
        for text in wanted.split("|"):
            words = frozenset(text.replace("?", " ").split())
            implied = frozenset().union(*(_IMPLIED.get(word, set()) for word in words))
            rules.append(
                _Rule(
                    channel.strip(), words, "?" in text, frozenset(forbidden.split()), implied | _ADDS_NOTHING
                )
            )
    return tuple(rules)


_RULES = _parsed()


@lru_cache(maxsize=4096)
def candidates(found: frozenset[str], unknown: tuple[str, ...]) -> tuple[Candidate, ...]:
    """The channels a name may mean, the surest first; () where it means none of ours.

    found    its notions
    unknown  words of it that are not known, which leave doubt
    """
    if found & NOT_OURS:
        return ()
    words = found - _FREE
    best: dict[str, tuple[int, float]] = {}
    for rule in _RULES:
        if words & rule.forbidden or not rule.wanted <= found:
            continue
        left = words - rule.wanted - rule.implied
        sure = (0.6 if rule.doubt else 0.98) - 0.25 * bool(left) - 0.25 * bool(unknown)
        best[rule.channel] = max(best.get(rule.channel, (0, 0.0)), (len(rule.wanted), sure))
    if not best:
        return ()
    most = max(best.values())[0]
    kept = [(channel, sure) for channel, (size, sure) in best.items() if size == most]
    kept.sort(key=lambda pair: -pair[1])
    if len(kept) > 1 and kept[0][1] - kept[1][1] < 0.2:
        kept = [(channel, min(sure, 0.6)) for channel, sure in kept]
    kept = [
        (channel, sure) for channel, sure in kept if sure > kept[0][1] - 0.3
    ]  # the rest leaves words unused
    why = _why(words, unknown)
    return tuple(Candidate(channel, max(sure, 0.1), why) for channel, sure in kept)


def _why(words: frozenset[str], unknown: tuple[str, ...]) -> str:
    reason = f"the name speaks of {', '.join(sorted(words)) or 'nothing known here'}"
    return reason + (f", and has words not surely known here: {', '.join(unknown)}" if unknown else "")


def says_a_thing(found: frozenset[str]) -> bool:
    """True where a name speaks of some part or matter, ours or not, and not only of a kind of quantity."""
    return bool(found - _FREE - _OF_A_KIND)


def _may_be(kind: str, kinds: tuple[str, ...]) -> bool:
    """True where a column in units of a kind can be a channel of these kinds."""
    ratios = ("dimensionless", "air_fuel_ratio", "")
    return not kind or kind in kinds or (kind in ratios and any(one in ratios for one in kinds))


@lru_cache(maxsize=4096)
def near(found: frozenset[str], unknown: tuple[str, ...], kind: str) -> tuple[Candidate, ...]:
    """Channels a name comes near, to be asked about: a word is missing or one too many.

    kind  kind of its unit, '' where that is not known
    """
    words = found - _FREE
    if found & NOT_OURS or not words - _OF_A_KIND:
        return ()
    best = _nearest(words, kind, frozenset()) or _nearest(words, kind, _OF_PLACE)
    if not best:
        return ()
    top = max(best.values())
    kept = sorted((c for c, score in best.items() if score > top - 0.7), key=lambda c: -best[c])[:_MOST]
    why = _why(words, unknown) + ", which comes near"
    return tuple(Candidate(channel, 0.4, why) for channel in kept)


def _nearest(words: frozenset[str], kind: str, let: frozenset[str]) -> dict[str, float]:
    """How near some channels come; ``let``: words that are let pass where a rule forbids them."""
    best: dict[str, float] = {}
    for rule in _RULES:
        kinds = _KIND_OF_OPEN.get(rule.channel) or (CHANNELS[rule.channel].kind,)
        things = (words & rule.wanted) - _OF_A_KIND
        missing = rule.wanted - words
        if ("before" in words and "after" in missing) or ("after" in words and "before" in missing):
            continue  # the other end of the thing
        if "target" in missing:
            continue
        if words & (rule.forbidden - let) or not things or len(missing) > 1 or not _may_be(kind, kinds):
            continue
        score = len(words & rule.wanted) - 0.6 * len(missing) - 0.5 * len(words - rule.wanted - rule.implied)
        best[rule.channel] = max(best.get(rule.channel, -9.0), score)
    return best
