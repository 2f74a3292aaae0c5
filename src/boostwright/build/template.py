"""The file that a new build begins with: every key that must be filled in, every default to be confirmed."""

from __future__ import annotations

import textwrap

from boostwright.build.parameter import Parameter, SectionSchema
from boostwright.build.schema import SCHEMA_VERSION, SECTIONS, TOP_LEVEL

__all__ = ["template_text"]

_WIDTH = 100

_STATUS = {
    "assumed": "plainly assumed",
    "common practice": "common practice",
    "from memory": "from memory",
    "own estimate": "our own estimate",
    "published": "a published relation",
}

_HEAD = """\
# A build: everything boostwright knows about one car stands in this file.
#
# Fill in what is empty, then run: boostwright check FOLDER
# It names everything that is missing, wrong or unlikely, all in one go. Quantities are text with their unit, "83 mm";
# plain numbers have none. Where a pressure can be two things, say which: "0.6 bar gauge", "180 kPa absolute".
# A line that begins with # is not read. Keys that begin so show their default: take the # away to confirm or change it.
# A value over engine speed: { speed = [2000, 4000], unit = "rpm", value = [0.9, 0.95] }; one number is constant.
"""


def template_text() -> str:
    """The text of a new build.toml: required keys empty, the others commented out with default or example."""
    parts = [_HEAD]
    parts.append(f"schema_version = {SCHEMA_VERSION}")
    for parameter in TOP_LEVEL.parameters[1:]:
        parts.append(_parameter(parameter))
    for section in SECTIONS:
        parts.append(_section(section))
    return "\n".join(parts) + "\n"


def _section(section: SectionSchema) -> str:
    """One section with its words."""
    lines = [f"\n[{section.name}]", *_comment(section.words)]
    lines += [_parameter(parameter, section) for parameter in section.parameters]
    return "\n".join(lines)


def _needed(parameter: Parameter, section: SectionSchema | None) -> bool:
    """Whether a key waits to be filled in; one that only another choice than the default's asks for does not."""
    when = parameter.required_when
    if when is None or section is None:
        return parameter.required
    other = section.find(when.key)
    if not when.values:
        return other.required or other.default is not None
    return other.default in when.values if other.default is not None else _needed(other, section)


def _parameter(parameter: Parameter, section: SectionSchema | None = None) -> str:
    """One key: its words above, then the key, empty or commented out."""
    needed = _needed(parameter, section)
    lines = [*_comment(_words(parameter))]
    if needed and parameter.example:
        lines.append(f"#   {parameter.name} = {parameter.example}")
    if needed:
        lines.append(f'{parameter.name} = ""')
        if parameter.basis_key:
            lines.append(f'{parameter.basis_key} = ""')
        return "\n".join(lines)
    if parameter.default is not None and parameter.default_status != "computed":
        lines.append(f"# {parameter.name} = {_toml(parameter.default)}")
    else:
        lines.append(f"# {parameter.name} = {parameter.example or '...'}")
        if parameter.basis_key:
            lines.append(f'# {parameter.basis_key} = "{parameter.basis[0]}"')
    return "\n".join(lines)


def _words(parameter: Parameter) -> str:
    """What it is, when it is needed, what may stand there, and where the default is from."""
    words = parameter.words
    if parameter.choices:
        words += f" One of {', '.join(parameter.choices)}."
    if parameter.required_when is not None:
        words += f" Needed when {parameter.required_when}."
    if parameter.unless and parameter.default is None:
        words += f" Not needed with {parameter.unless}."
    if parameter.default is not None and parameter.default_status != "computed":
        words += f" The default is {_STATUS[parameter.default_status]}."
    return words


def _comment(words: str) -> list[str]:
    """Words as comment lines."""
    return textwrap.wrap(
        words,
        _WIDTH,
        initial_indent="# ",
        subsequent_indent="# ",
        break_long_words=False,
        break_on_hyphens=False,
    )


def _toml(default: str | float | int) -> str:
    """A default as TOML."""
    return f'"{default}"' if isinstance(default, str) else str(default)
