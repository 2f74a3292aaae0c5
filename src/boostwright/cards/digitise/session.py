"""The record of a reading: which picture, its axes, everything that was clicked, and what is known besides.

It is kept as JSON beside what comes of it, so that a reading can be opened again, mended, and done once more without
a screen. Reading it checks its form; whether a card comes of it is another question.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.digitise.axes import MODELS, AxesFit, Mark, fit_axes
from boostwright.errors import Fault, FaultyInput

__all__ = [
    "FACTS",
    "ROLES",
    "WHATS",
    "Axis",
    "KeptPicture",
    "Session",
    "SessionError",
    "Stroke",
    "axes_of",
    "is_name",
    "session_from",
    "session_text",
]

VERSION = 1
WHATS: Mapping[str, str] = {
    "compressor": "a compressor map: speed lines and islands of efficiency over flow and pressure ratio",
    "turbine": "a turbine's flow curve over expansion ratio",
    "curve": "any curve over any axis, for one key of the build",
    "known-curve": "the known torque or power curve of the engine before the turbo",
    "dyno-sheet": "a dyno sheet: torque or power over engine speed, at the wheels or at the crank",
}
"""What a picture may be of."""
ROLES: Mapping[str, str] = {
    "line": "a speed line, or a curve",
    "island": "a contour of efficiency, closed or cut off; or one point with its efficiency",
    "surge": "the surge line",
}
"""What something that was clicked may be."""
FACTS: Mapping[str, str] = {
    "reference_pressure": "reference pressure of corrected flow, as printed",
    "reference_temperature": "reference temperature of corrected flow and speed, as printed",
    "wheel_diameter": "compressor: exit diameter of the wheel; turbine: tip of the inlet",
    "tip_speed_limit": "limiting blade speed of a compressor",
    "speed_limit": "limiting shaft speed",
    "expansion_ratio_basis": "turbine: total-to-static or total-to-total",
    "efficiency_peak": "turbine: best efficiency",
    "best_blade_speed_ratio": "turbine: blade-speed ratio of the best efficiency",
    "a_r": "turbine: A/R as stamped",
    "key": "curve: key of the build that it is for",
    "value_basis": "curve: what its values are counted from, where that can be two things",
    "known_curve_at": "engine curve: crank or wheel",
    "known_curve_air": "engine curve: as-measured, or the standard it was corrected by",
    "known_curve_pressure": "engine curve as measured: barometer that day",
    "known_curve_temperature": "engine curve as measured: intake air that day",
    "source": "where the picture is from",
    "licence": "under which terms its values may be passed on",
    "status": "how well the values are known, a status word of cards",
    "by": "who read it",
    "date": "when it was read",
    "notes": "anything a reader should know",
}
"""What is asked besides; every one is text as a card or a build holds it."""
MOST_STROKES, MOST_POINTS, MOST_MARKS, LONGEST_TEXT = 300, 3000, 60, 2000
_NAME = re.compile(r"[a-z0-9][a-z0-9.-]{0,62}")

Array = NDArray[np.float64]


class SessionError(FaultyInput):
    """The record of a reading cannot be used; carries every fault."""


@dataclass(frozen=True)
class Axis:
    """One axis: what is along it (a name in words of the card, or a kind of quantity), its unit, its scale."""

    of: str = ""
    unit: str = ""
    log: bool = False


@dataclass(frozen=True)
class Stroke:
    """Something that was clicked or traced.

    role    one of ``ROLES``
    value   text with its unit: speed or tip speed of a line, efficiency of an island; empty where there is none
    points  (n, 2) [pixels] from the picture's upper left corner, in order along it
    closed  whether the last joins the first
    traced  whether the program followed it
    """

    role: str
    value: str
    points: Array
    closed: bool = False
    traced: bool = False


@dataclass(frozen=True)
class KeptPicture:
    """The picture that was read: file beside the record, its size [pixels], and hashes of it and of what was given."""

    file: str = ""
    width: int = 0
    height: int = 0
    sha256: str = ""
    source: str = ""


@dataclass(frozen=True)
class Session:
    """A reading.

    name     of the reading, and of the card that comes of it
    what     one of ``WHATS``; empty while it is not said yet
    picture  what was read
    x, y     the axes
    model    mapping asked for; empty = the simplest that does
    marks    places of known value
    strokes  what was clicked
    facts    what is known besides, by keys of ``FACTS``
    """

    name: str
    what: str = ""
    picture: KeptPicture = KeptPicture()
    x: Axis = Axis()
    y: Axis = Axis()
    model: str = ""
    marks: tuple[Mark, ...] = ()
    strokes: tuple[Stroke, ...] = ()
    facts: Mapping[str, str] = field(default_factory=dict)

    def fact(self, key: str) -> str:
        """What is known, or empty."""
        return self.facts.get(key, "").strip()

    def of_role(self, role: str) -> list[tuple[int, Stroke]]:
        """Strokes of a role with their number, counted from 1 over all strokes."""
        return [(i, s) for i, s in enumerate(self.strokes, start=1) if s.role == role]


def axes_of(session: Session) -> AxesFit:
    """The axes of a reading. Raises AxesError where the marks do not fix them."""
    return fit_axes(session.marks, (session.x.log, session.y.log), session.model, f"{session.name}, axes")


def is_name(name: str) -> bool:
    """Whether a reading, and a card, may be called so: small letters, digits, '-' and '.', no path."""
    return bool(_NAME.fullmatch(name)) and ".." not in name and not name.endswith(".")


def session_text(session: Session) -> str:
    """The record as JSON text."""
    document = {
        "digitising": VERSION,
        "name": session.name,
        "what": session.what,
        "picture": {
            "file": session.picture.file,
            "width": session.picture.width,
            "height": session.picture.height,
            "sha256": session.picture.sha256,
            "source_sha256": session.picture.source,
        },
        "x": {"of": session.x.of, "unit": session.x.unit, "log": session.x.log},
        "y": {"of": session.y.of, "unit": session.y.unit, "log": session.y.log},
        "model": session.model,
        "marks": [{"pixel": _rounded(mark.pixel), "x": mark.x, "y": mark.y} for mark in session.marks],
        "strokes": [
            {
                "role": stroke.role,
                "value": stroke.value,
                "closed": stroke.closed,
                "traced": stroke.traced,
                "points": [_rounded(point) for point in stroke.points],
            }
            for stroke in session.strokes
        ],
        "facts": dict(session.facts),
    }
    text = json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False)
    # a point on one line, so that the record can be read and compared
    return re.sub(r"\[\s+(-?[\d.e+-]+),\s+(-?[\d.e+-]+)\s+\]", r"[\1, \2]", text) + "\n"


def _rounded(pair: Sequence[float] | Array) -> list[float]:
    return [round(float(pair[0]), 2), round(float(pair[1]), 2)]


def session_from(given: str | Mapping[str, Any], place: str) -> Session:
    """A record from JSON text, or from what such text holds.

    place  its file, for messages
    Raises SessionError with every fault of its form.
    """
    data: Any = given
    if isinstance(given, str):
        try:
            data = json.loads(given, parse_constant=_no_constant)
        except (ValueError, RecursionError) as error:
            line = getattr(error, "lineno", 0)
            where = f"{place}, line {line}" if line else place
            message = f"is no JSON: {getattr(error, 'msg', error)}."
            raise SessionError([Fault(where, "", "", message, line=line)]) from error
    reader = _Reader(place)
    session = reader.session(data)
    if reader.faults:
        raise SessionError(reader.faults)
    return session


def _no_constant(name: str) -> float:
    raise ValueError(f"{name} is no number")


class _Reader:
    """Reads a record and keeps every fault."""

    def __init__(self, place: str) -> None:
        self._place = place
        self.faults: list[Fault] = []

    def fault(self, key: str, value: Any, message: str, allowed: str = "") -> None:
        """One more fault."""
        shown = "" if value is None else str(value)[:60]
        self.faults.append(Fault(self._place, key, shown, message, allowed))

    def session(self, data: Any) -> Session:
        """The whole record."""
        if not isinstance(data, Mapping):
            self.fault("", None, "is no record of a reading.", "an object with name, what, marks and strokes")
            return Session("")
        if data.get("digitising", VERSION) != VERSION:
            self.fault("digitising", data.get("digitising"), f"this program reads version {VERSION}.")
        known = ("digitising", "name", "what", "picture", "x", "y", "model", "marks", "strokes", "facts")
        for key in data:
            if key not in known:
                self.fault(str(key), None, "is no key of a reading.", ", ".join(known))
        name = self.text(data, "name", "name")
        if name and not is_name(name):
            self.fault("name", name, "cannot be a name.", "small letters, digits, '-' and '.'")
        what, model = self.text(data, "what", "what"), self.text(data, "model", "model")
        if what and what not in WHATS:
            self.fault("what", what, "is nothing that can be read.", ", ".join(WHATS))
        if model and model not in MODELS:
            self.fault("model", model, "is no kind of mapping.", ", ".join(MODELS))
        marks = self.listed(data, "marks", MOST_MARKS)
        strokes = self.listed(data, "strokes", MOST_STROKES)
        return Session(
            name,
            what,
            self.picture(data.get("picture", {})),
            self.axis(data.get("x", {}), "x"),
            self.axis(data.get("y", {}), "y"),
            model,
            tuple(self.mark(mark, f"marks[{i}]") for i, mark in enumerate(marks)),
            tuple(self.stroke(stroke, f"strokes[{i}]") for i, stroke in enumerate(strokes)),
            self.facts(data.get("facts", {})),
        )

    def text(self, data: Mapping[str, Any], key: str, where: str) -> str:
        """A text that may be missing."""
        value = data.get(key, "")
        if value is None:
            return ""
        if not isinstance(value, str) or len(value) > LONGEST_TEXT:
            self.fault(where, value, "must be a text.", f"at most {LONGEST_TEXT} signs")
            return ""
        return value

    def truth(self, data: Mapping[str, Any], key: str, where: str) -> bool:
        """True or false; false when it is missing."""
        value = data.get(key, False)
        if not isinstance(value, bool):
            self.fault(where, value, "must be true or false.")
            return False
        return value

    def listed(self, data: Mapping[str, Any], key: str, most: int) -> Sequence[Any]:
        """A list of bounded length; empty when it is missing."""
        value = data.get(key, [])
        if not isinstance(value, list) or len(value) > most:
            self.fault(key, None, "must be a list.", f"at most {most} entries")
            return []
        return value

    def picture(self, data: Any) -> KeptPicture:
        """What is known of the picture."""
        if not isinstance(data, Mapping):
            self.fault("picture", data, "must be an object.")
            return KeptPicture()
        sizes = []
        for key in ("width", "height"):
            value = data.get(key, 0)
            if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value <= 100_000:
                self.fault(f"picture.{key}", value, "must be a whole number of pixels.")
                value = 0
            sizes.append(value)
        file = self.text(data, "file", "picture.file")
        if file and not is_name(file):
            self.fault("picture.file", file, "must be a file beside the record, without a folder.")
        hashes = [self.text(data, key, f"picture.{key}") for key in ("sha256", "source_sha256")]
        return KeptPicture(file, sizes[0], sizes[1], *hashes)

    def axis(self, data: Any, where: str) -> Axis:
        """One axis."""
        if not isinstance(data, Mapping):
            self.fault(where, data, "must be an object.")
            return Axis()
        return Axis(
            self.text(data, "of", f"{where}.of"),
            self.text(data, "unit", f"{where}.unit"),
            self.truth(data, "log", f"{where}.log"),
        )

    def number(self, value: Any, where: str) -> float:
        """A finite number of a size that a picture or an axis can have."""
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            self.fault(where, value, "must be a number.")
            return 0.0
        if abs(value) > 1e9:
            self.fault(where, value, "is too large.")
            return 0.0
        return float(value)

    def pixel(self, value: Any, where: str) -> tuple[float, float]:
        """A place in the picture."""
        if not isinstance(value, list) or len(value) != 2:
            self.fault(where, None, "must be a place [x, y] in pixels.")
            return 0.0, 0.0
        return self.number(value[0], where), self.number(value[1], where)

    def mark(self, data: Any, where: str) -> Mark:
        """A mark of an axis."""
        if not isinstance(data, Mapping):
            self.fault(where, None, "must be an object.")
            return Mark((0.0, 0.0))
        values = [None if data.get(k) is None else self.number(data[k], f"{where}.{k}") for k in ("x", "y")]
        return Mark(self.pixel(data.get("pixel"), f"{where}.pixel"), values[0], values[1])

    def stroke(self, data: Any, where: str) -> Stroke:
        """Something that was clicked."""
        if not isinstance(data, Mapping):
            self.fault(where, None, "must be an object.")
            return Stroke("line", "", np.empty((0, 2)))
        role = self.text(data, "role", f"{where}.role")
        if role not in ROLES:
            self.fault(f"{where}.role", role, "is no role.", ", ".join(ROLES))
        points = data.get("points", [])
        if not isinstance(points, list) or len(points) > MOST_POINTS:
            self.fault(f"{where}.points", None, "must be a list.", f"at most {MOST_POINTS} places")
            points = []
        places = [self.pixel(point, f"{where}.points[{i}]") for i, point in enumerate(points)]
        return Stroke(
            role,
            self.text(data, "value", f"{where}.value"),
            np.array(places, dtype=float).reshape(-1, 2),
            self.truth(data, "closed", f"{where}.closed"),
            self.truth(data, "traced", f"{where}.traced"),
        )

    def facts(self, data: Any) -> dict[str, str]:
        """What is known besides."""
        if not isinstance(data, Mapping):
            self.fault("facts", None, "must be an object of texts.")
            return {}
        for key in data:
            if key not in FACTS:
                self.fault(f"facts.{key}", None, "is nothing that is asked.", ", ".join(FACTS))
        return {key: self.text(data, key, f"facts.{key}") for key in FACTS if data.get(key)}
