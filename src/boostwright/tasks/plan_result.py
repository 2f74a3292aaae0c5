"""What a plan answers: the boost table, the days it holds on, what binds, what releasing it gives, what part does."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.operating_point import Limit, Prediction, Remark, Values

__all__ = [
    "Band",
    "FloorHold",
    "KnockRule",
    "PartGain",
    "Plan",
    "PlanDay",
    "PlanRisk",
    "Release",
    "Shortfall",
    "SpringAdvice",
    "SpringChoice",
]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class PlanDay:
    """The plan's table held on one day, all arrays (n,), SI; nan where the point has no steady state.

    name, words    short name ('cold', 'spike'); what it is, in a sentence
    settings       what was laid over the build, ``section.key=value``
    spike          by how much the boost asked stands over the table, share of the absolute pressure [-]
    pressure_amb   [Pa] station pressure of the day
    quantities     as in Prediction
    limits         every limit with its utilisation; 1 is on the limit with its margin
    worst          the limit nearest to its end at each speed, by name; '' where nothing has a value
    worst_use      its utilisation (n,) [-]
    spring_boost   (n,) [Pa absolute] what the spring alone holds on this day
    """

    name: str
    words: str
    settings: tuple[str, ...]
    spike: float
    pressure_amb: float
    quantities: Mapping[str, Values]
    limits: tuple[Limit, ...]
    worst: tuple[str, ...]
    worst_use: Array
    spring_boost: Array

    @property
    def held(self) -> bool:
        """True where no limit is exceeded at any speed that has a target."""
        used = self.worst_use[np.isfinite(self.worst_use)]
        return bool(used.size) and bool(np.all(used <= 1.0 + 1e-9))

    def __getitem__(self, name: str) -> Array:
        """Values of one quantity by name (n,), SI."""
        return self.quantities[name].values


@dataclass(frozen=True)
class Band:
    """Where a quantity lies on nine of ten sampled days: 5 % below ``low`` and 5 % above ``high``, each (n,) SI."""

    low: Array
    high: Array


@dataclass(frozen=True)
class PlanRisk:
    """What sampling the build's doubts says of the table.

    stated, found  share of sampled days with a limit exceeded at any speed [-]: allowed, and counted at the table
    samples, seed  how many days were drawn, and from which seed
    spike          fixed allowance over the table on every sampled day, share of the absolute pressure [-]
    lowered        (n,) [Pa] by how much the samples put the table below what the days alone allow
    share_over     name of a limit -> (n,) share of days on which it is exceeded at that speed [-]
    met            False where no table of this turbo brings the share down to the one stated
    words          what was done, in sentences
    """

    stated: float
    found: float
    samples: int
    seed: int
    spike: float
    lowered: Array
    share_over: Mapping[str, Array]
    met: bool
    words: str = ""


@dataclass(frozen=True)
class SpringChoice:
    """One spring.

    rating    [Pa] on the basis the build states
    held      (n,) [Pa absolute] boost it holds alone, dead solenoid, on the plan's own day
    above     (n,) True where that is more than the table allows
    reaches   (n,) True where the solenoid can bring boost up to the table with this spring
    share     of the highest gauge target [-]; 0.5 to 0.7 is common practice
    """

    rating: float
    held: Array
    above: NDArray[np.bool_]
    reaches: NDArray[np.bool_]
    share: float


@dataclass(frozen=True)
class SpringAdvice:
    """The spring to fit, and the one that stands in the build.

    basis    'bench' or 'running', as in the build
    chosen   None where no spring looked at holds what it must
    tried    every rating looked at, rising
    words    why this one
    """

    basis: str
    fitted: SpringChoice
    chosen: SpringChoice | None
    tried: tuple[SpringChoice, ...]
    words: str


@dataclass(frozen=True)
class FloorHold:
    """One way to stay inside the limits at speeds where the gate, fully open, still gives too much boost.

    way           'throttle', 'spark', 'speed-limit', 'gate' or 'takeoff'
    words         what is done, with its figure
    speeds        (m,) [rad/s] where the floor stands above what the limits allow
    binding       (m,) the limit that the floor exceeds there
    holds         (m,) True where this way brings every limit back
    setting       (m,) what it takes, in ``unit``: throttle area over wide open [-], CA50 [rad], engine speed [rad/s],
                  valve diameter [m], takeoff angle [rad]
    before, after 'torque', 'egt_reading', 'temperature_em', 'pressure_em', 'drive_pressure_ratio' ... -> (m,) SI with
                  the gate open as it is, and so held
    still_over    (m,) the limit that stands in the way where it does not hold, else ''
    """

    way: str
    words: str
    unit: str
    speeds: Array
    binding: tuple[str, ...]
    holds: NDArray[np.bool_]
    setting: Array
    before: Mapping[str, Array]
    after: Mapping[str, Array]
    still_over: tuple[str, ...] = ()


@dataclass(frozen=True)
class Release:
    """What the plan gives with one limit taken away and all others kept; gains on the plan's own day.

    limit, words         name of the limit, and what it limits
    target               (n,) [Pa absolute] what could then be held
    torque, power        (n,) [Nm], [W] gained at each speed
    peak_torque_gain     [Nm] most torque then less most torque now
    peak_power_gain      [W]
    next_binding         (n,) what binds then
    """

    limit: str
    words: str
    target: Array
    torque: Array
    power: Array
    peak_torque_gain: float
    peak_power_gain: float
    next_binding: tuple[str, ...]


@dataclass(frozen=True)
class PartGain:
    """What one part of ``[plan] parts`` does to the plan.

    settings           what it changes, as it stands in the build
    price, currency    None and '' where none is given
    mean_power_gain    [W] mean over the speeds of the plan
    releases           limits that bound at some speed before and bind at fewer with it
    fault              why the part cannot be planned with; '' where it could
    """

    name: str
    settings: tuple[str, ...]
    price: float | None
    currency: str
    target: Array
    torque: Array
    power: Array
    peak_torque_gain: float
    peak_power_gain: float
    mean_power_gain: float
    releases: tuple[str, ...]
    fault: str = ""

    @property
    def power_per_price(self) -> float:
        """Gain in peak power [W] for one unit of its currency; nan without a price."""
        if not self.price:
            return float("nan")
        return self.peak_power_gain / self.price


@dataclass(frozen=True)
class Shortfall:
    """Where what the owner wants cannot be had.

    quantity  'torque' [Nm] or 'pressure_im' [Pa absolute], wanted and planned (n,)
    binding   (n,) what stands in the way; '' where the wish is met
    """

    quantity: str
    unit: str
    source: str
    wanted: Array
    planned: Array
    binding: tuple[str, ...]

    @property
    def short(self) -> NDArray[np.bool_]:
        """(n,) True where the plan stays below the wish."""
        return np.array([bool(name) for name in self.binding], dtype=bool)


@dataclass(frozen=True)
class KnockRule:
    """How knock is held in this plan.

    code   'fitted', 'safe-end', 'spark-table' or 'phasing-cap'
    words  what that means, and what would narrow it
    asks   True where the plan rests on a guess that the owner can replace by a number of their own
    """

    code: str
    words: str
    asks: bool


@dataclass(frozen=True)
class Plan:
    """The most torque inside every limit on every day, in SI, one entry a speed; ``speeds`` (n,) [rad/s].

    prediction    the build's own day with the table held: quantities, limits, choices, defaults, cautions
    target        (n,) [Pa absolute] the table proposed, rounded down to ``step``; nan where no boost is inside
    ceiling       (n,) [Pa absolute] the raw ceiling: the highest that stays inside on every day
    floor         (n,) [Pa absolute] creep floor: gate fully open
    spool         (n,) [Pa absolute] gate shut: the most the wheel can give; nan where it runs away, which is no lack
    binding       (n,) what holds the ceiling: name of a limit, 'spool', 'torque-falls', 'creep-floor',
                  'compressor-surge' ...
    binding_day   (n,) on which day
    margin        (n,) [-] 1 less the use of the limit nearest to its end, on the worst day, at the table
    days          as listed; the first is the build's own
    risk          None where nothing was sampled
    bands         quantity -> its band at the table; empty where nothing was sampled
    spring, duty  None and empty without a gate; duty by plumbing kind ('lower', 'upper', 'both') (n,) [-], nan where
                  no duty does it
    holds         ways to hold what the gate cannot; empty where the floor is nowhere too high
    parts         best peak power for its price first, then those without price
    """

    name: str
    speeds: Array
    prediction: Prediction
    step: float
    target: Array
    ceiling: Array
    floor: Array
    spool: Array
    binding: tuple[str, ...]
    binding_day: tuple[str, ...]
    margin: Array
    days: tuple[PlanDay, ...]
    knock: KnockRule
    risk: PlanRisk | None = None
    bands: Mapping[str, Band] = field(default_factory=dict)
    spring: SpringAdvice | None = None
    duty: Mapping[str, Array] = field(default_factory=dict)
    holds: tuple[FloorHold, ...] = ()
    releases: tuple[Release, ...] = ()
    parts: tuple[PartGain, ...] = ()
    wanted: tuple[Shortfall, ...] = ()
    remarks: tuple[Remark, ...] = ()
    settings: tuple[str, ...] = ()

    @property
    def pressure_amb(self) -> float:
        """Station pressure [Pa] of the plan's own day."""
        return self.days[0].pressure_amb

    @property
    def target_gauge(self) -> Array:
        """(n,) [Pa gauge] the table above the barometer of the plan's own day; a fixed absolute target moves on it."""
        return np.asarray(self.target - self.pressure_amb)

    def __getitem__(self, name: str) -> Array:
        """Values of one quantity on the plan's own day (n,), SI."""
        return self.prediction[name]
