"""The reference page of build.toml, made from the declarations: ``python -m boostwright.build.document FILE``."""

from __future__ import annotations

import sys
from pathlib import Path

from boostwright.build.parameter import NUMBER_KINDS, Parameter, SectionSchema
from boostwright.build.records import RECORD_KINDS
from boostwright.build.schema import SECTIONS, TOP_LEVEL
from boostwright.units import unit_names

__all__ = ["page", "write_page"]

_HEAD = """\
# The build file

<!-- Made by `make reference` from the declarations of the keys; do not edit. -->

A build folder holds `build.toml`, and where wanted `cards/`, which is searched for part cards before the library. This
page lists every key. How to go about it: [Write a build](../howto/write-a-build.md).

- A quantity is text with its unit: `bore = "83 mm"`. A share or a count is a plain number: `cylinders = 5`.
- Where a pressure can be two things, the text says which: `"0.6 bar gauge"`, `"180 kPa absolute"`. Where a size or a
  pressure has a key for it, the word may stand there instead: `pressure_basis = "station"`.
- A value over engine speed is `{ speed = [2000, 4000], unit = "rpm", value = [0.9, 0.95] }`. With a unit of its own it
  has `value_unit`, and where it can be two things `value_basis`. Between points it is a straight line, outside them the
  end value holds. A single value is constant. It may also be a section: `[fuel.lambda_target]` with the same keys.
- An unknown key is refused, and so is a number out of its range. A number outside the usual range is taken and asked
  about.
- A value that is not known exactly carries its band: `"0.70 +- 0.05"`, `"44 mm +- 0.5 mm"`, `"0.70 +- 5 %"`; a curve
  has `band = "5 %"`. The band holds 95 % of a normal spread (two standard deviations); with `uniform` or `triangular`
  behind it, it ends there. See [Uncertainty](../explain/uncertainty.md).
- A default is what is taken when nothing is written. `boostwright check` lists those in use, since nobody has confirmed
  them; the band behind `+-` is what `predict --bands` takes for it, an own estimate.
- For one run, any key can be set beside the file: `--set "wastegate.takeoff_angle=90 deg"`. An empty value takes a key
  out.
"""


def page() -> str:
    """The text of the page."""
    parts = [_HEAD, _section(TOP_LEVEL)]
    parts += [_section(section) for section in SECTIONS]
    parts.append(_units())
    return "\n".join(parts)


def write_page(path: Path) -> None:
    """Write the page to a file."""
    path.write_text(page(), encoding="utf-8")


def _section(section: SectionSchema) -> str:
    """One section: its words and a table of its keys."""
    heading = f"## `[{section.name}]` {section.title}" if section.name else f"## {section.title}"
    lines = [heading, "", section.words, "", "| key | what | value | needed | range (usual) | default |",
             "|---|---|---|---|---|---|"]  # fmt: skip
    lines += [_row(parameter) for parameter in section.parameters]
    return "\n".join(lines) + "\n"


def _row(parameter: Parameter) -> str:
    """One key."""
    cells = [
        f"`{parameter.name}`",
        parameter.words,
        _value(parameter),
        _needed(parameter),
        _range(parameter),
        _default(parameter),
    ]
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _value(parameter: Parameter) -> str:
    """What may stand there, with an example."""
    if parameter.kind == "choice":
        words = ", ".join(f"`{choice}`" for choice in parameter.choices)
    elif parameter.kind == "speeds":
        words = "range or list of engine speeds"
    elif parameter.kind == "text":
        words = "text"
    elif parameter.kind == "own-limits":
        words = "a section for each limit"
    elif parameter.kind in RECORD_KINDS:
        words = f"list of {parameter.kind}, each in braces"
    elif parameter.kind in NUMBER_KINDS:
        words = "whole number" if parameter.kind == "integer" else "number"
    else:
        words = parameter.kind.replace("_", " ")
    if parameter.also:
        words += f" or {parameter.also.replace('_', ' ')}"
    if parameter.many:
        words = f"list, a {words} for each {parameter.each}"
    if parameter.curve:
        words += ", or over engine speed"
    if parameter.axis:
        words += f", {'' if parameter.axis_only else 'or '}over {parameter.axis}"
        words += f" ({parameter.axis_basis})" if parameter.axis_basis else ""
    if parameter.basis:
        words += f"; {' or '.join(parameter.basis)}"
        if parameter.stored_basis and len(parameter.basis) > 1:
            words += f" (used as {parameter.stored_basis})"
    if parameter.example and parameter.kind != "choice":
        words += f"<br>`{parameter.example}`"
    return words


def _needed(parameter: Parameter) -> str:
    """Whether it must be there."""
    if parameter.required_when is not None:
        words = f"when {parameter.required_when}"
    else:
        words = "yes" if parameter.required else "no"
    if parameter.unless and parameter.default is None:
        words += f", unless {parameter.unless} is given"
    return words


def _range(parameter: Parameter) -> str:
    """What is refused outside, and in brackets what is asked about outside."""
    refused = _ends(parameter.low, parameter.high)
    asked = _ends(parameter.low_ask, parameter.high_ask)
    return f"{refused} ({asked})" if asked else refused


def _ends(low: str | float | None, high: str | float | None) -> str:
    """Two ends, either open."""
    if low is None and high is None:
        return ""
    if low is None:
        return f"up to {high}"
    if low == high:
        return str(low)
    return f"from {low}" if high is None else f"{low} to {high}"


def _default(parameter: Parameter) -> str:
    """The default and where it is from."""
    if parameter.default is None:
        return ""
    if parameter.default_status == "computed":
        return str(parameter.default)
    band = f"; taken as {parameter.default_band}" if " to " in parameter.default_band else ""
    if parameter.default_band and not band:
        band = f" +- {parameter.default_band}"
    return f"`{parameter.default}`{band}, {parameter.default_status}"


def _units() -> str:
    """The units each kind may be written in."""
    sections = (TOP_LEVEL, *SECTIONS)
    kinds = {p.kind for section in sections for p in section.parameters}
    kinds |= {p.also for section in sections for p in section.parameters if p.also}
    lines = ["## Units", "", "| kind | units |", "|---|---|"]
    for kind in sorted(kinds - {"text", "choice", "integer", "speeds", "dimensionless", *RECORD_KINDS}):
        names = ", ".join(f"`{name}`" for name in unit_names(kind))
        lines.append(f"| {kind.replace('_', ' ')} | {names} |")
    lines += [
        "",
        "Horsepower is refused until it says which: `hp (mechanical)` is 745.7 W, `hp (metric)` or `PS` 735.5 W.",
        "",
    ]
    return "\n".join(lines)


if __name__ == "__main__":
    write_page(Path(sys.argv[1]))
