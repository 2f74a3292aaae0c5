"""One rule of the go / no-go sheet as data, and the small judges that many of them share."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from boostwright.tasks.sheets.answer import Answer, Line, Stage, go, not_answered, stop
from boostwright.tasks.sheets.facts import Facts

__all__ = [
    "LINE_DISTANCES",
    "Judge",
    "Rule",
    "by_choice",
    "degrees",
    "line_near_heat",
    "millimetres",
    "percent",
]

Judge = Callable[[Facts], Answer]


@dataclass(frozen=True)
class Rule:
    """A question, before what it has to be settled, and how a build is judged by it.

    wanted  what is held against the figure, and where that is from
    guards  number of the costly mistake it keeps off, None for none
    safety  True where 'not answered' is no go
    """

    code: str
    stage: Stage
    question: str
    wanted: str
    judge: Judge
    guards: int | None = None
    safety: bool = True

    def line(self, facts: Facts) -> Line:
        """The line of the sheet for one build."""
        answer = self.judge(facts)
        return Line(
            self.code,
            self.stage,
            self.question,
            self.wanted,
            answer.verdict,
            answer.figure,
            answer.mend,
            self.guards,
            self.safety,
        )


def millimetres(value: float) -> str:
    """A length [m] as text."""
    return f"{1e3 * value:.3g} mm" if 1e3 * abs(value) < 100.0 else f"{1e3 * value:.0f} mm"


def degrees(value: float) -> str:
    """A temperature [K] as text."""
    return f"{value - 273.15:.0f} degC"


def percent(value: float) -> str:
    """A share [-] as text."""
    return f"{100.0 * value:.0f} %"


def by_choice(key: str, good: Mapping[str, str], bad: Mapping[str, str], mend: str) -> Judge:
    """Judge of a word in the build.

    key   ``section.key``
    good  word -> figure in words; bad likewise; any other word is as good as no answer
    mend  what would turn it
    """

    def judge(facts: Facts) -> Answer:
        word = facts.text(key)
        if word in good:
            return go(good[word])
        if word in bad:
            return stop(bad[word], mend)
        return not_answered(f"Look, and write {key}: {' or '.join((*good, *bad))}.", _undone(word))

    return judge


def _undone(word: str) -> str:
    """What stands there instead of an answer."""
    return word.replace("-", " ") or "not known"


LINE_DISTANCES: dict[str, tuple[float, float]] = {
    "steel": (0.0, 0.0),
    "metal": (0.0, 0.0),
    "braided-ptfe": (0.060, 0.015),
    "ptfe": (0.060, 0.015),
    "silicone": (0.100, 0.030),
    "rubber": (0.200, 0.050),
    "plastic": (0.600, 0.600),
    "nylon": (0.600, 0.600),
}
"""Material of a line -> least distance [m] to hot parts without and with a shield; own estimate. That lines cook 600 mm
from a turbocharger is told of a record car; no shield makes plastic fit to stand nearer."""


def line_near_heat(material: str, distance: float, shield: str) -> str:
    """What is wrong with a line of that material [m] from hot parts; '' where nothing is."""
    bare, shielded = LINE_DISTANCES[material]
    least = shielded if shield in ("sleeve", "sheet") else bare
    if distance >= least - 1e-9:
        return ""
    how = "behind a shield" if least == shielded and shield != "none" else "without a shield"
    if bare == shielded:
        how = "shield or not"
    return f"{material} wants {millimetres(least)} {how}"
