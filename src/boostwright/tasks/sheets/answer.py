"""What a line of the go / no-go sheet is: the question, what this build answers, and what that means."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["MISTAKES", "Answer", "GoNoGo", "Line", "Stage", "Verdict", "go", "not_answered", "stop"]


class Verdict(StrEnum):
    """What a line says."""

    GO = "go"
    STOP = "stop"
    NOT_ANSWERED = "not answered"


class Stage(StrEnum):
    """Before what a line has to be settled; in the order of the work."""

    FIRST_FIRE = "before first fire"
    FIRST_BOOST = "before first boost"
    FULL_PULL = "before first full pull"


MISTAKES: dict[int, str] = {
    1: "torque spike at low speed on stock rods",
    2: "fuel falls short, or the pressure sensor clips",
    3: "the gate's hose comes off, or its solenoid fails shut",
    4: "gate too small",
    5: "wrong housing",
    6: "oil drain; oil or plastic line melted on a hot pipe",
    7: "cracked manifold, studs and bolts lost",
    8: "rail or bulkhead found too close after welding",
    9: "lambda trusted with a leak, or read ahead of the turbine",
    10: "tuned to corrected numbers",
    11: "no bosses fitted, so nobody can tell which it was",
}
"""The mistakes that cost most, by number; common knowledge of the trade, the order our own judgement."""


@dataclass(frozen=True)
class Answer:
    """What a build answers to one question.

    figure  the figure from this build, in words with its unit
    mend    what would turn the line; empty for a go
    """

    verdict: Verdict
    figure: str
    mend: str = ""


def go(figure: str) -> Answer:
    """Nothing stands against it."""
    return Answer(Verdict.GO, figure)


def stop(figure: str, mend: str) -> Answer:
    """Not before it is mended."""
    return Answer(Verdict.STOP, figure, mend)


def not_answered(mend: str, figure: str = "not known") -> Answer:
    """The build does not say."""
    return Answer(Verdict.NOT_ANSWERED, figure, mend)


@dataclass(frozen=True)
class Line:
    """One line of the sheet.

    code      stable short name
    question  in plain words
    wanted    what is held against it, with where that is from
    guards    number of the costly mistake it keeps off, None for none of them
    safety    True where 'not answered' is no go
    """

    code: str
    stage: Stage
    question: str
    wanted: str
    verdict: Verdict
    figure: str
    mend: str
    guards: int | None
    safety: bool

    @property
    def is_go(self) -> bool:
        """Whether this line lets the work go on."""
        return self.verdict is Verdict.GO or (self.verdict is Verdict.NOT_ANSWERED and not self.safety)


@dataclass(frozen=True)
class GoNoGo:
    """The sheet: its lines by stage, in the order of the work.

    table     which boost table was judged, in words
    days      what each day it was held on is, in words
    settings  what was changed for this run, as typed
    """

    build: str
    provenance: str
    table: str
    days: tuple[str, ...]
    lines: tuple[Line, ...]
    settings: tuple[str, ...] = ()

    def at(self, stage: Stage) -> tuple[Line, ...]:
        """The lines of one stage."""
        return tuple(line for line in self.lines if line.stage is stage)

    def may_go(self, stage: Stage) -> bool:
        """Whether every line up to and with this stage lets the work go on."""
        stages = list(Stage)
        upto = stages[: stages.index(stage) + 1]
        return all(line.is_go for line in self.lines if line.stage in upto)

    def line(self, code: str) -> Line:
        """The line of that code; raises KeyError."""
        for line in self.lines:
            if line.code == code:
                return line
        raise KeyError(code)
