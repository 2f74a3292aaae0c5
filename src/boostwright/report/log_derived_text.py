"""Derived quantities of a log on a terminal: figures over the pulls, agreement of routes, what is missing and why."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping

from boostwright.report.log_shown import difference_shown, how_shown, number_text
from boostwright.report.prose import counted, paragraph
from boostwright.report.text_table import TextColumn, render_table
from boostwright.tasks.derive import ROUTES, Derived, DeriveResult, Figure, Need, is_vague

__all__ = ["derived_text"]

_WIDEST = 130
_NEEDS = 3  # ways out that are named
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
    asked = tuple(p.column for p in result.place.questions if p.part == result.place.part)
    if asked:
        lines.append(paragraph(f"Not used, since they wait for an answer: {', '.join(asked)}.", width))
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
    repeats = _repeats(result)
    rows = [
        (result.worked.made[name], figure)
        for name, figure in result.figures.items()
        if not is_vague(name, figure) and name not in repeats
    ]
    if not rows:
        return ["  Nothing could be worked out."]
    over = "median over the pulls" if result.pulls else "median over the log"
    columns = (
        ("quantity", (_name(result, derived) for derived, _ in rows), True),
        (over, (_middle(*row) for row in rows), False),
        ("+-", (_band(*row) for row in rows), False),
        ("unit", (how_shown(derived).label for derived, _ in rows), True),
        ("from", (_least(*row) for row in rows), False),
        ("to", (_most(*row) for row in rows), False),
        ("every, s", (_period(derived) for derived, _ in rows), False),
        ("band mostly", (_sources(figure) for _, figure in rows), True),
    )
    made = [TextColumn((head,), "", tuple(cells), left) for head, cells, left in columns]
    table, more = render_table(made, width - 2).splitlines(), list[str]()
    if "" in table:  # too wide for one: the last column by itself, each source of error once
        table, more = render_table(made[:-1], width - 2).splitlines(), _by_source(result, rows, width)
    return ["  " + line if line else "" for line in table] + _settled(rows, width) + more


def _settled(rows: list[tuple[Derived, Figure]], width: int) -> list[str]:
    """Which figures hold for a part of the pulls only."""
    names = [derived.quantity.name for derived, figure in rows if figure.settled]
    if not names:
        return []
    words = f"{', '.join(names)}: only where the probe had settled enough to say something, late in a pull."
    return [paragraph(words, width)]


def _by_source(result: DeriveResult, rows: list[tuple[Derived, Figure]], width: int) -> list[str]:
    """The quantities gathered by what makes most of their band."""
    found: dict[str, list[str]] = {}
    for derived, figure in rows:
        if figure.sources:
            found.setdefault(_sources(figure), []).append(_name(result, derived))
    heads = sorted(
        (source for source in found if len(found[source]) > 1), key=lambda source: -len(found[source])
    )
    lines = [f"{head}: {', '.join(found[head])}" for head in heads]
    alone = [f"{names[0]} ({source})" for source, names in found.items() if len(names) == 1]
    if alone:
        lines.append(f"one quantity each: {', '.join(alone)}")
    return ["", "Bands are mostly:", *(paragraph(f"- {line}", width) for line in lines)]


_BY_ROUTE = ("mass_flow_air", "corrected_flow")
"""Quantities that every route to the air flow gives, and that stand for the best of them under their own name."""
_SAME = 1e-3


def _route_of(result: DeriveResult, name: str) -> str:
    """By which of several routes a quantity under its own name was made, as it stands behind the name; '' for none."""
    if name in _BY_ROUTE:
        return result.worked.air_route
    if name == "torque" and name in result.figures:
        for route in ("from_roller", "from_road"):
            other = result.figures.get(f"torque_{route}")
            if other is not None and other.middle == result.figures[name].middle:
                return route
    return ""


def _name(result: DeriveResult, derived: Derived) -> str:
    """The name in the table; with the route, where a quantity is that of one of several."""
    route = _route_of(result, derived.quantity.name)
    return f"{derived.quantity.name} ({route})" if route else derived.quantity.name


def _repeats(result: DeriveResult) -> set[str]:
    """What stands in the table, or below it, already: the best route's own lines, and one route over another."""
    found = {f"{name}_{_route_of(result, name)}" for name in (*_BY_ROUTE, "torque")}
    found |= {f"air_flow_{one}_over_{other}" for one in ROUTES for other in ROUTES}
    for name in ("corrected_flow", "corrected_speed"):
        own, card = result.figures.get(name), result.figures.get(f"{name}_card")
        if own is not None and card is not None and abs(card.middle - own.middle) < _SAME * abs(own.middle):
            found.add(f"{name}_card")
    return found


def _vague(result: DeriveResult, width: int) -> list[str]:
    """What was worked out and says nothing, with what its band mostly is."""
    found = [(name, figure) for name, figure in result.figures.items() if is_vague(name, figure)]
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
    """What could not be made, gathered by what would bring most of it; where one of several would do, once."""
    lacking = {one.quantity.name: one.needs[:_NEEDS] for one in result.worked.missing}
    if not lacking:
        return []
    lines, alone = ["Not worked out, for want of:"], []
    for need, others, names in _gathered(lacking):
        words = "; or ".join((str(need) if len(names) > 1 else need.what, *(one.what for one in others)))
        if len(names) > 1:
            lines.append(paragraph(f"- {words}: {_listed(names)}", width))
        else:
            option = f": {need.remedy}" if need.remedy.startswith("--") else ""  # what can be said at once
            alone.append(f"{names[0]} ({words}{option})")
    if alone:
        lines.append(paragraph(f"- one thing each: {', '.join(alone)}", width))
    return [*lines, ""]


def _gathered(lacking: Mapping[str, tuple[Need, ...]]) -> Iterator[tuple[Need, list[Need], list[str]]]:
    """(what is missing, what would do in its place for all of them, quantities): each quantity under one head."""
    left = dict(lacking)
    while left:
        counts = Counter(need.what for needs in left.values() for need in needs)
        most = max(counts, key=lambda what: counts[what])  # of equals the first
        names = [name for name, needs in left.items() if any(need.what == most for need in needs)]
        first = next(need for need in left[names[0]] if need.what == most)
        common = [
            need
            for need in left[names[0]]
            if need.what != most and all(need.what in {one.what for one in left[name]} for name in names)
        ]
        yield first, common, names
        left = {name: needs for name, needs in left.items() if name not in names}


def _listed(names: Iterable[str]) -> str:
    names = list(names)
    return ", ".join(names) if len(names) <= 6 else f"{', '.join(names[:5])} and {len(names) - 5} more"
