"""What really happened in a made-up run: the true channels over time, and which stretch of it is what."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

__all__ = ["ENDLESS", "Stretch", "TrueRun"]

Array = NDArray[np.float64]

ENDLESS = float("inf")


@dataclass(frozen=True)
class Stretch:
    """A part of a run and what it is.

    kind         "key-on", "idle", "pull", "part-throttle" ... as the scenario calls it
    start, stop  [s] true time
    gear         0 where none is in
    ramp         mean rise of engine speed [rad/s2]; 0 where it has no meaning
    speed_low, speed_high  engine speed at its ends [rad/s]
    pull         True where it is a pull: full throttle, rising speed, one gear, no slip, far enough
    why_not      why a stretch that resembles a pull is none, '' elsewhere
    """

    kind: str
    start: float
    stop: float
    gear: int = 0
    ramp: float = 0.0
    speed_low: float = 0.0
    speed_high: float = 0.0
    pull: bool = False
    why_not: str = ""


@dataclass(frozen=True, eq=False)
class TrueRun:
    """A run as it was.

    time       (n,) [s] from 0 in even steps
    channels   our channel names, each (n,) in SI; pressures absolute but those that are a difference by name; an
               exhaust reading is what its probe would settle at, without lag; ``mass_flow_exhaust`` stands there too
    stretches  what the run was made of, in order of time
    facts      what else is true of it, for the side file: numbers and words by name
    """

    time: Array
    channels: Mapping[str, Array]
    stretches: tuple[Stretch, ...] = ()
    facts: Mapping[str, float | str] = field(default_factory=dict)

    @property
    def step(self) -> float:
        """Time between two values [s]."""
        return float(self.time[1] - self.time[0])
