"""Digitise: what a reading of a picture comes to. Nothing on disk is changed here; ``digitise_keep`` keeps things."""

from __future__ import annotations

import json
import math
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright import __version__
from boostwright.build.schema import SECTIONS
from boostwright.cards.card import Card, CardHeader
from boostwright.cards.digitise.axes import AxesFit
from boostwright.cards.digitise.compressor import CompressorReading, read_compressor
from boostwright.cards.digitise.curve import CurveReading, curve_text, read_curves
from boostwright.cards.digitise.session import (
    FACTS,
    ROLES,
    WHATS,
    Session,
    SessionError,
    axes_of,
    session_from,
    session_text,
)
from boostwright.cards.digitise.turbine import TurbineReading, read_turbine
from boostwright.cards.writer import CardInput, write_card
from boostwright.errors import CardError, Fault
from boostwright.provenance.source import CARD_STATUS
from boostwright.units import KINDS, unit_names

__all__ = [
    "CardDraft",
    "Digitised",
    "asked_of_readings",
    "axes_document",
    "axes_of_reading",
    "changes_of_card",
    "digitise",
    "fault_document",
    "read_session",
    "session_document",
    "session_of",
]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class CardDraft:
    """A card that is not written yet: what ``write_card`` takes."""

    header: CardHeader
    values: Mapping[str, CardInput]
    provenance: Mapping[str, tuple[str, str]]
    columns: Mapping[str, Array]
    units: Mapping[str, str]


@dataclass(frozen=True)
class Digitised:
    """What a reading comes to.

    session     the reading
    compressor, turbine, curves   what was read; one of them
    card        the card that can be written; None for a curve of the build
    changes     keys of the build with their text; None takes the key out
    trial       the card as it would be read back; None for a curve, or where it has faults
    faults      why no card can be written, though the picture was read
    warnings    what is asked about
    """

    session: Session
    compressor: CompressorReading | None
    turbine: TurbineReading | None
    curves: CurveReading | None
    card: CardDraft | None
    changes: Mapping[str, str | None]
    trial: Card | None
    faults: tuple[Fault, ...]
    warnings: tuple[Fault, ...]


def read_session(path: Path | str) -> Session:
    """The record of a reading from its file. Raises SessionError with every fault."""
    path = Path(path)
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise SessionError([Fault(path.name, "", "", "is not UTF-8 text.")]) from error
    except OSError as error:
        raise SessionError([Fault(str(path), "", "", f"cannot be opened: {error.strerror}.")]) from error
    return session_from(text, path.name)


def session_of(data: Mapping[str, Any], place: str = "reading") -> Session:
    """The record of a reading from plain values. Raises SessionError with every fault of its form."""
    return session_from(data, place)


def axes_of_reading(session: Session) -> AxesFit:
    """The axes of a reading. Raises AxesError where its marks do not fix them."""
    return axes_of(session)


def changes_of_card(kind: str, name: str) -> dict[str, str | None]:
    """Keys of the build that name a card."""
    return {f"{kind}.card": name}


def asked_of_readings() -> dict[str, Any]:
    """What can be read, what strokes there are, what is asked besides, and the units and keys to choose from."""
    keys = [
        {
            "key": f"{section.name}.{p.name}",
            "words": p.words,
            "x": p.axis or "rotational_speed",
            "y": p.kind,
            "basis": list(p.basis),
        }
        for section in SECTIONS
        for p in section.parameters
        if (p.curve or p.axis) and p.kind in KINDS
    ]
    return {
        "what": dict(WHATS),
        "roles": dict(ROLES),
        "facts": dict(FACTS),
        "units": {kind: list(unit_names(kind)) for kind in KINDS},
        "keys": keys,
        "status": {word: words for word, words in CARD_STATUS.items() if word in _OWN},
        "air": ["as-measured", "sae-j1349", "iso-1585", "din-70020"],
    }


_OWN = ("measured by the owner", "published", "from memory", "invented for the demo")
"""Status words that a card read from a picture may carry."""


def session_document(session: Session) -> dict[str, Any]:
    """A record as plain values."""
    return dict(json.loads(session_text(session)))


def digitise(session: Session) -> Digitised:
    """What a reading comes to.

    Raises SessionError, or AxesError, with every fault that keeps the picture from being read. A card that cannot be
    written yet, for want of a source say, is no error: its faults stand in the result.
    """
    if session.what == "compressor":
        compressor = read_compressor(session)
        draft = _compressor_card(session, compressor)
        named = changes_of_card("compressor", session.name)
        return _with_trial(session, draft, named, compressor.warnings, compressor=compressor)
    if session.what == "turbine":
        turbine = read_turbine(session)
        draft, named = _turbine_card(session, turbine), changes_of_card("turbine", session.name)
        return _with_trial(session, draft, named, turbine.warnings, turbine=turbine)
    if session.what in ("curve", "known-curve", "dyno-sheet"):
        curves = read_curves(session)
        changes, faults = _changes(session, curves)
        return Digitised(session, None, None, curves, None, changes, None, tuple(faults), curves.warnings)
    message = "it is not said what the picture shows."
    raise SessionError([Fault(session.name, "what", session.what, message, "compressor, turbine or a curve")])


def axes_document(axes: AxesFit) -> dict[str, Any]:
    """Axes as found, as plain values: the mapping, its misses [pixels], how the paper lies."""
    residuals = np.round(axes.residuals, 2)
    return {
        "model": axes.model,
        "log": list(axes.log),
        "to_pixels": axes.to_pixels.tolist(),
        "residuals": [[float(v) for v in row] for row in residuals],
        "rms": round(axes.rms, 3),
        "tilt": round(axes.tilt, 3),
        "skew": round(axes.skew, 3),
    }


def fault_document(fault: Fault) -> dict[str, Any]:
    """A fault as plain values."""
    return {
        "file": fault.place,
        "line": fault.line,
        "key": fault.key,
        "value": fault.value,
        "message": fault.message,
        "allowed": fault.allowed,
        "remedy": fault.remedy,
        "severity": fault.severity,
    }


def _with_trial(
    session: Session,
    draft: CardDraft,
    changes: Mapping[str, str | None],
    warnings: tuple[Fault, ...],
    compressor: CompressorReading | None = None,
    turbine: TurbineReading | None = None,
) -> Digitised:
    """Write the card into a folder that goes away, to hear what its own checks say."""
    faults = list(_missing(session))
    trial = None
    if not faults:
        with tempfile.TemporaryDirectory() as folder:
            try:
                trial = write_card(
                    Path(folder), draft.header, draft.values, draft.provenance, draft.columns, draft.units
                )
            except CardError as error:
                faults = list(error.faults)
    asked = (*warnings, *(trial.warnings if trial else ()))
    return Digitised(session, compressor, turbine, None, draft, changes, trial, tuple(faults), asked)


def _missing(session: Session) -> list[Fault]:
    """What every card says of where it is from."""
    faults = []
    for key, words in (
        ("source", "where the picture is from, in words"),
        ("licence", "under which terms its values may be passed on"),
        ("status", "one of " + ", ".join(CARD_STATUS)),
    ):
        if not session.fact(key):
            faults.append(Fault(session.name, key, "", "is not said yet; every card says it.", words))
    status = session.fact("status")
    if status and status not in CARD_STATUS:
        faults.append(Fault(session.name, "status", status, "is no status word.", ", ".join(CARD_STATUS)))
    if not session.name:
        faults.append(Fault("card", "name", "", "has no name yet.", "small letters, digits, '-' and '.'"))
    return faults


def _header(session: Session, residuals: str) -> CardHeader:
    """The header, with how it was read."""
    by = f" by {session.fact('by')}" if session.fact("by") else ""
    on = f" on {session.fact('date')}" if session.fact("date") else ""
    source = f"read from a picture: {session.fact('source') or 'not said'}; read{by}{on} with boostwright {__version__}"
    notes = f"{residuals} Picture sha256 {session.picture.sha256[:16] or 'not kept'}. {session.fact('notes')}".strip()
    kind = session.what
    return CardHeader(kind, 1, session.name, source, session.fact("licence"), session.fact("status"), notes)


def _texts(session: Session, keys: tuple[str, ...]) -> dict[str, CardInput]:
    """Facts as they were written, those that are there."""
    return {key: session.fact(key) for key in keys if session.fact(key)}


def _compressor_card(session: Session, reading: CompressorReading) -> CardDraft:
    every = [word for line in reading.lines for word in line.known]
    residuals = (
        f"Axes {reading.axes.model}, marks to {reading.axes.rms:.1f} pixels; "
        f"{len(reading.lines)} speed lines, {len(reading.islands)} islands fitted to "
        f"{100 * _zero(reading.island_rms):.2f} points of efficiency (root mean square); efficiency carried on beyond "
        f"the last island at {reading.extrapolated} of {len(every)} points."
    )
    keys = ("reference_pressure", "reference_temperature", "wheel_diameter", "tip_speed_limit", "speed_limit")
    values = _texts(session, keys)
    units = {"corrected_speed": "rpm", "corrected_flow": reading.flow_unit}
    return CardDraft(_header(session, residuals), values, {}, reading.columns, units)


def _turbine_card(session: Session, reading: TurbineReading) -> CardDraft:
    rough = [np.abs(c.rough[np.isfinite(c.rough)]) for c in reading.curves]
    worst = max((float(r.max()) for r in rough if r.size), default=0.0)
    residuals = (
        f"Axes {reading.axes.model}, marks to {reading.axes.rms:.1f} pixels; {len(reading.curves)} flow curves, "
        f"points smooth to {worst:.1f} pixels; choked flow is the largest flow read."
    )
    values: dict[str, CardInput] = {"form": "radial", "given_as": "one-number"}
    values |= _texts(session, ("wheel_diameter", "expansion_ratio_basis"))
    unit = session.y.unit
    values["choked_flow"] = f"{reading.choked_flow:.5g} {unit}"
    values["choked_flow_band"] = [f"{value:.5g} {unit}" for value in reading.band]
    if reading.flow_kind == "mass_flow":
        values |= _texts(session, ("reference_temperature", "reference_pressure"))
    provenance = {}
    for key in ("efficiency_peak", "best_blade_speed_ratio", "a_r"):
        if session.fact(key):
            number = _plain(session.fact(key))
            values[key] = number if math.isfinite(number) else session.fact(key)
    for key in ("efficiency_peak", "best_blade_speed_ratio"):
        if session.fact(key):
            provenance[key] = ("given by hand; the flow curve does not tell it", "from memory")
    return CardDraft(_header(session, residuals), values, provenance, {}, {})


def _plain(text: str) -> float:
    try:
        return float(text[:-1]) / 100.0 if text.endswith("%") else float(text)
    except ValueError:
        return math.nan


def _changes(session: Session, reading: CurveReading) -> tuple[dict[str, str | None], list[Fault]]:
    """The keys of the build that a curve sets."""
    curve = reading.curves[0]
    if session.what in ("known-curve", "dyno-sheet"):
        power = reading.kinds[1] == "power"
        key = "breathing.known_power" if power else "breathing.known_torque"
        other = "breathing.known_torque" if power else "breathing.known_power"
        changes: dict[str, str | None] = {
            "breathing.source": "known-curve",
            key: curve_text(reading, curve, "speed"),
            other: None,
            "breathing.volumetric_efficiency": None,
        }
        for fact in ("known_curve_at", "known_curve_air", "known_curve_pressure", "known_curve_temperature"):
            if session.fact(fact):
                changes[f"breathing.{fact}"] = session.fact(fact)
        return changes, []
    wanted = session.fact("key")
    if not wanted:
        return {}, []
    section, _, name = wanted.partition(".")
    found = [p for s in SECTIONS if s.name == section for p in s.parameters if p.name == name]
    if not found or not (found[0].curve or found[0].axis):
        message = "is no key of the build that takes a curve."
        return {}, [
            Fault(session.name, "key", wanted, message, "section.key, as breathing.volumetric_efficiency")
        ]
    parameter = found[0]
    axis = parameter.axis or "speed"
    expected = ("rotational_speed" if axis == "speed" else axis, parameter.kind)
    if reading.kinds != expected:
        message = f"takes {expected[1].replace('_', ' ')} over {expected[0].replace('_', ' ')}."
        return {}, [
            Fault(session.name, "key", wanted, message, "", "Name another key, or say what the axes are.")
        ]
    text = curve_text(reading, curve, axis, session.fact("value_basis"), parameter.axis_basis)
    return {wanted: text}, []


def _zero(value: float) -> float:
    return value if math.isfinite(value) else 0.0
