"""Instants of a log at which quantities are worked out: channels, facts of the car, and quantities by name.

A quantity stands at the samples of the slowest channel that goes into it, never between them. What changes with
weather and place only (``OF_THE_DAY``) sets no pace.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.facts import Facts, Number
from boostwright.logs.derived.instants import bent_between
from boostwright.logs.derived.samples import Sampled, Samples
from boostwright.logs.derived.uncertain import NOISE, Uncertain, exact, known

__all__ = ["OF_THE_DAY", "Missing", "Need", "Quantity", "Rows", "sensor_kind"]

Array = NDArray[np.float64]

OF_THE_DAY = frozenset({"pressure_amb", "temperature_amb", "humidity", "altitude"})
"""Channels that change with weather and place only: read between their samples however far apart they lie."""

_KINDS = (
    ("pressure_amb", "barometer"),
    ("pressure_em", "exhaust_pressure"),
    ("pressure_g", "exhaust_pressure"),
    ("pressure_4", "exhaust_pressure"),
    ("pressure_", "pressure"),
    ("boost", "pressure"),
    ("fuel_pressure", "exhaust_pressure"),
    ("injector_pressure_difference", "exhaust_pressure"),
    ("egt_reading", "exhaust_temperature"),
    ("temperature_", "temperature"),
    ("lambda", "lambda"),
    ("air_fuel_ratio", "lambda"),
    ("mass_flow_air", "air_meter"),
    ("mass_flow_fuel", "fuel_flow"),
    ("volume_flow_fuel", "fuel_flow"),
    ("injector_time", "injector_time"),
    ("engine_speed", "engine_speed"),
    ("shaft_speed", "shaft_speed"),
    ("vehicle_speed", "vehicle_speed"),
    ("torque", "torque"),
    ("power", "torque"),
    ("humidity", "humidity"),
)


_LAG_WINDOW = 2.0  # s over which a probe's rate of change is taken
_APART = (
    0.3  # of their lag by which probes of one set differ (own estimate); the rest is the same in all of them
)
_IN_SETS = ("egt_reading", "lambda", "air_fuel_ratio")
"""Channels whose number counts probes of a kind; that of a temperature names its station."""
_SLOWEST = 4.0  # times slower than at the highest flow, at the most: still gas cools a probe too
_USUAL_PRESSURE = {"pressure": 200e3, "exhaust_pressure": 250e3}
"""Kind of sensor -> pressure [Pa] at which its zero and its scale are worth the same."""


@dataclass(frozen=True)
class Need:
    """What is missing for a quantity: a channel by our name or a key of the build, and what would mend it."""

    what: str
    remedy: str = ""

    def __str__(self) -> str:
        """In words."""
        return f"{self.what} ({self.remedy})" if self.remedy else self.what


class Missing(Exception):
    """A quantity cannot be worked out here; never leaves this package."""

    def __init__(self, *needs: Need) -> None:
        """With all that is missing; with nothing where a quantity has no meaning for this engine."""
        super().__init__(", ".join(map(str, needs)))
        self.needs = needs


@dataclass(frozen=True)
class Quantity:
    """A quantity that follows from channels.

    name, unit (SI), words, basis   as in docs/reference/names.md
    formula   in symbols that the page docs/explain/derived-channels.md explains
    make      what works it out; raises Missing
    judged    False where its own band says nothing, such as the number of a cylinder
    """

    name: str
    unit: str
    words: str
    basis: str
    formula: str
    make: Callable[[Rows], Uncertain]
    judged: bool = True


def sensor_kind(name: str) -> str:
    """The kind of sensor behind a channel, a key of SENSOR_ERRORS."""
    return next((kind for head, kind in _KINDS if name.startswith(head)), "none")


def _known(time: Array, slope: Array) -> tuple[Array, Array]:
    """Instants whose slope is known, and the slope; none anywhere where it is known nowhere."""
    good = np.isfinite(slope)
    return (time[good], slope[good]) if good.any() else (np.zeros(1), np.zeros(1))


class Rows:
    """Some instants of a log."""

    def __init__(
        self,
        samples: Samples,
        facts: Facts,
        catalogue: Mapping[str, Quantity],
        time: Array,
        air_route: str = "",
    ) -> None:
        """For instants ``time`` (n,) [s]; ``air_route``: by which route the air flow is taken, '' for none."""
        self.samples, self.facts, self.time, self.air_route = samples, facts, time, air_route
        self.touched: set[str] = set()
        self.went_round = False  # whether a quantity was asked for while it was being worked out
        self._catalogue = catalogue
        self._under_way: set[str] = set()
        self._made: dict[str, tuple[Uncertain | Missing, frozenset[str]]] = {}

    def get(self, name: str) -> Uncertain:
        """A quantity of the catalogue at these instants. Raises Missing."""
        if name not in self._made:
            outside, self.touched = self.touched, set()
            self._made[name] = Missing(Need(name, "it would need itself")), frozenset()
            self._under_way.add(name)
            found: Uncertain | Missing
            try:
                found = self._catalogue[name].make(self)
            except Missing as missing:
                found = missing
            self._under_way.discard(name)
            self._made[name] = found, frozenset(self.touched)
            self.touched = outside
        self.went_round |= name in self._under_way
        found, touched = self._made[name]
        if isinstance(found, Missing):
            raise found
        self.touched |= touched
        return found

    def can(self, name: str) -> bool:
        """True where a quantity of the catalogue can be worked out."""
        try:
            self.get(name)
        except Missing:
            return False
        return True

    def first(self, *ways: Callable[[], Uncertain]) -> Uncertain:
        """The first way that can be gone. Raises Missing with what the first ones lack."""
        lacking: list[Need] = []
        before = set(self.touched)
        for way in ways:
            try:
                return way()
            except Missing as missing:
                lacking += missing.needs
                self.touched = set(before)
        raise Missing(*dict.fromkeys(lacking))

    def has(self, name: str) -> bool:
        """True where the log has a channel."""
        return self.samples.find(name) is not None

    def channel(self, name: str) -> Uncertain:
        """A channel as logged, with its sensor's error and its noise. Raises Missing."""
        sampled = self.samples.find(name)
        if sampled is None:
            raise Missing(Need(f"channel {name}"))
        self.touched.add(name)
        value = sampled.at(self.time, anywhere=name in OF_THE_DAY)
        found = self.with_sensor_error(name, value).with_error(f"{NOISE}{name}", sampled.noise)
        if name not in OF_THE_DAY:
            found = self._at_its_instant(found, name, sampled)
        late = self.facts.lags.get(sensor_kind(name))
        if late is None or name in OF_THE_DAY:
            return found
        window = min(_LAG_WINDOW, late)
        near = sampled.around(self.time, window)
        slope, error = near.slopes(window)
        slope = np.sign(slope) * np.hypot(slope, error)  # a slope that noise hides may be that steep
        moved = late * self._thinner(name) * np.interp(self.time, *_known(near.time, slope))
        moved = moved / np.sqrt(3.0)
        kind, _, number = name.rpartition("_")
        if not number.isdigit() or kind not in _IN_SETS:
            return found.with_error(f"lag of {name}", moved)
        found = found.with_error(f"lag of {kind}", np.sqrt(1.0 - _APART**2) * moved)
        return found.with_error(f"lag of {name}", _APART * moved)

    def _thinner(self, name: str) -> float | Array:
        """By how much an exhaust probe is slower at these instants than at the log's highest flow (n,); 1 for others.

        Heat goes to a cylinder across the stream with the root of its mass flow (Scadron and Warshawsky, NACA TN 2599,
        from memory); the flow goes here as engine speed times manifold pressure.
        """
        speed, pressure = self.samples.find("engine_speed"), self.samples.find("pressure_im")
        if sensor_kind(name) != "exhaust_temperature" or speed is None:
            return 1.0
        flow = speed.at(self.time, anywhere=True)
        if pressure is not None and pressure.basis == "absolute":
            flow = flow * pressure.at(self.time, anywhere=True)
        highest = self.samples.once("highest flow", self._highest_flow)
        if highest <= 0.0:
            return 1.0
        return np.asarray(np.sqrt(1.0 / np.clip(flow / highest, 1.0 / _SLOWEST**2, 1.0)))

    def _highest_flow(self) -> float:
        """Engine speed times manifold pressure at the most; engine speed alone where no such pressure is absolute."""
        speed, pressure = self.samples.find("engine_speed"), self.samples.find("pressure_im")
        if speed is None:
            return 0.0
        most = speed.value
        if pressure is not None and pressure.basis == "absolute":
            most = most * pressure.at(speed.time, anywhere=True)
        return float(np.max(most))

    def _at_its_instant(self, found: Uncertain, name: str, sampled: Sampled) -> Uncertain:
        """With what a channel moves between the instant of its sample and the one it stands for."""
        near = sampled.around(self.time)
        bent = bent_between(near.sampling, self.time)
        stamp = sampled.sampling.stamp_error
        if stamp > 0.0:
            bent = np.hypot(bent, stamp * np.interp(self.time, near.time, near.rates))
        if np.any(bent > 0.1 * sampled.noise):
            found = found.with_error(f"{NOISE}the instant of {name}", bent)
        if sampled.age == 0.0:
            return found
        moved = sampled.age * np.interp(self.time, near.time, near.rates)
        found = found.with_error("age of a row, its channels asked in turn", 0.5 * moved)
        return found.with_error(f"age of {name} in its row", moved / np.sqrt(12.0))

    def with_sensor_error(self, name: str, value: Array) -> Uncertain:
        """Readings (n,) of a channel's sensor with its error at rest.

        Half the variance of a pressure sensor's is in its zero and half in its scale at a usual pressure, so that what
        it reads with the engine at rest takes away its zero from every other reading, and not its scale.
        """
        kind = sensor_kind(name)
        error = self.facts.errors[kind]
        if kind in _USUAL_PRESSURE:
            half = error.absolute * np.sqrt(0.5)
            found = known(f"zero of {name}", value, half, self.time)
            scale = half / _USUAL_PRESSURE[kind] + error.share
            return found.with_error(f"scale of {name}", scale * np.abs(value) / np.sqrt(3.0))
        reading = value - 273.15 if kind.endswith("temperature") else value
        largest = np.maximum(error.absolute, error.share * np.abs(reading))
        return known(f"error of {name}", value, largest, self.time)

    def basis(self, name: str) -> str:
        """Basis of a channel that is there."""
        sampled = self.samples.find(name)
        return "" if sampled is None else sampled.basis

    def fact(self, name: str, number: Number) -> Uncertain:
        """A number known of the car."""
        return known(name, number.value, number.largest, self.time)

    def number(self, name: str, value: float | Array, largest: float | Array = 0.0) -> Uncertain:
        """A number with the largest error it can have; ``name`` names that error."""
        if np.all(np.asarray(largest) == 0.0):
            return exact(value, self.time)
        return known(name, value, largest, self.time)

    def along(self, name: str, speed: Uncertain, speeds: Array, values: Array, largest: Array) -> Uncertain:
        """A curve over engine speed (k,), read at the speed, with the largest error it can have (k,)."""
        found = np.interp(speed.value, speeds, values)
        return known(name, found, np.interp(speed.value, speeds, largest), self.time)

    def mean(self, names: Sequence[str]) -> Uncertain:
        """The mean of several channels."""
        from boostwright.logs.derived.uncertain import through

        all_of_them = [self.channel(name) for name in names]
        return through(lambda *values: np.mean(values, axis=0), *all_of_them)
