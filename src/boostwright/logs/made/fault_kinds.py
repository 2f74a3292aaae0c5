"""Faults that can be asked for: what goes wrong, what can be said of it, and what is taken where nothing is said."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["FAULT_KINDS", "FaultKind", "Said"]


@dataclass(frozen=True)
class Said:
    """Something that can be said of a fault.

    name     as it is written: ``by=4kPa``
    kind     kind of quantity; "same": that of the channel, "difference": a difference of it, "word": no number
    words    what it is
    default  in SI or as a word; None: worked out from the run, or different by kind of channel
    low, high  in SI, both allowed
    """

    name: str
    kind: str
    words: str
    default: float | str | None = None
    low: float = -1e12
    high: float = 1e12


@dataclass(frozen=True)
class FaultKind:
    """One way in which a log goes wrong.

    code     stable name
    words    what it is
    place    "signal" (what reaches the sensor), "sensor", "data" (what is stored) or "file"
    only     channels it can befall, by the beginning of their names; () for any
    said     what can be said of it
    """

    code: str
    words: str
    place: str
    only: tuple[str, ...] = ()
    said: tuple[Said, ...] = ()


_AT = Said("at", "time", "true time from which it is so; from the start where not said", 0.0, 0.0)
_UNTIL = Said("until", "time", "true time to which it is so; to the end where not said", float("inf"), 0.0)
_PRESSURE = ("pressure_", "boost", "fuel_pressure", "gate_pressure")
_PROBE = ("egt_reading",)
_LAMBDA = ("lambda", "air_fuel_ratio")

_LIST = (
    FaultKind(
        "offset",
        "reads too much by a fixed amount, or too little",
        "sensor",
        (),
        (Said("by", "difference", "how much too much"), _AT, _UNTIL),
    ),
    FaultKind(
        "scale",
        "reads too much by a factor: the wrong sensor is chosen in the logger",
        "sensor",
        (),
        (Said("by", "dimensionless", "the factor", 1.08, -100.0, 100.0), _AT, _UNTIL),
    ),
    FaultKind(
        "unit",
        "the numbers are in another unit than the header says",
        "data",
        (),
        (Said("to", "word", "the unit the numbers are in; another one of its kind where not said", ""),),
    ),
    FaultKind(
        "stuck",
        "stands still from a moment on",
        "data",
        (),
        (
            Said("at", "time", "true time from which it stands; 40 % of the run where not said", None, 0.0),
            _UNTIL,
        ),
    ),
    FaultKind(
        "clipped",
        "ends at a full scale that is too low",
        "sensor",
        (),
        (
            Said(
                "high",
                "same",
                "the full scale; four fifths of the way from its mean to its peak where not said",
            ),
        ),
    ),
    FaultKind(
        "noisy",
        "far more noise than it should have",
        "sensor",
        (),
        (Said("rms", "difference", "root mean square of the noise that is added", None, 0.0), _AT, _UNTIL),
    ),
    FaultKind(
        "drop-out",
        "drops out for moments: a loose plug",
        "data",
        (),
        (
            Said("share", "dimensionless", "share of the time", 0.03, 0.0, 1.0),
            Said("length", "time", "mean length of one", 0.4, 0.01, 1e4),
            Said("shows", "word", "what stands there then: empty, 0, 65535 or any number", "empty"),
            _AT,
            _UNTIL,
        ),
    ),
    FaultKind(
        "swapped",
        "two channels are in each other's place",
        "data",
        (),
        (Said("with", "word", "the other channel"),),
    ),
    FaultKind(
        "slow-probe",
        "a probe that is slower than it should be: a thicker sheath, soot",
        "sensor",
        (*_PROBE, "temperature_"),
        (Said("by", "dimensionless", "factor on its time constant", 4.0, 0.01, 1000.0),),
    ),
    FaultKind(
        "reversed-probe",
        "a thermocouple with its two wires the wrong way round: it falls as it gets hot",
        "sensor",
        _PROBE,
        (Said("junction", "temperature", "temperature at its plug", 308.15, 150.0, 700.0),),
    ),
    FaultKind(
        "blade-count",
        "the logger counts with another number of blades than the wheel has",
        "sensor",
        ("shaft_speed",),
        (
            Said("fitted", "dimensionless", "blades that the wheel has", 9.0, 1.0, 100.0),
            Said("counted", "dimensionless", "blades that the logger thinks it has", 7.0, 1.0, 100.0),
        ),
    ),
    FaultKind(
        "air-leak",
        "air is drawn into the exhaust ahead of the lambda probe: lean at low flow, less so under load",
        "signal",
        _LAMBDA,
        (Said("flow", "mass_flow", "air drawn in where the pipe has no pressure", 0.6e-3, 0.0, 1.0),),
    ),
    FaultKind(
        "leaky-line",
        "the line to the sensor leaks: it shows only part of the pressure above the air's",
        "signal",
        _PRESSURE,
        (
            Said("share", "dimensionless", "share that is shown", 0.75, 0.0, 1.0),
            Said("lag", "time", "lag that comes with it", 0.15, 0.0, 100.0),
        ),
    ),
    FaultKind(
        "gauge-absolute",
        "gauge is stored where the header says absolute, or the other way round",
        "sensor",
        _PRESSURE,
        (),
    ),
    FaultKind("no-barometer", "the air's pressure is not logged", "data", (), ()),
    FaultKind(
        "repeated-header",
        "the header stands again among the rows",
        "file",
        (),
        (Said("times", "dimensionless", "how often", 2.0, 1.0, 1000.0),),
    ),
    FaultKind("truncated-row", "the last row ends in the middle of a number", "file"),
    FaultKind(
        "clock-rolls-over",
        "the clock begins anew in the middle: at midnight where it is a clock, at the end of its counter elsewhere",
        "file",
        (),
        (Said("after", "time", "how long after the first row; half way where not said", None, 0.0),),
    ),
    FaultKind(
        "glued",
        "two logs in one file: the second begins with a header of its own and a clock at 0",
        "file",
        (),
        (
            Said(
                "after",
                "time",
                "where the first ends, after its first row; half way where not said",
                None,
                0.0,
            ),
        ),
    ),
    FaultKind("decimal-comma", "numbers have a decimal comma, and semicolons stand between them", "file"),
)

FAULT_KINDS: dict[str, FaultKind] = {kind.code: kind for kind in _LIST}
"""Every kind of fault by its code."""
