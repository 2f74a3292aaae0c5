"""The records of the sensor checks: a fault, its evidence, where it stands, and a check that could not be made."""

from __future__ import annotations

from dataclasses import dataclass

from boostwright.logs.sensor_checks.certainty import in_words

__all__ = ["CODES", "Evidence", "NotMade", "SensorFault", "SensorReport", "Where"]

CODES: dict[str, str] = {
    "dropped-out": "no reading, or a jump to a rail and back",
    "stuck": "constant while its causes move",
    "clipped": "flat at an extreme while its causes go on",
    "noisy": "more scatter than what it measures can have",
    "spikes": "single readings far from their neighbours",
    "gauge-absolute": "gauge taken as absolute, or absolute as gauge",
    "unit": "the numbers fit another unit",
    "offset": "reads a fixed amount too high or too low",
    "scale": "reads by a factor too high or too low",
    "swapped": "two channels with each other's names",
    "blade-count": "shaft speed by the wrong number of blades or pulses",
    "reversed-thermocouple": "falls where it should rise: its two wires are exchanged",
    "slow-thermocouple": "answers far later than a probe of usual size",
    "no-response": "does not answer what it measures",
    "impossible": "readings that cannot stand beside each other",
    "lambda-range": "lambda outside what burns at load",
    "air-leak": "lean where little gas flows: air is drawn in ahead of the probe",
    "routes-apart": "air flow by two routes differs",
}
"""Code of a fault -> what it means."""


@dataclass(frozen=True)
class Evidence:
    """A number a fault stands on.

    words  what it is
    value  in SI; ``unit`` "Pa", "K", "rad/s", "m/s", "kg/s", "s", "1/s" or "1"
    step   True for a difference of two readings, which in kelvin is not a temperature
    """

    words: str
    value: float
    unit: str = "1"
    step: bool = False


@dataclass(frozen=True)
class Where:
    """Where in a log: first and last time [s], lowest and highest engine speed [rad/s] (NaN where not logged)."""

    start: float
    end: float
    speed_low: float
    speed_high: float


@dataclass(frozen=True)
class SensorFault:
    """A fault of one sensor, or of one of two.

    code       one of ``CODES``
    channels   the channel; two or three where any of them explains it
    what       what is wrong, a sentence
    certainty  0.5 to 1, by the rule of ``certainty``
    where      where it was seen
    evidence   numbers
    physics    why that cannot be, a sentence
    others     what else could cause it
    check      what to check, and what would split the explanations
    """

    code: str
    channels: tuple[str, ...]
    what: str
    certainty: float
    where: Where
    evidence: tuple[Evidence, ...]
    physics: str
    others: tuple[str, ...]
    check: str

    @property
    def sure(self) -> str:
        """The certainty in words."""
        return in_words(self.certainty)


@dataclass(frozen=True)
class NotMade:
    """A check that could not be made.

    check    what it is
    missing  channels or facts it waits for, () where the log has no stretch for it
    why      why, a sentence
    """

    check: str
    missing: tuple[str, ...]
    why: str


@dataclass(frozen=True)
class SensorReport:
    """The faults of a log, most certain first, and the checks.

    faults    most certain first
    made      checks that were made, in words
    not_made  checks that could not be
    notes     what else to know: which air pressure was taken, and the like
    """

    faults: tuple[SensorFault, ...]
    made: tuple[str, ...]
    not_made: tuple[NotMade, ...]
    notes: tuple[str, ...] = ()
