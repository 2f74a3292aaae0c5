"""Reading a build folder: bytes -> text -> values -> a frozen build, or every fault at once."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from boostwright.build.build import Build, DefaultUsed, Section, Source, Value
from boostwright.build.derived import turbine_swallowing
from boostwright.build.encoding import LARGEST_FILE, decode
from boostwright.build.faults import Report, in_file_order
from boostwright.build.part_cards import read_cards
from boostwright.build.schema import SECTIONS, TOP_LEVEL
from boostwright.build.sections import read_section, refuse_unknown_sections
from boostwright.build.settings import apply_settings
from boostwright.build.steps import CHECKS, FILLS
from boostwright.build.toml_text import parse_text
from boostwright.errors import BuildError, Fault

__all__ = ["BUILD_FILE", "Checked", "ReadSoFar", "check_build", "check_bytes", "read_build", "with_settings"]

BUILD_FILE = "build.toml"
"""Name of the file in a build's folder."""


@dataclass(frozen=True)
class ReadSoFar:
    """What could be read of a build, whether it has faults or not.

    text      the file's text as it stands, without its settings
    data      what stands in the file, nested, with the settings laid over it
    sections  section name -> its values, of every key that could be read, is filled in or has a default; "" is the head
    defaults  defaults that stand in for something nobody has written down
    source    what it was read from
    """

    text: str
    data: Mapping[str, Any]
    sections: Mapping[str, Mapping[str, Value]]
    defaults: tuple[DefaultUsed, ...]
    source: Source


@dataclass(frozen=True)
class Checked:
    """What a check found.

    build     the build, None when there are faults
    faults    what is refused, in the order of the file
    warnings  what is taken, but asked about
    so_far    what could be read; None where there is no file, or nothing in it
    """

    build: Build | None
    faults: tuple[Fault, ...]
    warnings: tuple[Fault, ...]
    so_far: ReadSoFar | None = None


def read_build(folder: Path | str, settings: Sequence[str] = ()) -> Build:
    """Read a build folder.

    folder    the folder, or its build.toml
    settings  ``section.key=value`` laid over the file for this run
    Raises BuildError, which carries every fault found. Nothing on disk is changed.
    """
    checked = check_build(folder, settings)
    if checked.build is None:
        raise BuildError(checked.faults)
    return checked.build


def check_build(folder: Path | str, settings: Sequence[str] = ()) -> Checked:
    """Read a build folder and return what was found; raises nothing for a faulty build."""
    path = Path(folder)
    if path.name != BUILD_FILE or path.is_dir():
        path = path / BUILD_FILE
    data, faults = _bytes(path)
    if data is None:
        return Checked(None, tuple(faults), ())
    return check_bytes(data, path, settings)


def check_bytes(data: bytes, path: Path, settings: Sequence[str] = ()) -> Checked:
    """As ``check_build``, of bytes that need not be on the disk; ``path`` is where the file belongs."""
    text, faults = decode(data, BUILD_FILE)
    parsed = parse_text(text, BUILD_FILE)
    faults += parsed.faults
    if not parsed.data and not parsed.broken:
        if not faults:
            remedy = "Begin a build with: boostwright new FOLDER, in a folder of its own."
            faults.append(Fault(BUILD_FILE, "", "", "is empty.", "a build", remedy))
        return Checked(None, in_file_order(faults), ())
    digest = hashlib.sha256(data).hexdigest()
    source = Source(parsed.data, parsed.lines, frozenset(parsed.broken), tuple(settings), digest)
    checked = _check(source, path, faults)
    so_far = None if checked.so_far is None else replace(checked.so_far, text=text)
    return replace(checked, so_far=so_far)


def with_settings(build: Build, settings: Sequence[str]) -> Build:
    """The build with ``section.key=value`` laid over it; an empty value takes the key out.

    The file is not touched. Earlier settings stay, later ones win. Raises BuildError, whose faults name the
    setting as their place.
    """
    old = build.source
    source = Source(old.data, old.lines, old.broken, (*old.settings, *settings), old.digest)
    checked = _check(source, build.path, [])
    if checked.build is None:
        raise BuildError(checked.faults)
    return checked.build


def _bytes(path: Path) -> tuple[bytes | None, list[Fault]]:
    """The file's bytes, or why there are none."""
    new = "Begin one with: boostwright new FOLDER"
    try:
        if not path.parent.is_dir():
            what = "is a file, not a build folder." if path.parent.exists() else "does not exist."
            return None, [Fault(str(path.parent), "", "", what, "a folder with a build.toml", f"{new}.")]
        if not path.exists():
            message = f"has no {BUILD_FILE}."
            return None, [Fault(str(path.parent), "", "", message, "a folder with a build.toml", f"{new}.")]
        if not path.is_file():
            return None, [Fault(str(path), "", "", "is no file.", "a text file")]
        size = path.stat().st_size
        if size > LARGEST_FILE:
            message = f"has {size} bytes; a build file is a few thousand."
            return None, [Fault(str(path), "", "", message, remedy="Is this another file under its name?")]
        return path.read_bytes(), []
    except OSError as error:
        return None, [Fault(str(path), "", "", f"cannot be read ({error.strerror}).")]


def _check(source: Source, path: Path, faults: list[Fault]) -> Checked:
    """Values, defaults and cross checks of what was read; ``faults`` are those of the text."""
    folder = path.parent
    applied = apply_settings(source.data, source.settings)
    report = Report(BUILD_FILE, source.lines, source.broken - set(applied.settings), applied.settings)
    report.faults += [*faults, *applied.faults]
    data = applied.data
    refuse_unknown_sections(data, report)
    head, _ = read_section(TOP_LEVEL, data, report, None, {})
    if "schema_version" in data and "schema_version" not in head:
        so_far = ReadSoFar("", data, {"": head}, (), source)
        return Checked(
            None, in_file_order(report.faults), (), so_far
        )  # another version's keys would look wrong
    filled = read_cards(data, folder, report)
    sections, defaults = _sections(data, report, filled)
    turbine_swallowing(sections, data, report)
    for fill in FILLS:
        defaults += fill(sections)
    for check in CHECKS:
        check(sections, report)
    build = None
    if not report.faults:
        build = Build(
            folder,
            path,
            head["name"].text or "",
            head["provenance"].text or "",
            {name: Section(name, values) for name, values in sections.items()},
            tuple(defaults),
            in_file_order(report.warnings),
            source,
        )
    so_far = ReadSoFar("", data, {"": head, **sections}, tuple(defaults), source)
    return Checked(build, in_file_order(report.faults), in_file_order(report.warnings), so_far)


def _sections(
    data: dict[str, Any], report: Report, filled: dict[str, dict[str, Value]]
) -> tuple[dict[str, dict[str, Value]], list[DefaultUsed]]:
    """Every section in the order of the schema; ambient comes before all that may be gauge."""
    sections: dict[str, dict[str, Value]] = {}
    defaults: list[DefaultUsed] = []
    for schema in SECTIONS:
        raw = data.get(schema.name)
        if raw is not None and not isinstance(raw, dict):
            sections[schema.name] = {}  # already refused
            continue
        pressure = sections.get("ambient", {}).get("pressure")
        ambient = pressure.si if pressure else None
        values, used = read_section(schema, raw, report, ambient, filled.get(schema.name, {}))
        sections[schema.name] = values
        defaults += used
    return sections, defaults
