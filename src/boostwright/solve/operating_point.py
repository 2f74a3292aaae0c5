"""What a solve answers: values by name, and for every point ``Solved`` or the reason there is no steady state."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "Choice",
    "CompressorMapPicture",
    "Cylinders",
    "Flag",
    "Limit",
    "NoSteadyState",
    "Outcome",
    "Prediction",
    "Remark",
    "Solved",
    "Values",
]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Solved:
    """The point has a stable steady state; ``residual`` is the largest balance error left, relative [-]."""

    residual: float


@dataclass(frozen=True)
class NoSteadyState:
    """The point has no stable steady state.

    reason         stable code: 'runs-away', 'compressor-surge', 'compressor-choked', 'not-reached'
    nearest_limit  the limit it runs into, in words with its value
    message        one sentence for the user
    """

    reason: str
    nearest_limit: str
    message: str


Outcome = Solved | NoSteadyState


@dataclass(frozen=True)
class Values:
    """One quantity along the points. ``values`` (n,) in ``unit`` (SI); NaN where it has no value, never elsewhere."""

    name: str
    unit: str
    values: Array
    words: str = ""
    basis: str = ""


@dataclass(frozen=True)
class Flag:
    """Something the user must know about a point: a validity range left, a limit exceeded, an estimate leaned on.

    code      stable short name, e.g. 'outside-map-low-speed'
    message   one sentence, with the value and the range
    severity  'note', 'warning' or 'limit'
    """

    code: str
    message: str
    severity: str = "warning"


@dataclass(frozen=True)
class Limit:
    """A limit that runs beside every point. ``utilisation`` (n,) [-] is 1 where only the margin is left, more beyond.

    quantity   name of the quantity it is a limit on, in whose unit ``limit`` (n,) stands
    margin     what is kept from the limit: a share of it, or a difference in ``unit``; 0 for a limit that is itself a
               margin
    margin_is  'share' or 'difference'
    status     how the limit is known: 'stated', 'own estimate', 'from memory', 'card' ...
    """

    name: str
    words: str
    unit: str
    limit: Array
    utilisation: Array
    source: str = ""
    quantity: str = ""
    margin: float = 0.0
    margin_is: str = "share"
    status: str = ""


@dataclass(frozen=True)
class Choice:
    """A model or part card that was chosen, so that a result can be traced: what, which, where from, status."""

    what: str
    name: str
    place: str = ""
    status: str = ""
    source: str = ""


@dataclass(frozen=True)
class Remark:
    """A line about the sweep as a whole: threshold, knee of the gate, a rule of thumb beside the result."""

    code: str
    message: str
    value: float | None = None
    unit: str = ""
    status: str = ""


@dataclass(frozen=True)
class CompressorMapPicture:
    """The compressor card as arrays for a plot, at the card's own reference condition.

    speeds_corrected   (k,)   [rad/s]
    flow               (k, m) [kg/s] corrected, along each speed line
    pressure_ratio     (k, m) [-] total to total
    efficiency         (k, m) [-] isentropic, total to total; NaN where the pressure ratio is below 1
    surge_flow, surge_pressure_ratio (j,), measured_* (p,) the points of the card itself
    """

    speeds_corrected: Array
    flow: Array
    pressure_ratio: Array
    efficiency: Array
    surge_flow: Array
    surge_pressure_ratio: Array
    measured_flow: Array
    measured_pressure_ratio: Array
    measured_efficiency: Array
    measured_speed: Array
    reference: str
    reference_pressure: float
    reference_temperature: float
    name: str = ""


@dataclass(frozen=True)
class Cylinders:
    """The k cylinders apart, where the build gives them shares of their own.

    air_share, fuel_share  (k,) [-] over the mean cylinder; phasing_offset (k,) [rad] later than the common spark
    quantities             by name, with values (k, n): a row a cylinder, a column a point
    """

    air_share: Array
    fuel_share: Array
    phasing_offset: Array
    quantities: Mapping[str, Values]


@dataclass(frozen=True)
class Prediction:
    """Everything ``predict`` found, in SI, one entry a point; ``speeds`` (n,) [rad/s] is the engine speed.

    gases           'intake_air' and 'exhaust' -> species -> (n,) mole fractions [-]
    settings        what was changed for this run with ``key=value``, as typed
    defaults_used   (key, value as text, status words) of every input the build left to its default
    cautions        sentences that go with the numbers
    warnings        what the check of the build takes but asks about, each with place and remedy
    cylinders       each by itself, None where the build does not tell them apart
    """

    name: str
    mode: str
    speeds: Array
    quantities: Mapping[str, Values]
    outcomes: tuple[Outcome, ...]
    binding_limit: tuple[str, ...]
    flags: tuple[tuple[Flag, ...], ...]
    limits: tuple[Limit, ...]
    remarks: tuple[Remark, ...]
    choices: tuple[Choice, ...]
    gases: Mapping[str, Mapping[str, Array]]
    settings: tuple[str, ...] = ()
    defaults_used: tuple[tuple[str, str, str], ...] = ()
    cautions: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    compressor_map: CompressorMapPicture | None = None
    constants: Mapping[str, Values] = field(default_factory=dict)
    cylinders: Cylinders | None = None

    def __getitem__(self, name: str) -> Array:
        """Values of one quantity by name (n,), SI."""
        return self.quantities[name].values

    @property
    def solved(self) -> NDArray[np.bool_]:
        """(n,) True where the point has a stable steady state."""
        return np.array([isinstance(outcome, Solved) for outcome in self.outcomes], dtype=bool)
