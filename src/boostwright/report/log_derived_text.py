"""Derived quantities of a log on a terminal: figures over the pulls, agreement of routes, what is missing and why."""

from __future__ import annotations

from collections.abc import Iterable

from boostwright.report.log_shown import difference_shown, how_shown, number_text
from boostwright.report.prose import counted, paragraph
from boostwright.report.text_table import TextColumn, render_table
from boostwright.tasks.derive import Derived, DeriveResult, Figure

__all__ = ["derived_text"]

_WIDEST = 130
_NEEDS = 3  # ways out that are named
_VAGUE = 0.5  # of its value: a band from which on a figure is no figure
_NO_DIFFERENCES = (
    "compressor_efficiency",
    "compressor_power",
    "cooler_effectiveness",
    "cooler_loss_coefficient",
)
"""Quantities whose band can be held against their value, which is never near zero on its own account."""
_CAUTION = (
    "Bands hold 90 %: from sensor errors at rest, noise and what is assumed. A faulty sensor is outside all of them: "
    "check the sensors first."
)


def derived_text(result: DeriveResult, width: int) -> str:
    """The report, ending with a newline."""
    width = min(width, _WIDEST)
    pulls = counted(len(result.pulls), "pull")
    lines = [f"{result.place.name}: {_quantities(len(result.worked.made))}, {pulls}."]
    lines += [paragraph(note, width) for note in result.notes]
    lines += ["", *_table(result, width), ""]
    lines += _agreements(result, width)
    lines += _flags(result, width)
    lines += _vague(result, width)
    lines += _missing(result, width)
    lines.append(paragraph(_CAUTION, width, "", ""))
    return "\n".join(lines) + "\n"


def _quantities(count: int) -> str:
    return "1 quantity" if count == 1 else f"{count} quantities"


def _table(result: DeriveResult, width: int) -> list[str]:
    rows = [
        (result.worked.made[name], figure)
        for name, figure in result.figures.items()
        if not _is_vague(name, figure)
    ]
    if not rows:
        return ["  Nothing could be worked out."]
    over = "median over the pulls" if result.pulls else "median over the log"
    columns = (
        ("quantity", (derived.quantity.name for derived, _ in rows), True),
        (over, (_middle(*row) for row in rows), False),
        ("+-", (_band(*row) for row in rows), False),
        ("unit", (how_shown(derived).label for derived, _ in rows), True),
        ("from", (_least(*row) for row in rows), False),
        ("to", (_most(*row) for row in rows), False),
        ("every, s", (_period(derived) for derived, _ in rows), False),
        ("band mostly", (_sources(figure) for _, figure in rows), True),
    )
    table = render_table(
        [TextColumn((head,), "", tuple(cells), left) for head, cells, left in columns], width
    )
    return ["  " + line if line else "" for line in table.splitlines()]


def _is_vague(name: str, figure: Figure) -> bool:
    return name in _NO_DIFFERENCES and figure.band > _VAGUE * abs(figure.middle)


def _vague(result: DeriveResult, width: int) -> list[str]:
    """What was worked out and says nothing, with what its band mostly is."""
    found = [(name, figure) for name, figure in result.figures.items() if _is_vague(name, figure)]
    if not found:
        return []
    words = (f"{name} (mostly {of})" if (of := _sources(figure)) else name for name, figure in found)
    told = (
        f"- {', '.join(words)}. Where it is the lag of a probe, hold a speed until the probe has settled, or state "
        "[sensor_errors] temperature_lag. The values with their bands stand in the files."
    )
    return ["Too vague to be a figure:", paragraph(told, width), ""]


def _middle(derived: Derived, figure: Figure) -> str:
    return number_text(figure.middle, how_shown(derived))


def _band(derived: Derived, figure: Figure) -> str:
    how = how_shown(derived)
    if not derived.quantity.judged:
        return ""
    return _two_figures(difference_shown(figure.band, how))


def _two_figures(value: float) -> str:
    """Two figures that count, without an exponent."""
    if value == 0.0:
        return "0"
    rounded = float(f"{value:.2g}")
    if rounded >= 1e6:
        return f"{rounded:.2g}"
    return f"{rounded:.0f}" if rounded >= 10.0 else f"{rounded:g}"


def _least(derived: Derived, figure: Figure) -> str:
    return number_text(figure.least, how_shown(derived))


def _most(derived: Derived, figure: Figure) -> str:
    return number_text(figure.most, how_shown(derived))


def _period(derived: Derived) -> str:
    return f"{derived.period:.2g}" if derived.period < 1e6 else ""


def _sources(figure: Figure) -> str:
    return figure.sources[0][0] if figure.sources else ""


def _agreements(result: DeriveResult, width: int) -> list[str]:
    if not result.agreements:
        return []
    lines = ["Routes to the air flow:"]
    lines += [paragraph(f"{'! ' if one.beyond else '- '}{one.words}.", width) for one in result.agreements]
    return [*lines, ""]


def _flags(result: DeriveResult, width: int) -> list[str]:
    """Each thing to know once, with the first quantity it was said of."""
    said: dict[str, str] = {}
    for derived in result.worked.made.values():
        for sentence in derived.result.flags.values():
            said.setdefault(sentence, derived.quantity.name)
    if not said:
        return []
    return ["To know:", *(paragraph(f"- {sentence}.", width) for sentence in said), ""]


def _missing(result: DeriveResult, width: int) -> list[str]:
    """What could not be made, gathered by what it lacks."""
    by_need: dict[str, list[str]] = {}
    for one in result.worked.missing:
        need = "; or ".join(str(need) for need in one.needs[:_NEEDS]) or "something"
        by_need.setdefault(need, []).append(one.quantity.name)
    if not by_need:
        return []
    lines = ["Not worked out, for want of:"]
    lines += [paragraph(f"- {need}: {_listed(names)}", width) for need, names in by_need.items()]
    return [*lines, ""]


def _listed(names: Iterable[str]) -> str:
    names = list(names)
    return ", ".join(names) if len(names) <= 6 else f"{', '.join(names[:5])} and {len(names) - 5} more"
