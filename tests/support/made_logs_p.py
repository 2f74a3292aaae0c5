"""Made-up logs for the search of pulls: drives and dyno days put together from phases, with the pulls known.

All of it is invented. A log is a list of phases at 200 Hz; it is then sampled as a logger would: at its rate, polled
one channel at a time, held, with noise, resolution, channels left out. Rises between 1300 and 1750 rpm are not made:
whether such a one is a pull is a matter of the bound and not of the search.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from boostwright.logs.series import ChannelsInMemory, Series

RPM = 0.10471975511965977
DT = 0.005
NAMES = (
    "engine_speed",
    "throttle_position",
    "pedal_position",
    "pressure_im",
    "vehicle_speed",
    "injector_duty",
)


@dataclass
class Truth:
    """A pull as it was made: start and end [s], gear number (0: none can be told), kind of near miss or ''."""

    start: float
    end: float
    gear: int
    miss: str = ""


@dataclass
class Drive:
    """A drive in the making: arrays at 200 Hz by channel, and what was made."""

    rng: np.random.Generator
    ratios: tuple[float, ...]
    limiter: float
    power: float
    road: bool
    wot: float = 1.0
    every: float = 0.0
    parts: dict[str, list[np.ndarray]] = field(
        default_factory=lambda: {name: [] for name in (*NAMES, "gear")}
    )
    truth: list[Truth] = field(default_factory=list)
    now: float = 0.0

    def add(
        self,
        speed: np.ndarray,
        throttle: np.ndarray | float,
        road: np.ndarray,
        gear: int,
        fuel: bool | np.ndarray = True,
    ) -> None:
        """One phase: engine speed in rpm, throttle as a share, road speed in m/s."""
        size = speed.size
        throttle = np.broadcast_to(np.asarray(throttle, dtype=float), size)
        self.parts["engine_speed"].append(speed * RPM)
        self.parts["throttle_position"].append(throttle)
        self.parts["pedal_position"].append(throttle)
        boost = np.clip((speed - 1800) / 1500, 0, 1) * 90e3 * throttle**3
        self.parts["pressure_im"].append((32e3 + 66e3 * throttle**0.5) + boost)
        self.parts["vehicle_speed"].append(road)
        duty = (0.02 + 0.7 * throttle * speed / 7000) * np.broadcast_to(np.asarray(fuel, dtype=float), size)
        self.parts["injector_duty"].append(duty)
        self.parts["gear"].append(np.full(size, gear))
        self.now += size * DT

    def ratio(self, gear: int) -> float:
        return self.ratios[gear - 1]

    def speed_of(self, rpm: np.ndarray, gear: int, creep: float = 0.0) -> np.ndarray:
        return rpm * RPM / self.ratio(gear) * (1 - creep) if self.road else np.zeros(rpm.size)

    # phases ------------------------------------------------------------------------------------------------------

    def ramp(self, low: float, high: float, gear: int, share: float = 1.0, even: float = 0.0) -> np.ndarray:
        """Engine speed over a rise by its own torque, or at an even rate [rpm/s]."""
        rpm = np.linspace(low, high, 400)
        if even:
            rate = np.full(400, even)
        else:
            spool = 0.35 + 0.65 / (1 + np.exp(-(rpm - self.power) / 250))
            rate = self.rate(gear) * share * spool * (1 - 0.35 * np.clip((rpm - 4500) / 3000, 0, 1))
        time = np.concatenate(([0.0], np.cumsum(np.diff(rpm) / (0.5 * (rate[1:] + rate[:-1])))))
        return np.interp(np.arange(0, time[-1], DT), time, rpm)

    def rate(self, gear: int) -> float:
        """Fastest rise in a gear [rpm/s]: goes with the square of the ratio."""
        return 420.0 * (self.ratio(gear) / self.ratios[2]) ** 2

    def opens(self, rpm: float, gear: int, low: float) -> None:
        size = int(self.rng.uniform(0.08, 0.3) / DT)
        speed = np.full(size, rpm)
        self.add(speed, np.linspace(low, self.wot, size), self.speed_of(speed, gear), gear)

    def lifts(self, rpm: float, gear: int, to: float, shortest: float = 1.0) -> float:
        """Throttle shut, speed falls in gear; returns where it ends."""
        size = int(self.rng.uniform(0.06, 0.15) / DT)
        speed = np.linspace(rpm, rpm - 10, size)
        self.add(speed, np.linspace(self.wot, 0.02, size), self.speed_of(speed, gear), gear)
        fall = self.rng.uniform(150, 400)
        size = max(int(shortest / DT), int((rpm - to) / fall / DT))
        speed = np.maximum(rpm - 10 - fall * np.arange(size) * DT, to)
        self.add(speed, 0.02, self.speed_of(speed, gear), gear)
        return float(speed[-1])

    def idle(self) -> None:
        size = int(self.rng.uniform(3, 12) / DT)
        self.add(np.full(size, 850.0), 0.03, np.zeros(size), 0)

    def cruise(self) -> None:
        gear = int(self.rng.integers(2, len(self.ratios) + 1))
        size = int(self.rng.uniform(4, 12) / DT)
        rpm = self.rng.uniform(1500, 3200) + 60 * np.sin(np.arange(size) * DT * self.rng.uniform(0.2, 0.6))
        self.add(rpm, self.rng.uniform(0.12, 0.35), self.speed_of(rpm, gear), gear)

    def held(self, rpm: float, gear: int, seconds: float, throttle: float) -> None:
        size = int(seconds / DT)
        speed = np.full(size, rpm)
        self.add(speed, throttle, self.speed_of(speed, gear), gear)

    def any_gear(self) -> int:
        return int(self.rng.integers(2, len(self.ratios)))

    def pull(self, gear: int | None = None, *, to_limiter: bool = False) -> None:
        """A pull in gear."""
        gear = gear or self.any_gear()
        low = self.rng.uniform(1700, 3200)
        high = (
            self.limiter if to_limiter else self.rng.uniform(low + 1800, min(low + 4500, self.limiter - 150))
        )
        self.held(low, gear, self.rng.uniform(1.5, 4), 0.25)
        self.opens(low, gear, 0.25)
        start = self.now
        speed = self.ramp(low, high, gear)
        self.add(speed, self.wot, self.speed_of(speed, gear, self.rng.uniform(0, 0.015)), gear)
        self.truth.append(Truth(start, self.now, gear))
        if to_limiter:
            size = int(self.rng.uniform(0.8, 2.0) / DT)
            saw = (np.arange(size) * DT * 7.0) % 1.0
            at = self.limiter - 90 * saw
            self.add(at, self.wot, self.speed_of(at, gear), gear, saw < 0.5)
        self.lifts(high, gear, 1800)

    def brake(self) -> None:
        """A hub or roller brake: held at full throttle, let up at an even rate, held or lifted."""
        gear = 4 if self.road else 0
        low, high = self.rng.uniform(1600, 2600), self.rng.uniform(5200, 6600)
        self.held(low, 4, self.rng.uniform(1, 4), 0.2)
        self.opens(low, 4, 0.2)
        self.held(low, 4, self.rng.uniform(0.0, 3.0), self.wot)
        start = self.now
        speed = self.ramp(low, high, 4, even=self.rng.uniform(100, 700))
        self.add(speed, self.wot, self.speed_of(speed, 4), 4)
        self.truth.append(Truth(start, self.now, gear))
        if self.rng.random() < 0.5:
            self.held(high, 4, self.rng.uniform(0.5, 2.0), self.wot)
        self.lifts(high, 4, 1500)

    # near misses -------------------------------------------------------------------------------------------------

    def short(self) -> None:
        gear = self.any_gear()
        low = self.rng.uniform(2000, 4500)
        self.held(low, gear, 1.5, 0.3)
        self.opens(low, gear, 0.3)
        start = self.now
        high = low + self.rng.uniform(500, 1250)
        speed = self.ramp(low, high, gear)
        self.add(speed, self.wot, self.speed_of(speed, gear), gear)
        self.truth.append(Truth(start, self.now, gear, "lifted"))
        self.lifts(high, gear, 1800)

    def partly(self) -> None:
        """A long rise at less than full throttle."""
        gear = self.any_gear()
        low = self.rng.uniform(1800, 2800)
        opening = self.rng.uniform(0.55, 0.85)
        self.held(low, gear, 1.5, 0.2)
        start = self.now
        speed = self.ramp(low, self.rng.uniform(low + 1800, 6000), gear, opening)
        self.add(speed, opening, self.speed_of(speed, gear), gear)
        self.truth.append(Truth(start, self.now, gear, "throttle-not-full"))
        self.lifts(float(speed[-1]), gear, 1800)

    def through_gears(self) -> None:
        """Flat out through the gears with the throttle open over the changes; each rise is short."""
        gear, rpm = 2, self.rng.uniform(3800, 4200)
        start = self.now
        self.opens(rpm, gear, 0.3)
        for gear in (2, 3, 4):
            high = rpm + self.rng.uniform(800, 1200)
            speed = self.ramp(rpm, high, gear)
            self.add(speed, self.wot, self.speed_of(speed, gear), gear)
            if gear == 4:
                break
            after = high * self.ratio(gear + 1) / self.ratio(gear)
            size = int(self.rng.uniform(0.12, 0.35) / DT)
            speed = np.linspace(high, after, size)
            road = np.full(size, float(self.speed_of(np.array([high]), gear)[0]))
            self.add(speed, self.wot, road, gear)
            rpm = after
        self.truth.append(Truth(start, self.now, 0, "gear-change"))
        self.lifts(high, 4, 1800)

    def spins(self) -> None:
        """Wheels spin in the middle of a rise of two short parts, then grip."""
        gear = 2
        low = self.rng.uniform(2500, 3000)
        self.held(low, gear, 1.5, 0.3)
        self.opens(low, gear, 0.3)
        start = self.now
        first = self.ramp(low, low + 900, gear)
        self.add(first, self.wot, self.speed_of(first, gear), gear)
        size = int(self.rng.uniform(0.5, 0.9) / DT)
        flare = 1 + self.rng.uniform(0.18, 0.35) * np.sin(np.pi * np.arange(size) / size)
        base = np.linspace(low + 900, low + 1100, size)
        self.add(base * flare, self.wot, self.speed_of(base, gear), gear)
        last = self.ramp(low + 1100, low + 2000, gear)
        self.add(last, self.wot, self.speed_of(last, gear), gear)
        self.truth.append(Truth(start, self.now, gear, "wheel-slip"))
        self.lifts(float(last[-1]), gear, 1800)

    def cuts(self) -> None:
        """The controller cuts in the middle; both parts are short."""
        gear = self.any_gear()
        low = self.rng.uniform(2500, 3500)
        self.held(low, gear, 1.5, 0.3)
        self.opens(low, gear, 0.3)
        start = self.now
        middle = low + self.rng.uniform(700, 1250)
        speed = self.ramp(low, middle, gear)
        self.add(speed, self.wot, self.speed_of(speed, gear), gear)
        size = int(self.rng.uniform(0.4, 0.8) / DT) + int(
            1.5 * self.every / DT
        )  # shorter than a sample shows nowhere
        fall = np.linspace(middle, middle - self.rng.uniform(80, 200), size)
        self.add(fall, self.wot, self.speed_of(fall, gear), gear, False)
        speed = self.ramp(float(fall[-1]), float(fall[-1]) + 900, gear)
        self.add(speed, self.wot, self.speed_of(speed, gear), gear)
        self.truth.append(Truth(start, self.now, gear, "fuel-cut"))
        self.lifts(float(speed[-1]), gear, 1800)

    def steps(self) -> None:
        """A stepped dyno: holds at full throttle, up or down in speed."""
        order = np.arange(2000, 6001, self.rng.choice([250, 500, 800]))
        order = order if self.rng.random() < 0.6 else order[::-1]
        self.opens(float(order[0]), 4, 0.3)
        start = self.now
        for k, rpm in enumerate(order):
            self.held(float(rpm), 4, self.rng.uniform(4, 7), self.wot)
            if k + 1 < order.size:
                size = int(self.rng.uniform(0.6, 1.5) / DT)
                speed = np.linspace(rpm, order[k + 1], size)
                self.add(speed, self.wot, self.speed_of(speed, 4), 4)
        self.truth.append(Truth(start, self.now, 4, "stepped"))
        self.lifts(float(order[-1]), 4, 1400)

    def revs(self) -> None:
        """Revved out of gear, standing."""
        start = self.now
        up = np.linspace(900, 5500, int(0.7 / DT))
        down = np.linspace(5500, 900, int(2.5 / DT))
        self.add(up, self.wot, np.zeros(up.size), 0)
        self.truth.append(Truth(start, self.now, 0, "no-load"))
        self.add(down, 0.02, np.zeros(down.size), 0)

    def hill(self) -> None:
        """Full throttle up a hill or against a brake: speed stays or falls."""
        gear = self.any_gear()
        rpm = self.rng.uniform(2500, 4500)
        self.opens(rpm, gear, 0.3)
        start = self.now
        speed = np.linspace(rpm, rpm - self.rng.uniform(0, 500), int(self.rng.uniform(3, 8) / DT))
        self.add(speed, self.wot, self.speed_of(speed, gear), gear)
        self.truth.append(Truth(start, self.now, gear, "speed-held"))
        self.lifts(float(speed[-1]), gear, 1500)


@dataclass
class Made:
    """A log with what is true of it; kinds: words on how it was made."""

    channels: ChannelsInMemory
    truth: list[Truth]
    ratios: tuple[float, ...]
    kinds: str
    rate: float


def made_log(seed: int) -> Made:
    """One log, all chosen by the seed."""
    rng = np.random.default_rng(seed)
    dyno = rng.random() < 0.35
    road = not dyno or rng.random() < 0.6
    spread = rng.uniform(0.68, 0.8)
    first = rng.uniform(45, 60)
    ratios = tuple(first * spread**k for k in range(int(rng.integers(5, 7))))
    drive = Drive(rng, ratios, rng.uniform(6300, 7200), rng.uniform(2300, 3300), road)
    rate, polled = _logger(rng)
    drive.every = max(polled, 1 / rate if rate < 8 else 0.0)
    _phases(drive, dyno, slow=polled > 0.3 or rate < 5)
    return Made(
        _logged(drive, rate, polled),
        drive.truth,
        ratios,
        f"{'dyno' if dyno else 'road'} {rate:.0f} Hz {polled:.2f} s",
        rate,
    )


def _logger(rng: np.random.Generator) -> tuple[float, float]:
    """Rows a second, and the time between new readings of one channel (0: each row is new)."""
    pick = rng.random()
    if pick < 0.75:
        return float(rng.choice([10, 20, 25, 50, 100, 200])), 0.0
    if pick < 0.85:
        return float(rng.choice([2, 4, 5])), 0.0
    every = float(rng.uniform(0.25, 0.5))
    return 10.0 / every / 1.0, every


def _phases(drive: Drive, dyno: bool, *, slow: bool) -> None:
    rng = drive.rng
    drive.idle()
    for _ in range(int(rng.integers(3, 7))):
        if dyno:
            choices: list[Callable[[], None]] = [
                drive.brake,
                drive.brake,
                drive.brake,
                drive.steps,
                drive.hill,
            ]
        else:
            pulls = [drive.pull, drive.pull, drive.pull, lambda: drive.pull(to_limiter=True)]
            misses = [
                drive.short,
                drive.partly,
                drive.through_gears,
                drive.spins,
                drive.cuts,
                drive.revs,
                drive.hill,
            ]
            choices = [*pulls, *misses, drive.cruise]
        one = choices[int(rng.integers(len(choices)))]
        if slow and one == drive.pull:
            drive.pull(
                int(rng.integers(3, len(drive.ratios)))
            )  # in a low gear two readings a second see no pull
        else:
            one()
        (drive.idle if rng.random() < 0.3 or dyno else drive.cruise)()
    if not dyno:  # ordinary driving in each gear, so that gears can be told
        for gear in range(1, len(drive.ratios) + 1):
            size = int(rng.uniform(4, 6) / DT)
            rpm = np.linspace(1500, rng.uniform(2000, 2600), size)
            drive.add(rpm, 0.25, drive.speed_of(rpm, gear), gear)


def _logged(drive: Drive, rate: float, polled: float) -> ChannelsInMemory:
    """The drive as a logger would keep it."""
    rng = drive.rng
    truth = {name: np.concatenate(drive.parts[name]) for name in NAMES}
    clock = np.arange(truth["engine_speed"].size) * DT
    late = float(rng.uniform(0, 3000))
    out = {}
    noise = {
        "engine_speed": rng.uniform(0, 18) * RPM,
        "throttle_position": rng.uniform(0, 0.006),
        "pedal_position": 0.002,
        "pressure_im": 600.0,
        "vehicle_speed": rng.uniform(0, 0.08),
        "injector_duty": 0.002,
    }
    step = {
        "engine_speed": float(rng.choice([0.25, 1.0, 10.0])) * RPM,
        "throttle_position": float(rng.choice([0.001, 0.004])),
        "pedal_position": 0.004,
        "pressure_im": 1000.0,
        "vehicle_speed": float(rng.choice([0.01, 1 / 3.6])),
        "injector_duty": 0.001,
    }
    stamps = np.arange(0, clock[-1], 1 / rate)
    if rng.random() < 0.3:
        stamps = np.sort(stamps + rng.uniform(-0.2, 0.2, stamps.size) / rate)
    for k, name in enumerate(NAMES):
        at = stamps
        if polled:  # asked in turn; repeated until asked again
            turn = np.floor((stamps - k / rate) / polled) * polled + k / rate
            at = np.clip(turn, 0, clock[-1])
        rows = np.minimum((at / DT).astype(int), clock.size - 1)
        _, same = np.unique(rows, return_inverse=True)
        scatter = rng.normal(0, noise[name], same.max() + 1)[same]
        value = np.round((truth[name][rows] + scatter) / step[name]) * step[name]
        if name.endswith("position"):
            value = np.clip(value, 0.0, 1.0)
        if name == "vehicle_speed":
            value = np.maximum(value, 0.0)
        out[name] = Series(stamps + late, value)
    for name in ("pedal_position", "injector_duty", "pressure_im"):
        if rng.random() < 0.5:
            del out[name]
    if not drive.road or rng.random() < 0.1:
        del out["vehicle_speed"]
        for one in drive.truth:
            one.gear = 0
    if rng.random() < 0.1:
        out.pop("throttle_position")
        if "pedal_position" not in out:
            out["pedal_position"] = Series(
                stamps + late,
                np.clip(truth["pedal_position"][np.minimum((stamps / DT).astype(int), clock.size - 1)], 0, 1),
            )
    for one in drive.truth:
        one.start += late
        one.end += late
    return ChannelsInMemory(out, "made")
