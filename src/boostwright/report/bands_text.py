"""A prediction with bands as a terminal shows it: the bands by speed, the answers, their doubts, what to measure."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from boostwright.report.display import in_shown_unit, shown, shown_number
from boostwright.report.prose import assumptions, paragraph, sentence
from boostwright.report.sweep import shown_values
from boostwright.report.text_table import TextColumn, render_table
from boostwright.tasks.bands_result import BandedPrediction, Doubt, Headline

__all__ = ["bands_text"]

_COLUMNS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("torque", ("torque",)),
    ("power", ("power",)),
    ("boost", ("boost",)),
    ("shaft_speed", ("shaft", "speed")),
    ("surge_margin", ("surge", "margin")),
    ("drive_pressure_ratio", ("drive-pressure", "ratio")),
    ("egt_reading", ("EGT", "reading")),
    ("peak_pressure", ("peak", "pressure")),
    ("injector_duty", ("injector", "duty")),
    ("pump_margin", ("pump", "margin")),
)
_WIDEST_PROSE = 110
_NAMED = 3  # contributors shown with an answer
_MEASURED = 8  # lines of what to measure


def bands_text(banded: BandedPrediction, width: int) -> str:
    """The bands as text, to stand below the prediction itself.

    width  characters on a line
    Returns text that ends with a newline.
    """
    prose = min(width, _WIDEST_PROSE)
    sections = [
        "Bands: 5 to 95 % of the samples",
        render_table(_table(banded), width),
        _headlines(banded, prose),
        _measures(banded, prose),
        _defaults(banded, prose),
        _exact(banded, prose),
        "\n".join(["About the bands", *(paragraph(sentence(note), prose) for note in banded.notes)]),
    ]
    return "\n\n".join(section for section in sections if section) + "\n"


def _table(banded: BandedPrediction) -> list[TextColumn]:
    prediction = banded.prediction
    rpm = shown("engine_speed", "rad/s")
    speeds = tuple(shown_number(float(v), rpm) for v in shown_values(prediction, "engine_speed"))
    columns = [TextColumn(("engine", "speed"), rpm.label, speeds)]
    for name, heading in _COLUMNS:
        band = banded.bands.get(name)
        if band is None or not np.isfinite(band.low).any():
            continue
        how = shown(name, band.unit)
        low, high = in_shown_unit(band.low, how), in_shown_unit(band.high, how)
        cells = tuple(
            _pair(shown_number(float(a), how), shown_number(float(b), how))
            for a, b in zip(low, high, strict=True)
        )
        columns.append(TextColumn(heading, how.label, cells))
    if banded.steady_share.min() < 1.0:
        cells = tuple(f"{100.0 * (1.0 - share):.3g}" for share in banded.steady_share)
        columns.append(TextColumn(("no steady", "state"), "% of samples", cells))
    return columns


def _pair(low: str, high: str) -> str:
    if low == high:
        return low
    return f"{low} to {high}"


def _value(headline: Headline, value: float) -> str:
    how = shown(headline.quantity, headline.unit)
    return shown_number(float(in_shown_unit(np.array([value]), how)[0]), how)


def _headlines(banded: BandedPrediction, width: int) -> str:
    lines = []
    for headline in banded.headlines:
        how = shown(headline.quantity, headline.unit)
        low, high = (_value(headline, value) for value in (headline.low, headline.high))
        text = f"{headline.words} {_value(headline, headline.nominal)}, band {_pair(low, high)} {how.label}".rstrip(
            " -"
        )
        named = [
            f"{100.0 * one.share:.0f} % {_plain(one.doubt)}"
            for one in headline.contributors[:_NAMED]
            if low != high
        ]
        if named:
            text += f"; of its variance {', '.join(named)}"
        if headline.unexplained > 0.1:
            text += f"; {100.0 * headline.unexplained:.0f} % by no doubt alone"
        if headline.answered < 1.0:
            text += f"; {100.0 * (1.0 - headline.answered):.2g} % of the samples have no such answer"
        if np.isfinite(headline.propagated) and low != high:
            text += f"; standard deviation {_width(headline, headline.standard_deviation)} by the samples, "
            text += f"{_width(headline, headline.propagated)} by the law of propagation"
        lines.append(paragraph(sentence(text), width))
    return "\n".join(["Answers and what makes them uncertain", *lines]) if lines else ""


def _width(headline: Headline, value: float) -> str:
    """A difference in the unit its quantity is shown in."""
    how = shown(headline.quantity, headline.unit)
    ends = in_shown_unit(np.array([0.0, value]), how)
    return f"{float(ends[1] - ends[0]):.3g}"


def _plain(doubt: Doubt) -> str:
    return doubt.name.removeprefix("model.").replace("_", " ") if doubt.key is None else doubt.name


def _measures(banded: BandedPrediction, width: int) -> str:
    """Doubts by what they bring to all answers together, each with what would make it smaller."""
    total: dict[str, float] = {}
    by_name: dict[str, Doubt] = {}
    for headline in banded.headlines:
        for one in headline.contributors:
            total[one.doubt.name] = total.get(one.doubt.name, 0.0) + one.share
            by_name[one.doubt.name] = one.doubt
    lines = []
    for name in sorted(total, key=lambda key: -total[key])[:_MEASURED]:
        doubt = by_name[name]
        nominal = f"{doubt.nominal} " if doubt.nominal else ""
        lines.append(f"{_plain(doubt)} ({doubt.status}; {nominal}{doubt.band}): {doubt.measure}")
    return _listed("What to measure, most worth first", lines, width)


def _defaults(banded: BandedPrediction, width: int) -> str:
    entries = ((d.name, f"{d.nominal} ({d.band})", "taken with a band, own estimate")
               for d in banded.doubts if d.status == "default")  # fmt: skip
    lines = assumptions(entries, width)
    return "\n".join(["Not confirmed by anybody", *lines]) if lines else ""


def _exact(banded: BandedPrediction, width: int) -> str:
    if not banded.exact:
        return ""
    text = f'{", ".join(banded.exact)}. Write a band behind each that is not: "0.70 +- 0.05".'
    return "\n".join(["Taken as exact, since no band is written", paragraph(text, width)])


def _listed(title: str, lines: Iterable[str], width: int) -> str:
    made = [paragraph(f"{line}.", width) for line in lines]  # they begin with keys, which stay as they are
    return "\n".join([title, *made]) if made else ""
