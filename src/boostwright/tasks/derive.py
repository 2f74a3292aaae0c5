"""Derive: what follows from the channels of a log, each quantity with its formula, its band and what it lacks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.errors import BoostwrightError
from boostwright.logs.derived.agreement import Agreement, agreements, within
from boostwright.logs.derived.air_flow import ROUTES
from boostwright.logs.derived.catalogue import CATALOGUE, Derived, NotMade, WorkedOut, work_out_samples
from boostwright.logs.derived.facts import SENSOR_ERRORS, SENSOR_LAGS, Day, Facts, Number, WeatherFacts
from boostwright.logs.derived.keep import bases_of, keep_derived
from boostwright.logs.derived.load_of_log import load_of_log
from boostwright.logs.derived.rows import OF_THE_DAY, Need
from boostwright.logs.derived.samples import Samples
from boostwright.logs.derived.uncertain import BAND
from boostwright.logs.pulls.records import Pull
from boostwright.logs.records import LogError
from boostwright.logs.series import Channels
from boostwright.solve.operating_point import Prediction
from boostwright.tasks.bands_result import BandValues
from boostwright.tasks.derive_doubts import barometer_note, doubt_notes
from boostwright.tasks.derive_model import facts_for, on_the_day, prediction_for
from boostwright.tasks.find_pulls import find_pulls
from boostwright.tasks.log_place import LogPlace
from boostwright.tasks.uncertainty import predict_bands_of_build

__all__ = [
    "CATALOGUE",
    "ROUTES",
    "SENSOR_ERRORS",
    "SENSOR_LAGS",
    "DeriveRequest",
    "DeriveResult",
    "Derived",
    "Figure",
    "Need",
    "NotMade",
    "bases_of",
    "derive",
    "figure_of",
    "is_vague",
    "keep",
    "told_rows",
    "within",
    "work_out_log",
]

Array = NDArray[np.float64]

_GIVEN = "given"
_STEEPEST = 0.3
"""Of roads: the steepest streets of the world are little more (common practice)."""
_SLOPE_ERROR = 0.005
"""By which a stated slope of a road can be off; own estimate: roads are not even."""
_BAND_SAMPLES = 200
_VAGUE = {
    "compressor_efficiency": 0.25,
    "compressor_power": 0.5,
    "cooler_effectiveness": 0.25,
    "cooler_loss_coefficient": 0.5,
}
"""Share of its value from which on a band makes a figure none, of quantities that are never near zero by themselves."""
_AT_MOST_ONE = ("compressor_efficiency", "cooler_effectiveness")
_CORRECTIONS = ("sae-j1349", "iso-1585", "din-70020")


@dataclass(frozen=True)
class DeriveRequest:
    """What is asked for.

    pressure [Pa] absolute, temperature [K], humidity [-] of the day where the user says them, None where not
    slope       [-] of the road, rise over way, where the user says it; else from a logged height, else level
    load        what the engine pulls: 'road', or 'roller' without a brake; '' takes what the log shows
                (``load_of_log``), else the build's dyno.kind
    correction  standard to correct power by, '' for the build's
    bands       whether the prediction beside the log carries its band
    model       False leaves out everything that needs the build's model
    """

    pressure: float | None = None
    temperature: float | None = None
    humidity: float | None = None
    slope: float | None = None
    load: str = ""
    correction: str = ""
    bands: bool = False
    model: bool = True


@dataclass(frozen=True)
class Figure:
    """A quantity over the pulls, over the whole log where there are none; SI.

    middle, least, most  median and ends of its values; band: by which the median can be off, 90 %, to either side
    rows                 that this rests on
    settled              True where these are only those in which a probe had settled enough to say something
    sources              of the band, the largest first, each with its share [-] of the variance
    """

    middle: float
    least: float
    most: float
    band: float
    rows: int
    sources: tuple[tuple[str, float], ...]
    settled: bool = False


@dataclass(frozen=True)
class DeriveResult:
    """What a log gives.

    place       the log
    worked      quantities made and not made
    figures     name -> figure over the pulls
    agreements  of the routes to the air flow, over the pulls
    pulls       that were found
    prediction  of the build in the air of that day, None without a build or where it cannot be predicted
    bands       of the prediction by quantity, empty where not asked for
    notes       what a reader must know, sentences
    engine_speed  its samples, time [s] and speed [rad/s]; None where it is not logged
    """

    place: LogPlace
    worked: WorkedOut
    figures: Mapping[str, Figure]
    agreements: tuple[Agreement, ...]
    pulls: tuple[Pull, ...]
    prediction: Prediction | None
    bands: Mapping[str, BandValues] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    engine_speed: tuple[Array, Array] | None = None

    @property
    def stretches(self) -> tuple[tuple[float, float], ...]:
        """(begin, end) [s] of the pulls."""
        return tuple((pull.start, pull.end) for pull in self.pulls)


def derive(place: LogPlace, request: DeriveRequest | None = None) -> DeriveResult:
    """Work out what follows from the channels of a log.

    place  the log, opened; its build, where it has one, gives volumes, maps, bores and what the model expects
    Raises LogError where the request cannot be.
    """
    request = request or DeriveRequest()
    _refuse(request)
    samples = Samples(place.channels)
    notes = list(place.notes)
    if place.build is None:
        notes.append("No build: what needs bores, maps, fuel or the engine's size cannot be worked out.")
    facts, prediction, model_notes = _facts(place.build, samples, request)
    notes += model_notes
    worked = work_out_samples(samples, replace(facts, timed=place.timed))
    notes = [*doubt_notes(place, worked.made.values()), *barometer_note(place, worked.made), *notes]
    pulls = find_pulls(place, part=place.part).pulls
    stretches = [(pull.start, pull.end) for pull in pulls]
    if not stretches:
        notes.append("No pull was found: medians are those of the whole log.")
    bands: Mapping[str, BandValues] = {}
    if request.bands and prediction is not None and place.build is not None:
        day = on_the_day(place.build, _day_of_log(place.build, samples, request))
        bands = predict_bands_of_build(day, samples=_BAND_SAMPLES).bands
    engine = samples.find("engine_speed")
    figures = {name: figure_of(one, stretches) for name, one in worked.made.items()}
    return DeriveResult(
        place=place,
        worked=worked,
        figures={name: one for name, one in figures.items() if one is not None},
        agreements=agreements(worked.made, stretches),
        pulls=pulls,
        prediction=prediction,
        bands=bands,
        notes=tuple(notes),
        engine_speed=None if engine is None else (engine.time, engine.value),
    )


def work_out_log(build: Build, channels: Channels, request: DeriveRequest | None = None) -> WorkedOut:
    """The quantities alone, of channels in memory: no pulls, no doubts, no files. Raises as ``derive``."""
    request = request or DeriveRequest()
    _refuse(request)
    samples = Samples(channels)
    facts, _, _ = _facts(build, samples, request)
    return work_out_samples(samples, facts)


def keep(result: DeriveResult, folder: Path, texts: Mapping[str, str]) -> tuple[Path, ...]:
    """Write a result beside its log, whole or not at all: Parquet by time base, and further texts by name."""
    return keep_derived(folder, result.worked, texts)


def figure_of(derived: Derived, stretches: Sequence[tuple[float, float]]) -> Figure | None:
    """A quantity over some stretches, None where it has no value there.

    Of a quantity that is vague where a probe still lags, only the rows count that are worth drawing, if there are any.
    """
    result = derived.result
    if not derived.pace or derived.pace in OF_THE_DAY:
        stretches = ()  # what is stated, or changes with the weather, holds for all of the log
    rows = within(derived.time, stretches, derived.period) & np.isfinite(result.value)
    settled = False
    if derived.quantity.name in _VAGUE and (told := rows & told_rows(derived)).any():
        settled = bool((rows & ~told).any())
        rows = told
    count = int(rows.sum())
    if not count:
        return None
    values = result.value[rows]
    common = float(np.median(result.sigma_of_log[rows]))
    single = float(np.median(result.sigma_of_rows[rows])) / np.sqrt(count)
    return Figure(
        middle=float(np.median(values)),
        least=float(values.min()),
        most=float(values.max()),
        band=BAND * float(np.hypot(common, single)),
        rows=count,
        sources=result.only(rows).largest(),
        settled=settled,
    )


def is_vague(name: str, figure: Figure) -> bool:
    """True where a figure's band is so wide that it is no figure: it is named, and neither printed nor drawn."""
    return name in _VAGUE and figure.band > _VAGUE[name] * abs(figure.middle)


def told_rows(derived: Derived) -> NDArray[np.bool_]:
    """(n,) True for the rows that are no more vague than a figure may be: those that are worth drawing.

    An efficiency over 1 is none either: its probe lags, whatever the band says.
    """
    result = derived.result
    told = np.isfinite(result.value)
    if derived.quantity.name in _VAGUE:
        with np.errstate(invalid="ignore"):
            told &= BAND * result.sigma <= _VAGUE[derived.quantity.name] * np.abs(result.value)
            if derived.quantity.name in _AT_MOST_ONE:
                told &= result.value <= 1.0
    return np.asarray(told)


def _refuse(request: DeriveRequest) -> None:
    if request.correction and request.correction not in _CORRECTIONS:
        raise LogError.of(
            "--correction",
            "is no standard known here.",
            f"one of {', '.join(_CORRECTIONS)}",
            request.correction,
        )
    if request.load not in ("", "road", "roller"):
        raise LogError.of("--load", "is neither road nor roller.", "say which", request.load)
    if request.slope is not None and not abs(request.slope) <= _STEEPEST:
        raise LogError.of(
            "--slope",
            f"is steeper than {100 * _STEEPEST:.0f} %.",
            'rise over way along the road, "6 %"; downhill is negative',
            f"{100 * request.slope:.4g} %",
        )


def _given(request: DeriveRequest) -> Day:
    """What the user says of the day."""

    def number(value: float | None, largest: float) -> Number | None:
        return None if value is None else Number(value, largest, f"{_GIVEN} by the user")

    return Day(
        number(request.pressure, 200.0), number(request.temperature, 1.5), number(request.humidity, 0.1)
    )


def _facts(
    build: Build | None, samples: Samples, request: DeriveRequest
) -> tuple[Facts, Prediction | None, list[str]]:
    """Facts for the log, the prediction of the day, and what could not be had of the model."""
    given = _given(request)
    if build is None:
        weather = WeatherFacts(request.correction, True, np.empty(0), np.empty(0))
        return Facts(day=given, load=request.load, weather=weather), None, []
    notes: list[str] = []
    day = _day_of_log(build, samples, request)
    here = on_the_day(build, day)
    prediction: Prediction | None = None
    if request.model:
        try:
            prediction = prediction_for(here)
        except BoostwrightError as error:
            notes.append(f"The build cannot be predicted, so nothing of the model is used: {error}")
    facts = facts_for(here, prediction, request.load)
    stated = facts.day
    if request.slope is not None and facts.vehicle is not None:
        uphill = Number(request.slope, _SLOPE_ERROR, "as stated")
        facts = replace(facts, vehicle=replace(facts.vehicle, slope=uphill))
    load, why = (request.load, "") if request.load else load_of_log(samples, facts)
    facts = replace(
        facts,
        load=load,
        load_words=why,
        day=Day(
            given.pressure or stated.pressure,
            given.temperature or stated.temperature,
            given.humidity or stated.humidity,
        ),
    )
    if request.correction and facts.weather is not None:
        facts = replace(facts, weather=replace(facts.weather, method=request.correction))
    return facts, prediction, notes


def _day_of_log(build: Build, samples: Samples, request: DeriveRequest) -> Day:
    """The air of the day as given, as logged, or as the build has it."""
    given = _given(request)
    facts = Facts(day=given)
    found = {}
    for name in ("pressure_amb", "temperature_amb"):
        made = work_out_samples(samples, facts, [name]).made.get(name)
        figure = figure_of(made, ()) if made is not None else None
        if figure is not None:
            found[name] = Number(figure.middle, figure.band, "of the log")
    return Day(found.get("pressure_amb"), found.get("temperature_amb"), given.humidity)
