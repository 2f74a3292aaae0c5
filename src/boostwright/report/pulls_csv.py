"""Pulls of a log as CSV: a row of names, a row of units, a row a pull, then a row for each stretch not taken."""

from __future__ import annotations

import csv
import io
import math

from boostwright.report.channel_units import channel_unit, in_channel_unit
from boostwright.tasks.find_pulls import RPM, FoundPulls, NotTaken, Pull

__all__ = ["pulls_csv"]

_HEAD = (
    ("part", ""), ("kind", ""), ("number", ""), ("start", "s"), ("end", "s"),
    ("speed_start", "rpm"), ("speed_end", "rpm"), ("gear", ""), ("gear_ratio", "rad/m"), ("load", ""),
    ("ramp", "rpm/s"), ("ramp_error", "rpm/s"), ("ramp_low", "rpm/s"), ("ramp_high", "rpm/s"), ("samples", ""),
    ("certainty", ""), ("began_by", ""), ("ended_by", ""), ("reason", ""), ("words", ""),
    ("barometer", "kPa absolute"),
)  # fmt: skip


def pulls_csv(found: FoundPulls) -> str:
    """The table as CSV text: comma, decimal point, line feeds.

    ``kind`` is "pull" or "not taken". Behind the fixed columns stand ``CHANNEL_at_start`` for the state and
    ``CHANNEL_mean`` and ``CHANNEL_most`` for each channel. An empty cell is a number that does not exist.
    """
    states = list(dict.fromkeys(one.channel for pull in found.pulls for one in pull.state))
    figures = {one.channel: one.basis for pull in found.pulls for one in pull.figures}
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(
        [name for name, _ in _HEAD]
        + [f"{name}_at_start" for name in states]
        + [f"{name}_{what}" for name in figures for what in ("mean", "most")]
    )
    rows.writerow(
        [unit for _, unit in _HEAD]
        + [channel_unit(name) for name in states]
        + [f"{channel_unit(name)} {basis}".strip() for name, basis in figures.items() for _ in range(2)]
    )
    number = 0
    for part in found.parts:
        for pull in part.search.pulls:
            number += 1
            rows.writerow(_pull(part.part, number, pull, states, list(figures)))
        for stretch in part.search.not_taken:
            rows.writerow(_stretch(part.part, stretch) + [""] * (len(states) + 2 * len(figures)))
    return text.getvalue()


def _cell(value: float) -> str:
    return f"{value:.7g}" if math.isfinite(value) else ""


def _pull(part: int, number: int, pull: Pull, states: list[str], figures: list[str]) -> list[str]:
    state = {one.channel: one.value for one in pull.state}
    seen = {one.channel: one for one in pull.figures}
    row = [
        str(part), "pull", str(number), _cell(pull.start), _cell(pull.end), _cell(pull.speed_start / RPM),
        _cell(pull.speed_end / RPM), pull.gear, _cell(pull.gear_ratio), pull.load, _cell(pull.ramp / RPM),
        _cell(pull.ramp_error / RPM), _cell(pull.ramp_low / RPM), _cell(pull.ramp_high / RPM), str(pull.samples),
        pull.certainty, pull.began_by, pull.ended_by, "", "; ".join(pull.doubts), _cell(pull.barometer.value / 1e3),
    ]  # fmt: skip
    row += [_cell(in_channel_unit(name, state[name])) if name in state else "" for name in states]
    for name in figures:
        for what in ("mean", "most"):
            row.append(_cell(in_channel_unit(name, getattr(seen[name], what))) if name in seen else "")
    return row


def _stretch(part: int, stretch: NotTaken) -> list[str]:
    filled = {
        "part": str(part),
        "kind": "not taken",
        "start": _cell(stretch.start),
        "end": _cell(stretch.end),
        "speed_start": _cell(stretch.speed_start / RPM),
        "speed_end": _cell(stretch.speed_end / RPM),
        "reason": stretch.code,
        "words": stretch.words,
    }
    return [filled.get(name, "") for name, _ in _HEAD]
