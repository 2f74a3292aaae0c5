"""A build that has been read and checked: frozen, in SI, with what was assumed written down."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from boostwright.build.bands import Band
from boostwright.build.parameter import Parameter
from boostwright.build.toml_text import KeyPath
from boostwright.errors import Fault

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = [
    "Build",
    "Curve",
    "DefaultUsed",
    "OwnLimit",
    "PlanDaySetting",
    "PlanPart",
    "PointCurve",
    "Section",
    "Source",
    "Value",
]


@dataclass(frozen=True)
class Curve:
    """A quantity over engine speed.

    speed_points  [rad/s]  rising; a single 0 when the value is constant
    value_points  SI of the key's kind, on the key's stored basis, as many as there are speeds
    basis         the basis it was written on, None where there is none
    Between points it is a straight line; outside them the end value holds.
    """

    speed_points: tuple[float, ...]
    value_points: tuple[float, ...]
    basis: str | None = None

    @property
    def is_constant(self) -> bool:
        """True when a single value was written."""
        return len(self.speed_points) == 1

    @property
    def speed(self) -> NDArray[np.float64]:
        """The speeds [rad/s], (n,)."""
        import numpy as np

        return np.array(self.speed_points, dtype=np.float64)

    @property
    def value(self) -> NDArray[np.float64]:
        """The values in SI, (n,)."""
        import numpy as np

        return np.array(self.value_points, dtype=np.float64)

    def at(self, speed: float) -> float:
        """The value at one engine speed [rad/s]."""
        speeds, values = self.speed_points, self.value_points
        if speed <= speeds[0]:
            return values[0]
        for left in range(len(speeds) - 1):
            if speed <= speeds[left + 1]:
                share = (speed - speeds[left]) / (speeds[left + 1] - speeds[left])
                return values[left] + share * (values[left + 1] - values[left])
        return values[-1]

    def along(self, speeds: NDArray[np.float64]) -> NDArray[np.float64]:
        """The values at engine speeds (n,) [rad/s], each the very one that ``at`` gives."""
        import numpy as np

        values = self.value
        if self.is_constant:
            return np.full(speeds.shape, values[0])
        points = self.speed
        left = np.minimum(np.searchsorted(points[1:], speeds), points.size - 2)
        share = (speeds - points[left]) / (points[left + 1] - points[left])
        between = values[left] + share * (values[left + 1] - values[left])
        inside = np.where(speeds <= points[0], values[0], between)
        return np.asarray(np.where(speeds > points[-1], values[-1], inside), dtype=np.float64)


@dataclass(frozen=True)
class PointCurve:
    """A quantity over a pressure or a voltage.

    axis_points   SI, rising; a single 0 when the value is constant
    value_points  SI of the key's kind, as many
    Between points it is a straight line; what holds outside them is for the reader to say.
    """

    axis_points: tuple[float, ...]
    value_points: tuple[float, ...]

    @property
    def is_constant(self) -> bool:
        """True when a single value was written."""
        return len(self.axis_points) == 1


@dataclass(frozen=True)
class PlanDaySetting:
    """A day of the owner's: settings laid over the build, and by what share [-] boost spikes on it."""

    name: str
    settings: tuple[str, ...]
    spike: float


@dataclass(frozen=True)
class PlanPart:
    """A part the owner might buy: the settings it changes, and its price, None and '' where none is given."""

    name: str
    settings: tuple[str, ...]
    price: float | None
    currency: str


@dataclass(frozen=True)
class OwnLimit:
    """A limit of the user's on a quantity of a prediction.

    name          the user's
    quantity      name of the quantity
    upper, lower  in the quantity's SI unit; None for none
    kind          kind of quantity its unit is of
    basis         gauge or absolute where it was written, else empty
    words         what it guards, for people
    margin        share of the bound that is kept
    line          line in the file, 0 when it does not stand there
    """

    name: str
    quantity: str
    upper: float | None
    lower: float | None
    kind: str
    basis: str
    words: str
    margin: float
    line: int = 0


@dataclass(frozen=True)
class DefaultUsed:
    """A default that stands in for something nobody has written down.

    key     dotted key
    value   the default, as it would be written
    status  where it is from: ``common practice``, ``from memory``, ``own estimate``, ``assumed`` ...
    """

    key: str
    value: str
    status: str


@dataclass(frozen=True)
class Value:
    """One key's value.

    parameter  its declaration
    written    as it stands in the file, or the default
    origin     ``file``, ``set`` (given for this run), ``card``, or ``default``
    si         number in SI on the parameter's stored basis; None for text, curves and speeds
    text       text and choices
    curve      the value over engine speed, for a parameter that may be a curve
    points     the value over a pressure or a voltage, where it was written so
    speeds     [rad/s] for the kind ``speeds``
    numbers    SI, one a cylinder, for a parameter that is a list
    records    for the kinds ``days``, ``parts`` and ``own-limits``
    unit       name of the unit it was written in
    basis      basis it was written on
    line       line in the file, 0 when it does not stand there
    raw        what TOML gave, for messages; None for a default
    band       how far it may be off, None where nothing was said
    """

    parameter: Parameter
    written: str
    origin: str
    si: float | None = None
    text: str | None = None
    curve: Curve | None = None
    points: PointCurve | None = None
    speeds: tuple[float, ...] = ()
    numbers: tuple[float, ...] = ()
    records: tuple[Any, ...] = ()
    unit: str | None = None
    basis: str | None = None
    line: int = 0
    raw: object = None
    band: Band | None = None


@dataclass(frozen=True)
class Section:
    """One section of a build. Ask ``has`` before reading a key that is optional and has no default."""

    name: str
    values: Mapping[str, Value]

    def has(self, key: str) -> bool:
        """True when there is a value: written, from a card, or a default."""
        return key in self.values

    def written(self, key: str) -> bool:
        """True when the user wrote it, in the file or for this run."""
        return key in self.values and self.values[key].origin in ("file", "set")

    def si(self, key: str) -> float:
        """The number in SI, on the stored basis of the key (see the reference page). Raises KeyError."""
        number = self._value(key).si
        if number is None:
            raise KeyError(f"[{self.name}] {key} is no single number")
        return number

    def integer(self, key: str) -> int:
        """A whole number. Raises KeyError."""
        return int(self.si(key))

    def text(self, key: str) -> str:
        """A text or a choice. Raises KeyError."""
        text = self._value(key).text
        if text is None:
            raise KeyError(f"[{self.name}] {key} is no text")
        return text

    def curve(self, key: str) -> Curve:
        """The value over engine speed; a single number is a constant curve. Raises KeyError."""
        curve = self._value(key).curve
        if curve is None:
            raise KeyError(f"[{self.name}] {key} is no curve over engine speed")
        return curve

    def points(self, key: str) -> PointCurve:
        """The value over its pressure or voltage; a single number is constant. Raises KeyError."""
        value = self._value(key)
        if value.points is not None:
            return value.points
        if not value.parameter.axis or value.si is None:
            raise KeyError(f"[{self.name}] {key} is no curve over a pressure or a voltage")
        return PointCurve((0.0,), (value.si,))

    def speeds(self, key: str) -> tuple[float, ...]:
        """Engine speeds [rad/s], rising. Raises KeyError."""
        return self._value(key).speeds

    def numbers(self, key: str) -> tuple[float, ...]:
        """A list in SI, a value for each cylinder. Raises KeyError."""
        return self._value(key).numbers

    def records(self, key: str) -> tuple[Any, ...]:
        """The days, parts or limits of a list; none where the key is not written."""
        return self.values[key].records if key in self.values else ()

    def basis(self, key: str) -> str | None:
        """The basis it was written on; ``si`` is on the stored one. Raises KeyError."""
        return self._value(key).basis

    def as_written(self, key: str) -> str:
        """The text in the file, or the default's. Raises KeyError."""
        return self._value(key).written

    def _value(self, key: str) -> Value:
        """The value; the message says what to ask first."""
        try:
            return self.values[key]
        except KeyError:
            raise KeyError(f"[{self.name}] has no {key}; ask has() first") from None


@dataclass(frozen=True)
class Source:
    """What a build was read from, kept so that it can be read again with other settings.

    data      the file's values, nested
    lines     path of a key -> its line
    broken    keys that stand there but could not be read
    settings  what was given for this run, in order, as ``section.key=value``
    digest    SHA-256 of the file's bytes, hexadecimal
    """

    data: Mapping[str, Any]
    lines: Mapping[KeyPath, int]
    broken: frozenset[KeyPath]
    settings: tuple[str, ...]
    digest: str


@dataclass(frozen=True)
class Build:
    """A build folder, read and found without fault.

    folder         the folder
    path           its build.toml
    name           what its owner calls it
    provenance     where most of its values are from, one of the status words
    sections       section name -> section, every section of the schema
    defaults_used  what nobody has confirmed
    warnings       what is possible but hardly meant
    source         what it was read from
    """

    folder: Path
    path: Path
    name: str
    provenance: str
    sections: Mapping[str, Section]
    defaults_used: tuple[DefaultUsed, ...]
    warnings: tuple[Fault, ...]
    source: Source

    def __getitem__(self, section: str) -> Section:
        """The section of that name; raises KeyError."""
        return self.sections[section]
