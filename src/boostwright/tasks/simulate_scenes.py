"""Scenarios of a simulated day: what is done in which order, drawn differently from each seed.

Spans and speeds are chosen so that a stretch either is a pull by any reading of the word or plainly is none.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from boostwright.logs.made.readings import stream

__all__ = ["ON_THE_ROAD", "SCENARIOS", "Car", "Scene", "scenes_of"]

_RPM = np.pi / 30.0
_BRAKES = 900.0 * _RPM  # rad/s2 by which the brakes slow the engine in gear, own estimate


@dataclass(frozen=True)
class Car:
    """What a scenario has to know of the car.

    load         "roller", "hub" or "road": what takes the load on a dyno
    ratios       of the gears, first gear first; () where they are not known: pulls are done on a brake, in gear 0
    idle, highest  engine speeds [rad/s], the highest one that is driven to
    ramp         usual rise of speed on a hub or engine brake [rad/s2]
    drives       True where the build says enough of the car to set off by itself
    """

    load: str
    ratios: tuple[float, ...]
    idle: float
    highest: float
    ramp: float
    drives: bool = True

    @property
    def gears(self) -> int:
        """Number of gears."""
        return len(self.ratios)


@dataclass(frozen=True)
class Scene:
    """One thing that is done.

    kind      "key-on", "idle", "hold", "pull", "part-throttle", "lift", "gear-change", "coast", "cruise"
    means     how speed comes about: "key-on", "idle", "hold", "brake", "roller", "road" or "gear-change"
    duration  [s] at the most; pedal 0 to 1, or from and to over the scene
    gear      0 for none; speed: held [rad/s]; end_speed: it ends when speed passes this [rad/s]
    ramp      [rad/s2] of a brake
    slip      share by which the driven wheels outrun the road or roller in the middle of it
    why_not   why it is no pull though it resembles one
    slope     rise over way of the road, uphill positive; where means is "road"
    """

    kind: str
    means: str
    duration: float
    pedal: float | tuple[float, float] = 0.0
    gear: int = 0
    speed: float = 0.0
    end_speed: float = 0.0
    ramp: float = 0.0
    slip: float = 0.0
    why_not: str = ""
    slope: float = 0.0


class _Day:
    """A scenario as it is put together."""

    def __init__(self, car: Car, random: np.random.Generator) -> None:
        self.car, self.random = car, random
        self.scenes: list[Scene] = []
        self.in_gear, self.slope = 0, 0.0

    def draw(self, low: float, high: float) -> float:
        """A number between two."""
        return float(self.random.uniform(low, high))

    def whole(self, low: int, high: int) -> int:
        """A whole number from ``low`` to one below ``high``."""
        return int(self.random.integers(low, high))

    def add(self, *scenes: Scene) -> None:
        """What is done next, on the road as steep as it is there."""
        self.scenes += [replace(one, slope=self.slope) if one.means == "road" else one for one in scenes]
        for scene in scenes:
            self.in_gear = 0 if scene.means in ("key-on", "idle") else scene.gear or self.in_gear

    def start(self) -> None:
        """Key on, then idle."""
        self.add(Scene("key-on", "key-on", self.draw(4.0, 8.0)), Scene("idle", "idle", self.draw(6.0, 12.0)))

    def idle(self) -> None:
        """Out of gear, the engine idling; the car is brought near rest first, out of gear it would roll on."""
        if self.car.drives and self.in_gear > 0:
            _stop(self)
        self.add(Scene("idle", "idle", self.draw(4.0, 9.0)))

    def gear(self) -> int:
        """A gear that pulls are done in: the third or fourth; 0 on an engine's own brake."""
        drawn = min(self.car.gears, self.whole(3, 5))
        return 0 if self.car.load == "engine" else drawn

    @property
    def rolling(self) -> str:
        """How the wheels are set going."""
        return "roller" if self.car.load == "roller" else "road"

    def reach(
        self, gear: int, speed: float, seconds: tuple[float, float], pedal: tuple[float, float]
    ) -> None:
        """A speed held in a gear at part throttle, come to as a driver would: through the gears, never jumping."""
        if self.car.drives and self.in_gear == 0:
            _set_off(self, gear)
        elif self.car.drives and self.in_gear != gear:
            _change(self, gear, speed)
        self.add(Scene("hold", "hold", self.draw(*seconds), self.draw(*pedal), gear, speed=speed))


def scenes_of(scenario: str, car: Car, seed: int) -> tuple[Scene, ...]:
    """The scenes of a scenario; ``scenario`` is one of SCENARIOS."""
    day = _Day(car, stream(seed, "scenario", scenario))
    SCENARIOS[scenario][1](day)
    return tuple(day.scenes)


def _set_off(day: _Day, gear: int) -> None:
    """From rest up to a gear with little pedal."""
    for now in range(1, gear + 1):
        if now > 1:
            day.add(Scene("gear-change", "gear-change", day.draw(0.5, 0.8), 0.0, now))
        end = day.car.highest * day.draw(0.36, 0.44)
        day.add(
            Scene("cruise", day.rolling, 6.0 if now < gear else 2.0, day.draw(0.25, 0.4), now, end_speed=end)
        )


def _stop(day: _Day) -> None:
    """By the brakes down to walking pace, in the gear that is in and then in the first."""
    slow = 1.2 * day.car.idle
    if day.in_gear > 1:
        day.add(
            Scene("coast", "brake", 8.0, 0.0, day.in_gear, end_speed=slow, ramp=-_BRAKES),
            Scene("gear-change", "gear-change", 0.5, 0.0, 1),
            Scene("coast", day.rolling, 0.8, 0.0, 1),
        )
    day.add(Scene("coast", "brake", 8.0, 0.0, 1, end_speed=1.05 * day.car.idle, ramp=-_BRAKES))


def _change(day: _Day, gear: int, speed: float) -> None:
    """To another gear: the brakes slow the car until that gear brings the engine near ``speed``, then the change."""
    ratios = day.car.ratios
    before = max(speed * ratios[day.in_gear - 1] / ratios[gear - 1], 1.15 * day.car.idle)
    if gear < day.in_gear:  # up a gear the engine only turns slower
        day.add(Scene("coast", "brake", 8.0, 0.0, day.in_gear, end_speed=before, ramp=-_BRAKES))
    day.add(
        Scene("gear-change", "gear-change", day.draw(0.4, 0.7), 0.0, gear),
        Scene("cruise", day.rolling, day.draw(0.8, 1.5), 0.2, gear),
    )


def _one_pull(day: _Day) -> None:
    """Key on, idle, one pull, and the lift-off behind it."""
    day.add(Scene("key-on", "key-on", 5.0), Scene("idle", "idle", 6.0))
    gear = 0 if day.car.load == "engine" else min(3, day.car.gears)
    _dyno_pull(day, gear, 0.30 * day.car.highest, day.car.highest, 1.0)
    day.idle()


def _dyno_day(day: _Day) -> None:
    """Pulls on a roller or a brake with cool-downs between, one of them lifted, and a run at part throttle."""
    day.start()
    gear = day.gear()
    count = day.whole(2, 4)
    ramp = day.draw(0.7, 1.6)
    extras = ["lifted", "part-throttle", "slip", "none"]
    extra = extras[day.whole(0, len(extras))]
    for number in range(count):
        low = day.car.highest * day.draw(0.28, 0.38)
        high = day.car.highest * day.draw(0.93, 1.0)
        _dyno_pull(day, gear, low, high, ramp)
        if number == 0 and extra == "lifted":
            _lifted_pull(day, gear, ramp)
        elif number == 0 and extra == "part-throttle":
            _part_run(day, gear, ramp)
        elif number == 0 and extra == "slip":
            _dyno_pull(day, gear, low, high, ramp, slip=day.draw(0.10, 0.25))
        if day.random.random() < 0.4 and day.car.load != "roller":  # a roller would go on turning
            day.idle()
        else:  # cooling down in gear
            day.reach(gear, 0.35 * day.car.highest, (4.0, 10.0), (0.10, 0.14))
    day.idle()


def _means(day: _Day) -> str:
    return {"roller": "roller", "road": "road"}.get(day.car.load, "brake")


def _dyno_pull(day: _Day, gear: int, low: float, high: float, ramp: float, slip: float = 0.0) -> None:
    why = "the wheels slip" if slip else ""
    day.reach(gear, low, (2.5, 5.0), (0.12, 0.22))
    day.add(
        Scene("pull", _means(day), 45.0, 1.0, gear, 0.0, high, ramp * day.car.ramp, slip, why),
        _coast(day, gear, 0.4 * high),
    )


def _coast(day: _Day, gear: int, speed: float) -> Scene:
    """Foot off, speed falling by itself or by the brake."""
    return Scene("lift", _means(day), day.draw(4.0, 7.0), 0.0, gear, 0.0, speed, -1.6 * day.car.ramp)


def _lifted_pull(day: _Day, gear: int, ramp: float) -> None:
    """A pull that is broken off after 700 to 1000 rpm."""
    low = day.car.highest * 0.40
    high = low + day.draw(700.0, 1000.0) * _RPM
    day.reach(gear, low, (2.5, 5.0), (0.12, 0.22))
    why = "lifted before 1500 rpm were passed"
    day.add(
        Scene("pull", _means(day), 20.0, 1.0, gear, 0.0, high, ramp * day.car.ramp, 0.0, why),
        _coast(day, gear, 0.4 * day.car.highest),
    )


def _part_run(day: _Day, gear: int, ramp: float) -> None:
    """A run through the speeds at part throttle."""
    day.reach(gear, 0.35 * day.car.highest, (2.5, 5.0), (0.12, 0.22))
    why = "part throttle"
    pedal = day.draw(0.35, 0.6)
    high = 0.8 * day.car.highest
    day.add(
        Scene(
            "part-throttle", _means(day), 25.0, pedal, gear, 0.0, high, 0.8 * ramp * day.car.ramp, 0.0, why
        ),
        _coast(day, gear, 0.4 * day.car.highest),
    )


def _road(day: _Day) -> None:
    """Traffic, and pulls in several gears with gear changes between."""
    day.start()
    gear = 3
    count = day.whole(2, 4)
    for number in range(count):
        gear = min(day.car.gears, day.whole(2, 5))
        _road_pull(day, gear, day.car.highest * day.draw(0.30, 0.40), day.car.highest * day.draw(0.90, 0.99))
        if number == 0:
            _burst(day, gear)
        _traffic(day, gear)
    if day.random.random() < 0.5:
        gear = _through_gears(day, 2)
    day.add(Scene("coast", "road", 5.0, 0.0, gear, end_speed=1.6 * day.car.idle))
    day.idle()


def _traffic(day: _Day, gear: int) -> None:
    """Cruising with a foot that comes and goes, never far down."""
    for _ in range(day.whole(2, 5)):
        pedals = day.draw(0.08, 0.30), day.draw(0.08, 0.30)
        end = 0.75 * day.car.highest
        day.add(Scene("cruise", "road", day.draw(2.0, 5.0), pedals, gear, end_speed=end))


def _burst(day: _Day, gear: int) -> None:
    """Full throttle for 500 to 900 rpm, as past a lorry."""
    low = 0.45 * day.car.highest
    high = low + day.draw(500.0, 900.0) * _RPM
    day.reach(gear, low, (2.0, 3.0), (0.25, 0.25))
    day.add(
        Scene("pull", "road", 15.0, 1.0, gear, 0.0, high, 0.0, 0.0, "only some hundred rpm"),
        Scene("coast", "road", day.draw(2.0, 4.0), 0.0, gear, end_speed=0.35 * day.car.highest),
    )


def _road_pull(day: _Day, gear: int, low: float, high: float) -> None:
    day.reach(gear, low, (2.5, 4.0), (0.15, 0.3))
    day.add(
        Scene("pull", "road", 60.0, 1.0, gear, 0.0, high),
        Scene("lift", "road", day.draw(3.0, 6.0), 0.0, gear, end_speed=0.45 * day.car.highest),
    )


def _through_gears(day: _Day, first: int) -> int:
    """Full throttle through the gears: each gear a pull of its own. Returns the last gear."""
    day.reach(first, 0.42 * day.car.highest, (3.0, 3.0), (0.3, 0.3))
    last = min(first + 2, day.car.gears)
    for gear in range(first, last + 1):
        if gear > first:
            day.add(Scene("gear-change", "gear-change", 0.6, 0.0, gear))
        day.add(Scene("pull", "road", 60.0, 1.0, gear, 0.0, 0.97 * day.car.highest))
    day.add(Scene("lift", "road", 5.0, 0.0, last, end_speed=0.45 * day.car.highest))
    return last


def _hill_climb(day: _Day) -> None:
    """Corners: full throttle between them, some stretches long enough to be pulls, most not. Steep as mountain roads
    are (common practice, 4 to 10 %)."""
    day.start()
    gear = 2
    for corner in range(day.whole(4, 7)):
        day.slope = day.draw(0.04, 0.10)
        gear = day.whole(2, min(4, day.car.gears) + 1)
        long = corner % 2 == 0
        low = day.car.highest * day.draw(0.40, 0.48)
        high = day.car.highest * day.draw(0.92, 0.98) if long else low + day.draw(500.0, 1000.0) * _RPM
        why = "" if long else "only some hundred rpm between two corners"
        day.reach(gear, low, (1.5, 3.0), (0.2, 0.35))
        day.add(
            Scene("pull", "road", 60.0, 1.0, gear, 0.0, high, 0.0, 0.0, why),
            Scene("lift", "road", day.draw(1.5, 3.5), 0.0, gear, end_speed=0.42 * day.car.highest),
        )
    day.slope = 0.0
    day.add(Scene("coast", "road", 5.0, 0.0, gear, end_speed=1.6 * day.car.idle))
    day.idle()


SCENARIOS: dict[str, tuple[str, Callable[[_Day], None]]] = {
    "one-pull": ("key on, idle, one pull and its lift-off", _one_pull),
    "dyno-day": ("pulls on the dyno with cool-downs, perhaps a lifted one, part throttle or slip", _dyno_day),
    "road": ("traffic, pulls in several gears, gear changes", _road),
    "hill-climb": ("uphill, full throttle between corners, long and short", _hill_climb),
}
"""Scenario -> what it is, and how it is put together."""

ON_THE_ROAD = ("road", "hill-climb")
"""Scenarios that need the whole car."""
