"""A build with its doubtful values shifted: as it would have been read with other numbers in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, Section
from boostwright.build.build import Value
from boostwright.solve.uncertainty.doubts import Doubt

__all__ = ["Shifter", "flat_build", "shifted_build"]

Array = NDArray[np.float64]
_KNOCK = "model.knock_multiplier"


def shifted_build(build: Build, doubts: Sequence[Doubt], shifts: Array) -> Build:
    """The build of one sample.

    doubts  doubts whose keys are shifted; of the models only the knock multiplier is a number of the build
    shifts  (doubts,) [-] in widths of the bands
    With another ambient pressure everything stated in gauge stands at another absolute pressure.
    """
    return Shifter(build, doubts).build(shifts)


class Shifter:
    """``shifted_build`` for many samples of the same doubts."""

    def __init__(self, build: Build, doubts: Sequence[Doubt]) -> None:
        """From the nominal build and the doubts of the shifts."""
        self._base = build
        self._doubts: list[tuple[int, Doubt, str, str]] = []
        for column, doubt in enumerate(doubts):
            if doubt.key is not None or doubt.name == _KNOCK:
                self._doubts.append((column, doubt, *(doubt.key or ("spark", "knock_multiplier"))))
        self._gauge = tuple(_stated_in_gauge(build))

    def build(self, shifts: Array) -> Build:
        """The build of one sample with shifts (doubts,) [-]."""
        base = self._base
        row = np.asarray(shifts).tolist()
        changed: dict[str, dict[str, Value]] = {}
        for column, doubt, section, key in self._doubts:
            shift = row[column]
            if shift == 0.0:
                continue
            values = changed.get(section)
            if values is None:
                values = changed[section] = dict(base.sections[section].values)
            values[key] = _moved(values[key], _moves(base, doubt, shift))
        if "pressure" in changed.get("ambient", {}):
            rise = float(changed["ambient"]["pressure"].si or 0.0) - base["ambient"].si("pressure")
            for section, key in self._gauge:
                values = changed.setdefault(section, dict(base.sections[section].values))
                values[key] = _moved(values[key], [rise])
        sections = dict(base.sections)
        for name, values in changed.items():
            sections[name] = Section(name, values)
        return replace(base, sections=sections)


def _moves(build: Build, doubt: Doubt, shift: Any) -> list[Any]:
    """What a shift adds to each number of the doubt's value, SI."""
    if doubt.name == _KNOCK:
        return [build["spark"].si("knock_multiplier") * (_knock_factor(doubt, shift) - 1.0)]
    return [shift * width for width in doubt.widths]


def _knock_factor(doubt: Doubt, shift: Any) -> Any:
    """Factor on the knock multiplier: its logarithm goes with the shift, each way by its own width."""
    below, above = doubt.widths
    factor = np.exp(np.where(np.asarray(shift) < 0.0, below, above) * shift)
    return factor if np.ndim(shift) else float(factor)


def _stated_in_gauge(build: Build) -> Iterator[tuple[str, str]]:
    """Keys that are kept absolute and were written in gauge."""
    for section in build.sections.values():
        for key, value in section.values.items():
            if value.parameter.stored_basis == "absolute" and value.basis == "gauge":
                yield section.name, key


def _moved(value: Value, by: Sequence[float]) -> Value:
    """The value with each of its numbers moved by that much, SI; one number moves all alike."""
    # a copy with some fields changed; ``replace`` asks every field of a value, of which a sample has dozens
    moved = object.__new__(Value)
    parts = moved.__dict__
    parts.update(value.__dict__)
    if value.si is not None:
        parts["si"] = value.si + by[0]
    for name in ("curve", "points"):
        curve = parts[name]
        if curve is not None:
            numbers = curve.value_points
            each = by if len(by) == len(numbers) else [by[0]] * len(numbers)
            parts[name] = replace(
                curve, value_points=tuple([v + d for v, d in zip(numbers, each, strict=True)])
            )
    return moved


class _FlatSection(Section):
    """A section of many builds laid out by point: a doubtful number is an array (n,), all others are as they are."""

    def __init__(self, section: Section, arrays: Mapping[str, Array]) -> None:
        super().__init__(section.name, section.values)
        object.__setattr__(self, "_arrays", arrays)

    def si(self, key: str) -> Any:
        """The number, or an array (n,), one a point. Raises KeyError."""
        arrays: Mapping[str, Array] = self._arrays  # type: ignore[attr-defined]
        return arrays[key] if key in arrays else super().si(key)


def flat_build(build: Build, doubts: Sequence[Doubt], shifts: Array, points: int) -> Build:
    """Many builds as one whose doubtful numbers are arrays, for relations that take one value a point.

    shifts  (k, doubts) [-]
    points  [-] of each build; the arrays are (k points,), build by build
    Curves are not spread out: they have been read by then. The rods are left out: ``rod_quantities`` takes the nominal
    build, since what a believed torque implies is worked out once.
    """
    arrays: dict[str, dict[str, Array]] = {}
    for column, doubt in enumerate(doubts):
        knock = doubt.name == _KNOCK
        if not knock and (doubt.key is None or len(doubt.widths) != 1):
            continue
        section, key = doubt.key or ("spark", "knock_multiplier")
        value = build[section].values[key]
        if value.si is not None:
            numbers = value.si + _moves(build, doubt, shifts[:, column])[0]
            arrays.setdefault(section, {})[key] = np.repeat(numbers, points)
    if "pressure" in arrays.get("ambient", {}):
        rise = arrays["ambient"]["pressure"] - build["ambient"].si("pressure")
        for section, key in _stated_in_gauge(build):
            stated = build[section].values[key].si
            if stated is not None:
                own = arrays.setdefault(section, {})
                own[key] = own.get(key, np.full(rise.shape, stated)) + rise
    sections = dict(build.sections)
    for name, own in arrays.items():
        sections[name] = _FlatSection(build[name], own)
    rods = build["rods"]
    unwatched = replace(rods.values["given_as"], text="none")
    sections["rods"] = Section("rods", {**rods.values, "given_as": unwatched})
    return replace(build, sections=sections)
