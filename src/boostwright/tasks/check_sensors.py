"""Trust no sensor: what is doubtful in the sensors of a log, most certain first, and what could not be checked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from boostwright.build.build import Build
from boostwright.cards.card import Card
from boostwright.components.compressor_from_build import compressor_of_build
from boostwright.errors import BoostwrightError
from boostwright.logs.derived.facts import Facts
from boostwright.logs.sensor_checks.facts import SensorFacts, SpeedLines
from boostwright.logs.sensor_checks.records import CODES, Evidence, NotMade, SensorFault, SensorReport, Where
from boostwright.logs.sensor_checks.run import check_sensors as check_channels
from boostwright.logs.sensor_checks.tolerances import TOLERANCES, Tolerance
from boostwright.physics.gas import fuel as fuel_relations
from boostwright.physics.turbo.corrected import REFERENCE_PRESSURE, REFERENCE_TEMPERATURE
from boostwright.tasks.derive_model import facts_for, prediction_for
from boostwright.tasks.find_pulls import facts_of_build as pull_facts_of_build
from boostwright.tasks.log_place import LogPlace
from boostwright.tasks.ready import cards_of

__all__ = [
    "CODES",
    "TOLERANCES",
    "CheckedSensors",
    "Evidence",
    "NotMade",
    "PartSensors",
    "SensorFault",
    "SensorReport",
    "Tolerance",
    "Where",
    "check_sensors",
    "facts_of_build",
]

_OWN_ERRORS = {
    "barometer": ("pressure_amb",),
    "pressure": ("pressure_im", "boost", "pressure_1_static", "pressure_2_static", "pressure_bp_static"),
    "exhaust_pressure": ("pressure_em_static", "pressure_g_static", "pressure_4_static"),
    "temperature": (
        "temperature_amb",
        "temperature_1",
        "temperature_2",
        "temperature_bp",
        "temperature_im",
        "temperature_coolant",
        "temperature_oil",
    ),
    "lambda": ("lambda",),
}
"""Key of [sensor_errors] -> channels it speaks of."""


@dataclass(frozen=True)
class PartSensors:
    """The answer for one part of a log.

    part    its number
    report  faults, and checks that were made and could not be
    """

    part: int
    report: SensorReport


@dataclass(frozen=True)
class CheckedSensors:
    """The answer for a log.

    log        name of the file it came from; folder: where it is stored, '' where it was read for this answer only
    build      name of the build that was asked too, '' for none
    parts      an answer for each part that was looked at
    notes      what to know of the log itself
    questions  columns that wait for an answer and so could not be checked
    """

    log: str
    folder: str
    build: str
    parts: tuple[PartSensors, ...]
    notes: tuple[str, ...]
    questions: tuple[str, ...]

    @property
    def faults(self) -> tuple[SensorFault, ...]:
        """The faults of all parts, most certain first."""
        found = [fault for one in self.parts for fault in one.report.faults]
        return tuple(sorted(found, key=lambda fault: -fault.certainty))


def check_sensors(place: LogPlace, part: int = 0) -> CheckedSensors:
    """Check the sensors of a log.

    place  the log, as ``open_log_place`` gives it; the map, the displacement and your own errors come from its build
    part   the part to look at; 0 for all
    A log in which nothing can be checked is an answer, with its reasons. Raises LogError where there is no such part
    or the stored log cannot be read.
    """
    facts, notes = (SensorFacts(), ()) if place.build is None else facts_of_build(place.build)
    if part:
        place.of_part(part)
    wanted = (part,) if part else place.parts
    parts = tuple(PartSensors(one, check_channels(place.of_part(one).channels, facts)) for one in wanted)
    asked = tuple(p.column for p in place.questions if p.part in wanted)
    told = tuple(note for note in place.notes if "clocks of their own" not in note)
    return CheckedSensors(
        place.name,
        str(place.folder) if place.kept else "",
        place.build.folder.resolve().name if place.build is not None else "",
        parts,
        (*told, *notes),
        tuple(dict.fromkeys(asked)),
    )


def facts_of_build(build: Build) -> tuple[SensorFacts, tuple[str, ...]]:
    """What a build says that the checks can use, and what of it could not be read."""
    engine, ambient = build["engine"], build["ambient"]
    bore, stroke, count = engine.si("bore"), engine.si("stroke"), engine.integer("cylinders")
    notes: list[str] = []
    cards: dict[str, Card] = {}
    try:
        cards = cards_of(build)
    except BoostwrightError as error:
        notes.append(f"The build's cards cannot be read ({str(error).splitlines()[0]}): its map is not used.")
    return (
        SensorFacts(
            displacement=float(np.pi / 4.0 * bore * bore * stroke * count),
            stoichiometric_ratio=_stoichiometric(cards.get("fuel")),
            barometer=ambient.si("pressure") if ambient.has("pressure") else None,
            full_scale=_full_scale(build),
            tolerance=_own_errors(build),
            blades=_blades(build),
            speed_lines=_speed_lines(build, cards.get("compressor"), notes),
            spark_ignited=True,
            car=_car(build, notes),
            gears=pull_facts_of_build(build).gears,
        ),
        tuple(notes),
    )


def _car(build: Build, notes: list[str]) -> Facts | None:
    """What the derived quantities take from the build, so that both commands weigh the same routes alike."""
    try:
        return facts_for(build, prediction_for(build), "")
    except BoostwrightError as error:
        notes.append(
            f"The build cannot be predicted ({str(error).splitlines()[0]}): its filling is not used."
        )
        return None


def _stoichiometric(card: Card | None) -> float | None:
    if card is None:
        return None
    return float(
        fuel_relations.stoichiometric_air_fuel_ratio(
            card.si("hydrogen_per_carbon"), card.si("oxygen_per_carbon")
        )
    )


def _full_scale(build: Build) -> dict[str, float]:
    section = build["sensors"]
    return (
        {"pressure_im": section.si("manifold_pressure_highest")}
        if section.has("manifold_pressure_highest")
        else {}
    )


def _blades(build: Build) -> int | None:
    section = build["sensors"]
    return section.integer("turbo_speed_blades") if section.has("turbo_speed_blades") else None


def _own_errors(build: Build) -> dict[str, float]:
    section = build["sensor_errors"]
    return {
        channel: section.si(key)
        for key, channels in _OWN_ERRORS.items()
        if section.has(key)
        for channel in channels
    }


def _speed_lines(build: Build, card: Card | None, notes: list[str]) -> SpeedLines | None:
    """The compressor's lines, with how well they are known."""
    if build["prediction"].text("mode") == "no-turbo":
        return None
    if card is None and build["compressor"].text("given_as") != "wheel":
        return None
    try:
        surface = compressor_of_build(build["compressor"], card)
    except BoostwrightError as error:
        notes.append(f"The build's compressor cannot be used ({str(error).splitlines()[0]}).")
        return None
    lines = surface.lines
    return SpeedLines(
        np.concatenate([np.full(line.flow.size, line.speed) for line in lines]),
        np.concatenate([line.flow for line in lines]),
        np.concatenate([line.pressure_ratio for line in lines]),
        REFERENCE_TEMPERATURE,
        REFERENCE_PRESSURE,
        # speed goes with the root of head
        max(0.06, 0.5 * float(surface.known.pressure)),
    )
