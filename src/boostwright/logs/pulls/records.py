"""What the search hands over: pulls with their state, and stretches that were not taken, each with its reason."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["REASONS", "Barometer", "ChannelFigures", "NotTaken", "Pull", "PullSearch", "Reading"]

REASONS: dict[str, str] = {
    "throttle-not-full": "engine speed rose, but the throttle was not full",
    "lifted": "the throttle was closed before engine speed had risen enough",
    "gear-change": "the gear was changed before engine speed had risen enough",
    "wheel-slip": "engine speed ran ahead of road speed: wheels or clutch slipped",
    "fuel-cut": "the engine was cut while the throttle was full",
    "limiter": "engine speed stood at its limiter",
    "speed-falls": "engine speed fell at full throttle",
    "speed-held": "engine speed was held, as a brake does for a steady point",
    "stepped": "engine speed went up in steps with holds between them: steady points, no pull",
    "no-load": "engine speed rose faster than with a car to move",
    "engine-cold": "the engine was cold",
    "data-gap": "engine speed has a hole in the log",
    "log-ends": "the log begins or ends within it",
    "too-short": "engine speed rose too little or too briefly",
    "too-few-samples": "too few samples of engine speed to follow it",
    "too-slow": "engine speed rose far more slowly than in the fastest rises of this gear",
}
"""Code of a reason -> what it says. Codes are stable."""


@dataclass(frozen=True)
class Reading:
    """A channel's reading in SI, and the channel."""

    channel: str
    value: float


@dataclass(frozen=True)
class Barometer:
    """Air pressure that was used: value [Pa], NaN for none, and where from."""

    value: float
    source: str


@dataclass(frozen=True)
class ChannelFigures:
    """A channel over a pull, SI.

    mean, least, most  over its true samples in the pull; basis of a pressure as logged
    speed_at_most      [rad/s] engine speed where it is highest
    samples            true samples in the pull; few mean that a peak can be missed
    """

    channel: str
    basis: str
    mean: float
    least: float
    most: float
    speed_at_most: float
    samples: int


@dataclass(frozen=True)
class Pull:
    """A pull.

    start, end               [s]       on the log's clock
    speed_start, speed_end   [rad/s]   engine speed
    gear                     label: a number, a letter, or "" where no road speed tells
    gear_ratio, gear_error   [rad/m], [-]  median ratio of engine to road speed and its spread; NaN without road speed
    load                     "even ramp" as a brake gives it, or "own torque" as a car or an inertia roller does
    ramp, ramp_error         [rad/s2]  least squares over the pull, and its standard error by the noise of the speed;
                             NaN, and no load, where the log has no time
    ramp_low, ramp_high      [rad/s2]  slope in the slowest and fastest tenth
    samples                  true samples of engine speed; step [s] between them
    certainty                "sure", "likely" or "guess"; doubts: why not sure, and what else to know
    began_by, ended_by       what is before and behind it: codes of REASONS, or "throttle-opened"
    state                    readings at its start: temperatures, oil
    barometer                air pressure to go with gauge pressures
    figures                  mean, least and most of the main channels
    """

    start: float
    end: float
    speed_start: float
    speed_end: float
    gear: str
    gear_ratio: float
    gear_error: float
    load: str
    ramp: float
    ramp_error: float
    ramp_low: float
    ramp_high: float
    samples: int
    step: float
    certainty: str
    doubts: tuple[str, ...]
    began_by: str
    ended_by: str
    state: tuple[Reading, ...] = ()
    barometer: Barometer = Barometer(float("nan"), "none")
    figures: tuple[ChannelFigures, ...] = ()


@dataclass(frozen=True)
class NotTaken:
    """A stretch that nearly is a pull.

    start, end             [s]
    speed_start, speed_end [rad/s]  engine speed of its longest rise
    rise                   [rad/s]  of that
    code                   one of REASONS
    words                  the reason with its figures, a sentence
    full                   the throttle was full
    """

    start: float
    end: float
    speed_start: float
    speed_end: float
    rise: float
    code: str
    words: str
    full: bool


@dataclass(frozen=True)
class PullSearch:
    """The answer.

    pulls, not_taken  in order of time
    ordinary          further rises of engine speed at less than half throttle, which are told as a number only
    throttle          how full throttle was told
    gears             how gears were told
    notes             channels that are missing, samples that were repeated: what limits the answer
    """

    pulls: tuple[Pull, ...]
    not_taken: tuple[NotTaken, ...]
    ordinary: int
    throttle: str
    gears: str
    notes: tuple[str, ...]
