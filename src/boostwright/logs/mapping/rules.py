"""Which notions in a name mean which channel, and which of them leave it open."""

from __future__ import annotations

from dataclasses import dataclass

from boostwright.logs.mapping.tables import table_lines

__all__ = ["Candidate", "candidates"]


@dataclass(frozen=True)
class Candidate:
    """A channel a name may mean, how surely (0 to 1) as far as the name goes, and in words why."""

    channel: str
    sure: float
    why: str


_NEVER = frozenset(
    {
        "acceleration", "average", "brake", "cam", "clutch", "egr", "error", "fan", "flag", "integral", "limit",
        "model", "per", "raw", "steering",
    }
)  # fmt: skip
_FREE = frozenset({"neutral", "actual", "absolute", "gauge"})


def _parsed() -> list[tuple[str, list[tuple[frozenset[str], bool]], frozenset[str]]]:
    rules = []
    for line in table_lines("rules.txt"):
        channel, _, rest = line.partition(":")
        wanted, _, forbidden = rest.partition("/")
        alternatives = []
        for text in wanted.split("|"):
            doubt = "?" in text
            alternatives.append((frozenset(text.replace("?", " ").split()), doubt))
        rules.append((channel.strip(), alternatives, frozenset(forbidden.split())))
    return rules


_PARSED = _parsed()


def candidates(found: frozenset[str], unknown: tuple[str, ...]) -> tuple[Candidate, ...]:
    """The channels a name may mean, the surest first; () where it means none of ours.

    found    its notions
    unknown  words of it that are not known, which leave doubt
    """
    if found & _NEVER:
        return ()
    words = found - _FREE
    best: dict[str, tuple[int, float]] = {}
    for channel, alternatives, forbidden in _PARSED:
        if words & forbidden:
            continue
        for wanted, doubt in alternatives:
            if not wanted <= found:
                continue
            left = words - wanted - {"position", "air", "engine", "share"}
            sure = 0.6 if doubt else 0.98
            sure -= 0.25 * bool(left) + 0.25 * bool(unknown)
            score = (len(wanted), sure)
            if score > best.get(channel, (0, 0.0)):
                best[channel] = score
    if not best:
        return ()
    most = max(best.values())[0]
    kept = [(channel, sure) for channel, (size, sure) in best.items() if size == most]
    kept.sort(key=lambda pair: -pair[1])
    reason = f"the name speaks of {', '.join(sorted(words))}"
    if unknown:
        reason += f", and has words not known here: {', '.join(unknown)}"
    if len(kept) > 1 and kept[0][1] - kept[1][1] < 0.2:
        kept = [(channel, min(sure, 0.6)) for channel, sure in kept]
    return tuple(Candidate(channel, max(sure, 0.1), reason) for channel, sure in kept)
